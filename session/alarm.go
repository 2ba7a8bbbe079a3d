package session

import (
	"fmt"
	"iter"
	"time"

	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
)

// AlarmKind is a cause that needs the person's hands.
type AlarmKind int

// The alarms. What each means, what happens without an answer and what to do
// is in AlarmTable.
const (
	SoakDone AlarmKind = iota
	NearRelease
	BelowRelease
	OverLongest
	FarFromLast
	WetWaiting
	KettleNow
	ReadingWanted
	ClockJumped
	NotSaved // never in the journal, which is what fails: the keeper rings it
	NotLifted
	LeftSoaking
)

var alarmWords = measure.NewWords[AlarmKind]("an alarm", "soak done", "cooling: lift soon", "below release", "soaked too long", "next bath too far", "wet fleece waits",
	"kettle on now", "reading wanted", "clock jumped", "not saved", "wash not lifted", "left soaking")

// String is an alarm's mark in scripts and the person's own command; Shown, what a person reads.
func (k AlarmKind) String() string { return alarmWords.Of(k) }

// Shown says it in the words of the screens.
func (k AlarmKind) Shown() string {
	if words, ok := alarmShown[k]; ok {
		return words
	}
	return k.String()
}

// alarmShown are the alarms whose mark is not what one would say.
var alarmShown = map[AlarmKind]string{SoakDone: "soak over", NearRelease: "nearly too cool", BelowRelease: "too cool, wax sets", FarFromLast: "next bath too different",
	WetWaiting: "wet fleece waiting", ReadingWanted: "take a reading", ClockJumped: "clock changed"}

func (k AlarmKind) MarshalText() ([]byte, error) { return alarmWords.Write(k) }

func (k *AlarmKind) UnmarshalText(b []byte) error { return alarmWords.Read(b, k) }

// AlarmKinds lists all alarms, most urgent first.
func AlarmKinds() []AlarmKind {
	return []AlarmKind{BelowRelease, NearRelease, NotSaved, OverLongest, NotLifted, WetWaiting, ReadingWanted, FarFromLast, LeftSoaking, ClockJumped, SoakDone, KettleNow}
}

// Priority is how urgent an alarm is.
type Priority int

// The priorities. A call is no alarm: work that was expected is due, and the
// person is there for it. It sounds once.
const (
	CallPriority Priority = iota
	LowPriority
	MediumPriority
	HighPriority
)

var priorityWords = measure.NewWords[Priority]("a priority", "call", "low", "medium", "high")

func (p Priority) String() string { return priorityWords.Of(p) }

func (p Priority) MarshalText() ([]byte, error) { return priorityWords.Write(p) }

func (p *Priority) UnmarshalText(b []byte) error { return priorityWords.Read(b, p) }

// Alarm is one alarm of one tub, or of the day (Tub -1), standing or past.
type Alarm struct {
	Kind       AlarmKind
	Tub        int
	Batch      string
	Step       string
	Life       lifecycle.Alarm
	Priority   Priority // as it has come to: it may have been raised by one
	RaisedAt   time.Time
	RungAt     time.Time // last sound; zero: raised just behind another, and still
	Rings      int       // times it has sounded
	AckedAt    time.Time // last acknowledged; zero: not, or rung again since
	AnsweredAt time.Time // first answer: acknowledged or acted on; zero: none yet
	HeardAt    time.Time // first acknowledged, or put off; zero: never
	DoneAt     time.Time // a deed took its cause away; zero: none did
	DoneBy     string    // which: "lifted"
	Outdone    bool      // a worse alarm of its tub took its place
	ClearedAt  time.Time
	TakenBack  bool // a reading raised it that was taken back, or is doubtful

	doubtedAt time.Time // when it was; what stands on then has another cause
}

// Call says that it is none: expected work that is due.
func (a Alarm) Call() bool { return a.Priority == CallPriority }

// CountAlarms is how many called for hands: neither calls, nor what says that the clock was set.
func CountAlarms(all iter.Seq2[int, Alarm]) (n int) {
	for _, a := range all {
		if !a.Call() && a.Kind != ClockJumped {
			n++
		}
	}
	return n
}

// Unanswered says it rings: nobody has acknowledged the last ring.
func (a Alarm) Unanswered() bool { return a.Life.Rings() }

// Stands says that its cause holds and that it is neither put off nor out of
// service.
func (a Alarm) Stands() bool {
	return a.Life.State == lifecycle.Unacknowledged || a.Life.State == lifecycle.Acknowledged
}

// Level is how loud it rings, 1 to 3.
func (a Alarm) Level() int { return lifecycle.Level(a.Rings) }

