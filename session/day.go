package session

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Day is the state of one wash day: what follows from its journal. Treat a
// Day as a value: Apply returns a new one and never changes the old. Its size is a multiple of
// 64 bytes (TestDaysAreCopiedInLittleCode).
type Day struct {
	Plan      shed.Plan
	StartedAt time.Time // zero: not started
	EndedAt   time.Time // zero: still running
	EndEarly  bool
	boiled    bool            // no fill waits for the kettle
	Rang      Priority        // of what sounded at RangAt
	Tubs      []TubRun        // one for each of the kit's tubs
	Fate      map[string]Fate // by batch
	Baths     []Bath          // finished baths, in order of their end
	Alarms    []Alarm         // standing, put off or not yet seen, in order of raising
	Out       []AlarmKind     // out of service today
	AlarmLog  []Alarm         // every alarm that has cleared
	Notes     []shed.Note
	Kettle    KettleRun
	Sound     SoundProof      // whether the alarms' sound is proved
	Resumed   []time.Duration // gaps when the program was not running
	BackAt    time.Time       // when the last of them ended
	LastSeq   uint64
	LastAt    time.Time

	RangAt     time.Time   // when something last sounded
	ClockSetAt time.Time   // when the machine's clock was last set; zero: never
	boil       *NextBoil   // of its timetable; nil: nobody has made one
	names      *shed.Names // as they are now; nil: as they were on the day
	undo       *undoNode
	deeds      *deedNode   // all that was told and stands, the last first
	freeAt     time.Time   // when the person last did something
	worked     []worked    // what each act took
	breaks     []toldBreak // in the order they were told of
	breaksOff  []shed.Span // of those of the plan: called off, or over since
}

// Fate is where a batch is.
type Fate struct {
	Tub      int       // index of its tub, -1 before and after
	LoadedAt time.Time // zero: waiting
	SunkAt   time.Time // first in the water; zero: never
	LiftedAt time.Time // last out of a wash; zero: it was in none
	RackedAt time.Time // zero: not yet on the rack
	DryG     float64   // 0: not weighed
	DryAt    time.Time
	DryScale shed.Scale
	DryRH    float64     // humidity of the room it was weighed in, a part; 0: not known
	Washes   int         // how often it went into a wash
	Soaked   bool        // not racked, and in no bath but a presoak: PresoakedOnly
	Tray     string      // mark of the tray it was racked on; "": not known
	Spots    []shed.Spot // its places and layers there; none on a tray without layers
	SoakedG  float64     // after the presoak, dried again; 0: not weighed then
	SoakedOn shed.Scale
	Wet      []shed.WetWeight // weighed spun or drying, in order
	Out      Outcome          // how it came out
}

// undoNode keeps the day as it was before a person's event: beforeDeed.
type undoNode struct {
	before Day // without what a day only adds to, of which it had so many:
	baths  int
	alarms int
	notes  int
	acts   int
	seq    uint64
	at     time.Time
	depth  int
	weight bool // it was a weight
	event  Event
}

// toldBreak is a break that the person told of at a moment.
type toldBreak struct {
	shed.Span
	at time.Time
}

// deedNode is an event in the chain of those that stand: older days share it.
type deedNode struct {
	rec   Recorded
	older *deedNode
}

// Running says the day has begun and not ended.
func (d *Day) Running() bool { return !d.StartedAt.IsZero() && d.EndedAt.IsZero() }

// AsOf is a day that runs as it stands at now, to be looked back at: what lasts goes on until
// then, though nothing was written down.
func (d Day) AsOf(now time.Time) Day {
	if d.Running() && now.After(d.LastAt) {
		d.LastAt = now
	}
	return d
}

// TubRun is one tub during the day.
type TubRun struct {
	Batch   string      // "" while idle
	Steps   []shed.Step // of this batch
	At      int         // index of the current step
	Phase   shed.Phase
	PhaseAt time.Time // since when
	Cover   cooling.Cover
	HeldAt  time.Time // zero: not held
	Bath    Bath      // the current one; meaningful from ToFill to Draining
	// LastLiftC is the temperature the batch was lifted at, from the bath
	// before; 0 before the first. LastSankC is what that bath had when it went in.
	// LastWet says it has been in water.
	LastLiftC float64
	LastSankC float64
	LastWet   bool
	Washed    bool      // it has been lifted from a wash
	Used      shed.Step // whose water is still in the tub that is to be filled; no name: none's
	WetSince  time.Time // lifted then, and neither in its next bath nor spun; zero: not
	WetFrom   shed.Step // what it was lifted from
}

