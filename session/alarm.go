package session

import (
	"cmp"
	"iter"
	"time"

	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
)

// AlarmKind is a cause that needs the person's hands.
type AlarmKind int

// The alarms, most urgent first. What sets each apart is in its row of alarmTable.
const (
	BelowRelease AlarmKind = iota
	NearRelease
	NotSaved // never in the journal, which is what fails: the keeper rings it
	OverLongest
	NotLifted
	WetWaiting
	ReadingWanted
	FarFromLast
	LeftSoaking
	ClockJumped
	SoakDone
	KettleNow

	alarmKinds // how many: a constant without a row has an empty one
)

var alarmWords = func() measure.Words[AlarmKind] {
	var words []string
	for _, f := range alarmTable {
		words = append(words, f.Word)
	}
	return measure.NewWords[AlarmKind]("an alarm", words...)
}()

// String is an alarm's mark; Shown, what a person reads.
func (k AlarmKind) String() string { return alarmWords.Of(k) }

// Shown says it in the words of the screens.
func (k AlarmKind) Shown() string                 { return cmp.Or(k.Facts().Shown, k.String()) }
func (k AlarmKind) MarshalText() ([]byte, error)  { return alarmWords.Write(k) }
func (k *AlarmKind) UnmarshalText(b []byte) error { return alarmWords.Read(b, k) }

// AlarmKinds lists all alarms, most urgent first.
func AlarmKinds() []AlarmKind {
	out := make([]AlarmKind, alarmKinds)
	for i := range out {
		out[i] = AlarmKind(i)
	}
	return out
}

// Priority is how urgent an alarm is.
type Priority int8

// The priorities. A call is no alarm: work that was expected is due, and the
// person is there for it. It sounds once.
const (
	CallPriority Priority = iota
	LowPriority
	MediumPriority
	HighPriority
)

var priorityWords = measure.NewWords[Priority]("a priority", "call", "low", "medium", "high")

func (p Priority) String() string                { return priorityWords.Of(p) }
func (p Priority) MarshalText() ([]byte, error)  { return priorityWords.Write(p) }
func (p *Priority) UnmarshalText(b []byte) error { return priorityWords.Read(b, p) }

// Alarm is one alarm of one tub, or of the day (Tub -1), standing or past.
type Alarm struct {
	_          [0]func() // nobody compares two: no code for it
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
	shelvedAt time.Time // last
}

// Call says that it is none: expected work that is due.
func (a *Alarm) Call() bool { return a.Priority == CallPriority }

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
func (a *Alarm) Unanswered() bool { return a.Life.Rings() }

// Stands says that its cause holds and that it is neither put off nor out of
// service.
func (a *Alarm) Stands() bool {
	return a.Life.State == lifecycle.Unacknowledged || a.Life.State == lifecycle.Acknowledged
}

// Level is how loud it rings, 1 to 3.
func (a Alarm) Level() int { return lifecycle.Level(a.Rings) }

// AlarmFacts is a row of the table of alarms.
type AlarmFacts struct {
	// Word is its mark in journals and scripts; Shown what the screens say, where that
	// is something else; Spoken what is said aloud.
	Word, Shown, Spoken string
	Priority            Priority
	Cause               string
	Else                string // what happens if nothing is done
	Do                  string // what to do
	Time                string // how much time there is
	// Back is how long an acknowledged alarm that nobody acted on stays quiet; 0 is
	// for good.
	Back time.Duration
	// Unheard says that it stays in the list until somebody has seen it, if its
	// cause goes by itself.
	Unheard bool
}

