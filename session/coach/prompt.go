package coach

import (
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Prompt is what the coach says of one tub: what to do next, with its figures.
type Prompt struct {
	Tub     int // -1: the whole day
	Act     shed.Action
	Title   string  // the action in a few plain words
	Details []Line  // how, how much, where; what the act cannot do without comes first
	Caution Caution // the safety line that belongs to this step, if any
	// Warned: the same caution was on the screen at an earlier deed of the day.
	Warned bool
	// DueAt is when hands are wanted; MustBy, if not zero, when harm begins.
	DueAt  time.Time
	MustBy time.Time
	Limit  Limit // what harm begins at MustBy
	Count  Count
	Rank   Rank
	Held   bool
	After  bool   // it waits for the end of a break, or of quiet hours
	Batch  string // what to load, for LoadNext
	// Doubt is why the act had better not be done yet; "" if nothing speaks against it.
	Doubt  string
	Kettle KettleWait // how a fill waits for the kettle
	// Then are the acts that the same press tells of after Act.
	Then  []shed.Action
	stops bool // as of Stopped
}

// Rank orders prompts: the smaller comes first.
type Rank int

// The ranks, most pressing first.
const (
	Harm   Rank = iota // wax is about to set, or has
	Now                // hands are wanted now
	Coming             // later
	Resting
)

// Limit is what an act has to be done before.
type Limit int

// The limits of a tub. NoLimit says that none is in sight.
const (
	NoLimit     Limit = iota
	WaxSets           // the bath may be at its release temperature
	LongestSoak       // the step's longest soak is over
	TooCool           // the bath may be too cool for its fleece to go in
	HangsWet          // wet fleece has hung its time
)

var (
	limitWords = measure.NewWords[Limit]("a limit", "", "wax may set", "longest soak", "bath cools", "hangs wet")
	limitBrief = measure.NewWords[Limit]("a limit", "", "wax", "longest soak", "cools", "hangs wet")
)

func (l Limit) String() string { return limitWords.Of(l) }

// Brief is String in a word, for a narrow window.
func (l Limit) Brief() string { return limitBrief.Of(l) }

// add puts lines behind what is known already.
func (p *Prompt) add(texts ...string) {
	for _, text := range texts {
		p.Details = append(p.Details, Line{Text: text})
	}
}

// first puts a line before all others.
func (p *Prompt) first(l Line) { p.Details = append([]Line{l}, p.Details...) }

// must is how many of the first lines the act cannot do without.
func (p Prompt) must() int {
	n := 0
	for n < len(p.Details) && p.Details[n].Must {
		n++
	}
	return n
}

// limit puts the moment harm begins forward to at, if that is sooner; zero is none.
func (p *Prompt) limit(at time.Time, of Limit) {
	if !at.IsZero() && (p.MustBy.IsZero() || at.Before(p.MustBy)) {
		p.MustBy, p.Limit = at, of
	}
}

// Stopped says that the act is a fill that nobody should do yet.
func (p Prompt) Stopped() bool { return p.stops }

// freshFill is the way out of a bath that nothing warms enough.
var freshFill = Way{Deed: Refill, Then: " for a fresh fill"}

// KettleWait is how a fill waits for kettle water.
type KettleWait int

// The waits: it takes none or has it, nobody has told of a kettle for it, one is
// on for it and cannot have boiled yet, or what has boiled for it is to boil again.
const (
	KettleReady KettleWait = iota
	KettleFirst
	KettleBoils
	KettleCooled
)

// NextAct is one of the acts to come across all tubs, in the order in which they
// are best done.
type NextAct struct {
	Prompt
	// Boil: it is the kettle that has to be put on, for a bath of Prompt.Tub.
	Boil    bool
	BoilL   float64
	BoilFor string // the step
	// BoilOn: it is on, and boils at DueAt. Refill: a boil is through, and the next, BoilL,
	// goes on; with Again the same goes on once more, for it has stood.
	BoilOn, Refill, Again bool
	// Behind: a boil that is due, while another's water waits in the kettle to be poured.
	Behind bool
	// Pours: boiled water that cools as it stands goes into its bath, and nothing that spoils would be
	// late behind it.
	Pours bool
	// PlanAt is when the timetable has it; zero if it has not.
	PlanAt time.Time
	// turn is its place among what presses as much: that of the first plan since the last deed. One that the
	// timetable does not have comes first: its tub has moved on since that was made.
	turn time.Time
	// Late is by how much it cannot but be late.
	Late     time.Duration
	LateWash bool
	Away     string // why, where the person is away then: "break", "quiet hours"
	wash     bool   // the lift from a bath with a release temperature
}