// Step is the current step; the zero Step while idle.
func (t *TubRun) Step() *shed.Step { return t.stepAt(t.At) }

func (t *TubRun) stepAt(at int) *shed.Step {
	if at < 0 || at >= len(t.Steps) {
		return &shed.Step{}
	}
	return &t.Steps[at]
}

// NextStep is the step that the tub waits for, or what comes behind its bath; the zero
// Step is none.
func (t *TubRun) NextStep() *shed.Step {
	if t.Phase == shed.Soaking || t.Phase == shed.Draining {
		return t.stepAt(t.At + 1)
	}
	return t.Step()
}

// Aside says that nothing is to be started in the tub: it leaks, or is wanted for something
// else.
func (t *TubRun) Aside() bool { return t.Phase == shed.Idle && t.Held() }

// Held says the person has set the tub aside.
func (t *TubRun) Held() bool { return !t.HeldAt.IsZero() }

// Bath is one filling of a tub.
type Bath struct {
	Tub       int
	Batch     string
	StepIndex int
	Step      shed.Step
	VolumeL   float64 // at filling
	FillC     float64 // at filling, before the fleece
	FillRead  bool    // a thermometer said so
	Unread    bool    // filled with more or less than was reckoned, nobody knows how warm
	DoseML    float64
	HotL      float64 // drawn from the hot tap for it; 0: not written down, or none
	FilledAt  time.Time
	SunkAt    time.Time
	LiftedAt  time.Time
	DrainedAt time.Time
	SinkC     float64 // forecast with the fleece in
	LiftC     float64 // forecast at the lift
	PlanMin   float64 // soak as the method had it
	SoakMin   float64 // soak as planned now
	HeldFor   time.Duration
	Changes   []HeatChange
	Rooms     []RoomAt // since the filling, in order; none: the kit's all the time
	Readings  []Reading
	Skipped   bool // ended by skipping or repeating the step
}

// HeatChange is something that changes how a bath cools.
type HeatChange struct {
	At    time.Time
	Cover cooling.Cover // on the tub from here on
	AddL  float64       // water poured in, litres
	BailL float64       // water taken out before that, at the bath's own temperature
	AddC  float64
	// AddJPerK is the heat capacity of the wet fleece sinking in, at AddC.
	AddJPerK float64
}

// RoomAt is the room from a moment on.
type RoomAt struct {
	At    time.Time
	RoomC float64
}

// Reading is a thermometer reading.
type Reading struct {
	At        time.Time
	TempC     float64
	ForecastC float64
	Doubtful  bool // another reading contradicts it (Bath.doubt): nothing follows from it
}

// worked is what one act took.
type worked struct {
	act shed.Action
	min float64
}

// NextBoil is when the list has the kettle put on next, and for which bath; the zero
// one is a list without a boil.
type NextBoil struct {
	Batch string
	Step  int
	At    time.Time
}

// SoundProof is what is known of the alarms' sound on this day.
type SoundProof struct {
	At    time.Time // zero: nobody has tried
	Heard bool      // the person heard it
	Path  string    // what played it
}

// SoakEndAt is when the soak is done; zero if it has not begun. While a tub is
// held the end moves on with now.
func (t *TubRun) SoakEndAt(now time.Time) time.Time {
	if t.Bath.SunkAt.IsZero() {
		return time.Time{}
	}
	return t.Bath.SunkAt.Add(measure.Lasting(t.Bath.SoakMin) + t.heldFor(now))
}

// heldFor is how long this soak has been on hold.
func (t *TubRun) heldFor(now time.Time) time.Duration {
	held := t.Bath.HeldFor
	if t.Held() && t.Phase == shed.Soaking {
		held += max(0, now.Sub(t.HeldAt))
	}
	return held
}

// soaked is how far the soak clock has come; it stands while the tub is held.
func (t *TubRun) soaked(now time.Time) time.Duration {
	if t.Bath.SunkAt.IsZero() {
		return 0
	}
	return max(0, now.Sub(t.Bath.SunkAt)-t.heldFor(now))
}

