package session

import (
	"fmt"
	"time"
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
)

var alarmWords = words{"soak done", "cooling: lift soon", "below release", "soaked too long"}

func (k AlarmKind) String() string               { return alarmWords.of(int(k)) }
func (k AlarmKind) MarshalText() ([]byte, error) { return alarmWords.write("an alarm", int(k)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (k *AlarmKind) UnmarshalText(b []byte) error {
	v, err := alarmWords.parse("an alarm", b)
	if err == nil {
		*k = AlarmKind(v)
	}
	return err
}

// AlarmKinds lists all alarms, most urgent first.
func AlarmKinds() []AlarmKind { return []AlarmKind{BelowRelease, NearRelease, OverLongest, SoakDone} }

// Priority is how urgent an alarm is.
type Priority int

// The priorities.
const (
	LowPriority Priority = iota
	MediumPriority
	HighPriority
)

var priorityWords = words{"low", "medium", "high"}

func (p Priority) String() string { return priorityWords.of(int(p)) }

// Alarm is one alarm of one tub, standing or past.
type Alarm struct {
	Kind       AlarmKind
	Tub        int
	Batch      string
	Step       string
	RaisedAt   time.Time
	RungAt     time.Time // last ring
	Rings      int       // times rung, the raise included
	AckedAt    time.Time // last acknowledged; zero: not, or rung again since
	AnsweredAt time.Time // first answer: acknowledged or acted on; zero: none yet
	ClearedAt  time.Time
}

// Unanswered says it rings: nobody has acknowledged the last ring.
func (a Alarm) Unanswered() bool { return a.ClearedAt.IsZero() && a.AckedAt.IsZero() }

// AlarmFacts is a row of the table of alarms.
type AlarmFacts struct {
	Kind     AlarmKind
	Priority Priority
	Cause    string
	Else     string // what happens if nothing is done
	Do       string // what to do
	// Back is how long an acknowledged alarm that nobody acted on stays quiet.
	Back time.Duration
}

// AlarmTable is the table of alarms. Only what needs an action is an alarm;
// the delays are the program's own choice, not from a standard.
func AlarmTable() []AlarmFacts {
	return []AlarmFacts{
		{BelowRelease, HighPriority, "a wash bath is estimated below its release temperature with the fleece in it",
			"loosened wax sets again on the fibre", "lift now, or pour hot water in at the side, never onto the fleece", 2 * time.Minute},
		{NearRelease, HighPriority, "a wash bath may fall below its release temperature within the minutes you need to be there",
			"the bath falls below it before you come", "lift now, cover, or pour hot water in at the side, never onto the fleece", 2 * time.Minute},
		{OverLongest, MediumPriority, "the fleece has been in this bath longer than its longest soak",
			"dirt settles back, fine fleece mats", "lift now", 5 * time.Minute},
		{SoakDone, MediumPriority, "the planned soak is over",
			"the bath cools with the fleece in it", "lift and drain, or add minutes", 5 * time.Minute},
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

// Rings again while nobody answers: every half minute in the first five
// minutes, then every minute.
const (
	repeatSoon  = 30 * time.Second
	repeatLater = time.Minute
	soonFor     = 5 * time.Minute
)

func repeatAfter(a Alarm, now time.Time) time.Duration {
	if now.Sub(a.RaisedAt) < soonFor {
		return repeatSoon
	}
	return repeatLater
}

// findAlarm is the index of the standing alarm of that kind and tub, or -1.
func (d Day) findAlarm(k AlarmKind, tub int) int {
	for i, a := range d.Alarms {
		if a.Kind == k && a.Tub == tub {
			return i
		}
	}
	return -1
}

// Loudest is the most urgent standing alarm: unanswered before answered, then
// by priority, then the oldest.
func (d Day) Loudest() (Alarm, bool) {
	best, ok := Alarm{}, false
	for _, a := range d.Alarms {
		if !ok || louder(a, best) {
			best, ok = a, true
		}
	}
	return best, ok
}

func louder(a, b Alarm) bool {
	if a.Unanswered() != b.Unanswered() {
		return a.Unanswered()
	}
	pa, pb := urgency(a.Kind), urgency(b.Kind)
	if pa != pb {
		return pa < pb
	}
	return a.RaisedAt.Before(b.RaisedAt)
}

// urgency is the place in AlarmKinds: 0 is the most urgent.
func urgency(k AlarmKind) int {
	for i, v := range AlarmKinds() {
		if v == k {
			return i
		}
	}
	return len(AlarmKinds())
}
