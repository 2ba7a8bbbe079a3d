package planner

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Piece is a stretch of work in the timetable: what the hands do in one go at a
// tub, or the kettle coming to the boil (Acts is empty then).
type Piece struct {
	Tub    int
	Batch  string
	Step   int // index into the batch's steps
	Name   string
	Acts   []shed.Action // done one after the other, in this stretch
	ActMin []float64
	Start  time.Time
	End    time.Time
	// Spare is how long it may wait, the order of work kept, before a wash bath
	// may fall below its release temperature; HasSpare is false if nothing of
	// the kind hangs on it.
	Spare    time.Duration
	HasSpare bool
	// Late is how far it begins past a limit: a rinse over its longest soak,
	// or, where nothing else is possible, a wash.
	Late     time.Duration
	LateWash bool
	BoilL    float64 // a boil: litres for the fill of this step
	TankMin  float64 // a fill: for so long it is waited for nothing but the tank
	On       bool    // of a boil: the kettle is on, since Start; it boils at End
}

// Boil says the piece is the kettle's.
func (p Piece) Boil() bool { return len(p.Acts) == 0 }

// Words say what is done: "boil 3 L of hot tap water for the second wash", "rinse: fill, lower in".
func (p Piece) Words(k shed.Kit) string {
	if p.Boil() {
		return fmt.Sprintf("boil %s of hot tap water for the %s", k.BoilText(p.BoilL), p.Name)
	}
	acts := make([]string, len(p.Acts))
	for i, a := range p.Acts {
		acts[i] = a.Shown()
	}
	text := p.Name + ": " + strings.Join(acts, ", ")
	if p.TankMin >= 1 {
		text += fmt.Sprintf(", once the tank is hot (%s)", measure.Minutes(math.Round(p.TankMin)))
	}
	return text
}

// Soak is fleece lying in a bath in the timetable.
type Soak struct {
	Tub        int
	Batch      string
	Step       shed.Step
	StepIndex  int // into the batch's steps
	Start, End time.Time
	Release    time.Time // early bound of its release temperature; zero: none
}

// Timetable is the rest of a day as it is best done.
type Timetable struct {
	From   time.Time
	Pieces []Piece // by start
	Soaks  []Soak  // by start
	Finish time.Time
	// Bound: whatever is done, the day does not finish earlier.
	Bound  time.Time
	Proven bool          // Finish cannot be beaten
	Baths  []PlannedBath // every bath to come, by its fill
	Breaks []shed.Span   // that it is made around
	// Problems are the baths to come that cannot wash as things are, one sentence
	// each with what would do.
	Problems []string
}

// PlannedBath is a bath to come with what goes into it.
type PlannedBath struct {
	Tub       int
	Batch     string
	Step      shed.Step
	StepIndex int // into the batch's steps: a method may have a name twice
	Fill      session.FillPlan
	FillAt    time.Time // when its fill begins
	BoilMin   float64
	StoodMin  float64 // for so long its kettle has boiled by then
	Tanked    bool    // its wait for the tank, or what it boils instead, is in the timetable
	TankMin   float64 // as of its piece
	way       int     // how it is made from the tank, of boilParts
	SinkC     float64
	LiftC     float64
	StandMin  float64     // it is made ready so long before its basket comes
	on        bool        // it is one of the rinse tub
	came      shed.Lifted // what that is worked out from
}

// BathOf is the bath that a piece fills or boils for; ok is false if it is not to come.
func (t Timetable) BathOf(p Piece) (b PlannedBath, ok bool) {
	i := slices.IndexFunc(t.Baths, func(b PlannedBath) bool { return b.Batch == p.Batch && b.StepIndex == p.Step })
	if i < 0 {
		return PlannedBath{}, false
	}
	return t.Baths[i], true
}

// Lasts is how long it is, between its ends as they are shown.
func (t Timetable) Lasts() string { return measure.Minutes(measure.ShownMin(t.From, t.Finish)) }

// Gap is by what part of its length the timetable may be longer than the
// shortest possible.
func (t Timetable) Gap() float64 {
	length := t.Finish.Sub(t.From)
	if t.Proven || length <= 0 {
		return 0
	}
	return float64(t.Finish.Sub(t.Bound)) / float64(length)
}

// tightest is the least spare time of any lift from a wash; ok is false
// without a wash to come.
func (t Timetable) tightest() (spare time.Duration, ok bool) {
	for _, p := range t.Pieces {
		if p.HasSpare && slices.Contains(p.Acts, shed.Lift) && (!ok || p.Spare < spare) {
			spare, ok = p.Spare, true
		}
	}
	return spare, ok
}

// Late lists the pieces past a limit.
func (t Timetable) Late() []Piece {
	return slices.DeleteFunc(slices.Clone(t.Pieces), func(p Piece) bool { return p.Late <= 0 })
}