// LongestAt is when the longest soak is passed; zero if there is no limit.
func (t *TubRun) LongestAt() time.Time {
	if t.Bath.SunkAt.IsZero() || t.Bath.Step.LongestMin <= 0 {
		return time.Time{}
	}
	return t.Bath.SunkAt.Add(measure.Lasting(t.Bath.Step.LongestMin))
}

// HangsTill is until when the plan lets wet fleece hang between two baths, or before it
// is spun; zero if none hangs.
func (t *TubRun) HangsTill() time.Time {
	planned, _ := t.WetFrom.HangsMin(t.NextStep())
	return t.wetFor(planned)
}

// WetBy is from when on fleece that came hot from its bath has hung too long, which
// rings; zero where it may hang.
func (t *TubRun) WetBy() time.Time {
	_, longest := t.WetFrom.HangsMin(t.NextStep())
	return t.wetFor(longest)
}

func (t *TubRun) wetFor(min float64) time.Time {
	if t.WetSince.IsZero() || t.Phase == shed.ToRack || min == 0 {
		return time.Time{}
	}
	return t.WetSince.Add(measure.Lasting(min))
}

// OpenSince is since when the bath with the fleece in it lies without a cover; zero if it
// has one.
func (t TubRun) OpenSince() (at time.Time) {
	if t.Phase != shed.Soaking {
		return at
	}
	for _, c := range t.Bath.Changes {
		switch {
		case c.At.Before(t.Bath.SunkAt):
		case c.Cover != cooling.Open:
			at = time.Time{}
		case at.IsZero():
			at = c.At
		}
	}
	return at
}

// fleeceIn says there is fleece in the water of this tub.
func (t *TubRun) fleeceIn() bool { return t.Phase == shed.Soaking }

// Batch finds a batch by its mark.
func (d *Day) Batch(id string) (*shed.Batch, bool) {
	for i := range d.Plan.Batches {
		if b := &d.Plan.Batches[i]; b.ID == id {
			return b, true
		}
	}
	return &shed.Batch{}, false
}

// Fleece finds a fleece by its mark.
func (d *Day) Fleece(id string) (*shed.Fleece, bool) {
	for i := range d.Plan.Fleeces {
		if f := &d.Plan.Fleeces[i]; f.ID == id {
			return f, true
		}
	}
	return &shed.Fleece{}, false
}

// FleeceOf finds the fleece a batch comes from.
func (d *Day) FleeceOf(batch string) *shed.Fleece {
	b, _ := d.Batch(batch)
	f, _ := d.Fleece(b.FleeceID)
	return f
}

// Waiting lists the batches that have not been in a tub yet, in order.
func (d Day) Waiting() []shed.Batch {
	var out []shed.Batch
	for _, b := range d.Plan.Batches {
		if d.Fate[b.ID].LoadedAt.IsZero() {
			out = append(out, b)
		}
	}
	return out
}

// PresoakedOnly says that the batch has been in a presoak and in no bath after it: it is
// still to wash, unless it was thrown away.
func (f Fate) PresoakedOnly() bool { return f.Soaked && f.Out.Found&ThrownAway == 0 }

// InWater says that the batch went in and is not on the rack, nor thrown away: it may be wet still.
func (f Fate) InWater() bool {
	return !f.SunkAt.IsZero() && f.RackedAt.IsZero() && f.Out.Found&ThrownAway == 0
}

// OnTray says that the batch dries on a tray.
func (f *Fate) OnTray() bool { return f.Tray != "" && f.DryG == 0 && f.Out.Found&ThrownAway == 0 }

// Washed lists the batches that went into the water, or on to the rack without it,
// in order; those of a day that is over which were only presoaked are still to wash. Only of
// these there is anything to tell once the day is over: the others are part of their fleece
// again.
func (d Day) Washed() []shed.Batch {
	var out []shed.Batch
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		if in := !f.SunkAt.IsZero() || !f.RackedAt.IsZero(); in && (d.EndedAt.IsZero() || !f.PresoakedOnly()) {
			out = append(out, b)
		}
	}
	return out
}