// alarmTable is the table of alarms. Only what needs an action is an alarm;
// the delays are the program's own choice, not from a standard.
var alarmTable = [alarmKinds]AlarmFacts{
	BelowRelease: {
		Word: "below release", Shown: "too cool, wax sets", Spoken: "lift the fleece now, too cool", Priority: HighPriority,
		Cause: "a wash bath is estimated below its lift-by temperature with the fleece in it",
		Else:  "loosened wax sets again on the fibre", Do: "lift now, or pour hot water in at the side, never onto the fleece",
		Time: "none to lose", Back: 2 * time.Minute, Unheard: true,
	},
	NearRelease: {
		Word: "cooling: lift soon", Shown: "nearly too cool", Spoken: "lift the fleece now", Priority: HighPriority,
		Cause: "a wash bath may fall below its lift-by temperature within your warning time",
		Else:  "it falls below before you get there", Do: "lift now. Or cover it, or pour hot water in at the side, never onto the fleece",
		Time: "your warning time", Back: 2 * time.Minute, Unheard: true,
	},
	NotSaved: {
		Word: "not saved", Spoken: "the day is not being saved", Priority: HighPriority,
		Cause: "what you do can't be saved to the disk",
		Else:  "a power cut loses it", Do: "make room on the disk, or leave the program running until it says saved",
		Time: "until the machine stops", Back: 2 * time.Minute,
	},
	OverLongest: {
		Word: "soaked too long", Spoken: "lift the fleece now, soaked too long", Priority: MediumPriority,
		Cause: "the fleece has been in this bath longer than its longest soak",
		Else:  "dirt settles back, fine fleece mats", Do: "lift now",
		Time: "a few minutes", Back: 5 * time.Minute,
	},
	NotLifted: {
		Word: "wash not lifted", Spoken: "lift the fleece, the wash is still in", Priority: MediumPriority,
		Cause: "a wash has soaked its time, and the minutes you usually take to lift it are over",
		Else:  "the bath cools with the fleece in it", Do: "lift, or soak longer",
		Time: "until the longest soak or the lift-by temperature", Back: 5 * time.Minute,
	},
	WetWaiting: {
		Word: "wet fleece waits", Shown: "wet fleece waiting", Spoken: "get the fleece into its next bath, it is cooling", Priority: MediumPriority,
		Cause: "fleece from a hot bath has hung too long before its next one, usually 20 minutes; presoaked or fully rinsed fleece may hang",
		Else:  "it cools, and the next bath is a shock", Do: "fill the next bath and lower it in",
		Time: "a few minutes", Back: 5 * time.Minute,
	},
	ReadingWanted: {
		Word: "reading wanted", Shown: "take a reading", Spoken: "take a reading", Priority: MediumPriority,
		Cause: "a wash bath has had no reading, and may be near its lift-by temperature before its soak is over",
		Else:  "you lift on a guess: too soon or too late", Do: "take a thermometer reading",
		Time: "a few minutes", Back: 5 * time.Minute,
	},
	FarFromLast: {
		Word: "next bath too far", Shown: "next bath too different", Spoken: "match the bath to the last one before the fleece goes in", Priority: LowPriority,
		Cause: "a filled bath differs more from the last one than the method allows",
		Else:  "a sudden change may felt the fleece", Do: "match the bath to the last one before the fleece goes in",
		Time: "until the fleece goes in", Back: time.Hour,
	},
	LeftSoaking: {
		Word: "left soaking", Spoken: "lift the fleece when you can, it's still soaking", Priority: LowPriority,
		Cause: "a presoak or rinse has soaked its time, and the minutes you usually take to lift it are over",
		Else:  "nothing yet, until its longest soak is over", Do: "lift, or soak longer",
		Time: "until the longest soak", Back: time.Hour,
	},
	ClockJumped: {
		Word: "clock jumped", Shown: "clock changed", Spoken: "the clock changed, check the times", Priority: LowPriority,
		Cause: "the machine's clock changed while tubs were running",
		Else:  "nothing: the timers moved with it", Do: "check that the times on the screen are right",
		Time: "as long as you like", Back: time.Hour,
	},
	SoakDone: {
		Word: "soak done", Shown: "soak over", Spoken: "lift the fleece, the soak is over", Priority: CallPriority,
		Cause: "the planned soak is over, and you are not busy at another tub",
		Else:  "the tub stands idle", Do: "lift, or soak longer",
		Time: "a few minutes",
	},
	KettleNow: {
		Word: "kettle on now", Spoken: "put the kettle on", Priority: CallPriority,
		Cause: "water put on now boils as the soak ends; or the last kettle has boiled and the next bath needs another",
		Else:  "wet fleece waits for the kettle", Do: "put the kettle on",
		Time: "until the lift",
	},
}

// Facts is the alarm's row.
func (k AlarmKind) Facts() AlarmFacts { return alarmTable[k] }

// Aside says that an alarm asks for something besides what is next: it does not
// take the screen over.
func (a *Alarm) Aside() bool { return a.Priority <= LowPriority || a.Kind == ReadingWanted }

// Louder says that alarm a comes before b: unanswered before answered, then by priority,
// then by kind, then the older.
func Louder(a, b Alarm) bool {
	switch {
	case a.Unanswered() != b.Unanswered():
		return a.Unanswered()
	case a.Priority != b.Priority:
		return a.Priority > b.Priority
	case a.Kind != b.Kind:
		return a.Kind < b.Kind
	}
	return a.RaisedAt.Before(b.RaisedAt)
}