// AlarmFacts is a row of the table of alarms.
type AlarmFacts struct {
	Kind     AlarmKind
	Priority Priority
	Cause    string
	Else     string // what happens if nothing is done
	Do       string // what to do
	Time     string // how much time there is
	// Back is how long an acknowledged alarm that nobody acted on stays quiet; 0 is
	// for good.
	Back time.Duration
	// Unheard says that it stays in the list until somebody has seen it, if its
	// cause goes by itself.
	Unheard bool
}

// AlarmTable is the table of alarms. Only what needs an action is an alarm;
// the delays are the program's own choice, not from a standard.
func AlarmTable() []AlarmFacts {
	return []AlarmFacts{
		{BelowRelease, HighPriority, "a wash bath is estimated below its release temperature with the fleece in it",
			"loosened wax sets again on the fibre", "lift now, or pour hot water in at the side, never onto the fleece", "no time to lose", 2 * time.Minute, true},
		{NearRelease, HighPriority, "a wash bath may fall below its release temperature within your warning time",
			"the bath falls below it before you get there", "lift now. Or cover it, or pour hot water in at the side, never onto the fleece", "your warning time", 2 * time.Minute, true},
		{NotSaved, HighPriority, "what you do can't be saved to the disk",
			"a power cut loses it", "make room on the disk, or leave the program running until it says saved", "until the machine stops", 2 * time.Minute, false},
		{OverLongest, MediumPriority, "the fleece has been in this bath longer than its longest soak",
			"dirt settles back, fine fleece mats", "lift now", "some minutes", 5 * time.Minute, false},
		{NotLifted, MediumPriority, "the soak of a wash is over, and nobody has lifted it in the minutes you usually take",
			"the bath cools with the fleece in it", "lift, or soak longer", "until the longest soak or the release temperature", 5 * time.Minute, false},
		{WetWaiting, MediumPriority, "wet fleece has hung too long, neither in its next bath nor spun: 20 minutes after a hot bath, 45 after a cold one and before it is spun",
			"it cools, and the next bath is a shock", "fill the next bath and lower it in, or spin it", "some minutes", 5 * time.Minute, false},
		{ReadingWanted, MediumPriority, "a wash bath has had no reading, and may be near its release temperature before its soak is over",
			"you lift on a guess: too soon or too late", "take a thermometer reading", "some minutes", 5 * time.Minute, false},
		{FarFromLast, LowPriority, "a filled bath is further from the last one than its step allows",
			"a sudden change may felt the fleece", "match the bath to the last one before the fleece goes in", "until the fleece goes in", time.Hour, false},
		{LeftSoaking, LowPriority, "the soak of a presoak or rinse is over, and nobody has lifted it in the minutes you usually take",
			"nothing yet: it may lie until its longest soak", "lift, or soak longer", "until the longest soak", time.Hour, false},
		{ClockJumped, LowPriority, "the machine's clock changed while tubs were running",
			"nothing: the timers moved with it", "check that the times on the screen are right", "as long as you like", time.Hour, false},
		{SoakDone, CallPriority, "the planned soak is over, and you are not at work elsewhere",
			"the tub stands idle", "lift, or soak longer", "some minutes", 0, false},
		{KettleNow, CallPriority, "the next bath needs kettle water, which takes as long to boil as the soak has left; or one kettle of several has boiled and the next should go on",
			"wet fleece waits for the kettle", "put the kettle on", "the minutes until the lift", 0, false},
	}
}

// Facts finds an alarm's row.
func (k AlarmKind) Facts() AlarmFacts {
	for _, f := range AlarmTable() {
		if f.Kind == k {
			return f
		}
	}
	panic(fmt.Sprintf("alarm %d has no row in the table", int(k)))
}

// Aside says that an alarm asks for something besides what is next: it does not
// take the screen over.
func (a Alarm) Aside() bool { return a.Priority <= LowPriority || a.Kind == ReadingWanted }

// Louder says that alarm a comes before b: unanswered before answered, then by priority,
// then by kind, then the older.
func Louder(a, b Alarm) bool {
	switch pa, pb := Urgency(a.Kind), Urgency(b.Kind); {
	case a.Unanswered() != b.Unanswered():
		return a.Unanswered()
	case a.Priority != b.Priority:
		return a.Priority > b.Priority
	case pa != pb:
		return pa < pb
	}
	return a.RaisedAt.Before(b.RaisedAt)
}

// Urgency is the place in AlarmKinds: 0 is the most urgent.
func Urgency(k AlarmKind) int {
	for i, v := range AlarmKinds() {
		if v == k {
			return i
		}
	}
	return len(AlarmKinds())
}