// WashedIn is the name of the tub that a batch had its first wash in, "" where none is known.
func (d *Day) WashedIn(b *shed.Batch) string {
	for _, x := range d.Baths {
		if x.Batch == b.ID && x.Step.HasRelease() && x.Tub < len(d.Plan.Kit.Tubs) {
			return d.Plan.Kit.Tubs[x.Tub].Name
		}
	}
	for _, t := range d.Plan.Kit.Tubs {
		if t.ID == b.Card.TubID && t.ID != "" {
			return t.Name
		}
	}
	return b.Card.Tub
}

// AllRacked says every batch of the plan is on the rack.
func (d Day) AllRacked() bool {
	for _, b := range d.Plan.Batches {
		if d.Fate[b.ID].RackedAt.IsZero() {
			return false
		}
	}
	return len(d.Plan.Batches) > 0
}

// WithoutUndo is the day without what undo could take back.
func (d Day) WithoutUndo() Day {
	d.undo = nil
	return d
}

// Named is the day with the names as they are now. What it was washed by stays:
// sizes, weights, temperatures, type and wax of a fleece. What is not in the
// ledger any more keeps the name that it had last.
func (d Day) Named(n shed.Names) Day {
	d.names = &n
	d.Plan = n.Plan(d.Plan)
	if n.ScalesRenamed() {
		d.Fate = maps.Clone(d.Fate)
		for id, f := range d.Fate {
			f.DryScale, f.SoakedOn, f.Wet = n.Scale(f.DryScale), n.Scale(f.SoakedOn), slices.Clone(f.Wet)
			for i := range f.Wet {
				f.Wet[i].Scale = n.Scale(f.Wet[i].Scale)
			}
			d.Fate[id] = f
		}
	}
	return d
}

// Left is when the program was closed, and the last event of the running day at that
// time. A day with later events was cut off without a close.
type Left struct {
	Day shed.DayID `json:"day"`
	Seq uint64     `json:"seq"`
	At  time.Time  `json:"at"`
}

// clone copies what Apply may change; finished baths are never changed and are
// shared.
func (d Day) clone() Day {
	d.Tubs = slices.Clone(d.Tubs)
	d.Alarms = slices.Clone(d.Alarms)
	d.Out = slices.Clip(d.Out)
	d.AlarmLog = slices.Clip(d.AlarmLog) // clipped: an append makes a new one
	d.Baths = slices.Clip(d.Baths)
	d.Notes = slices.Clip(d.Notes)
	d.Resumed = slices.Clip(d.Resumed)
	d.worked = slices.Clip(d.worked)
	return d
}

// setFate says where a batch is now, in a map of its own: most events move no batch,
// and the days before and after them share one.
func (d *Day) setFate(batch string, f Fate) {
	d.Fate = maps.Clone(d.Fate)
	d.Fate[batch] = f
}

// TubName is the name of a tub (index) for a sentence, "the day" where it is none.
func (d *Day) TubName(tub int) string {
	if tub < 0 || tub >= len(d.Plan.Kit.Tubs) {
		return "the day"
	}
	return d.Plan.Kit.Tubs[tub].Name
}

func (d *Day) checkBathC(tub int, what string, c float64) error {
	return d.Plan.Kit.CheckTempC(d.TubName(tub)+": "+what+" of", c, bathRangeC)
}

func (d *Day) toWeigh(batch string) (shed.Batch, error) {
	if d.StartedAt.IsZero() {
		return shed.Batch{}, fmt.Errorf("the day has not begun: there is nothing to weigh")
	}
	b, ok := d.Batch(batch)
	if !ok {
		return *b, fmt.Errorf("there is no batch \"%s\" on this day", measure.CleanText(batch, 20))
	}
	return *b, nil
}

// lastWetG is the last weight on the way to dry, 0 if there is none.
func (f Fate) lastWetG() float64 {
	if len(f.Wet) == 0 {
		return 0
	}
	return f.Wet[len(f.Wet)-1].MassG
}

// weighedAgain is how soon a second weighing on the rack is taken for the same one.
const weighedAgain = 5 * time.Minute

// corrects says that a weight now replaces the last one. Before the batch is racked
// there is one weight, as spun; on the rack a second weight within weighedAgain is the
// same weighing.
func corrects(f Fate, now time.Time) bool {
	return len(f.Wet) > 0 && (f.RackedAt.IsZero() || now.Sub(f.Wet[len(f.Wet)-1].At) < weighedAgain)
}
