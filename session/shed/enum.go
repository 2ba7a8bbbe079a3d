package shed

import (
	"fleece.example/tubside/session/measure"
)

// Action is what the coach asks for: the obvious next thing at a tub.
type Action int

// The actions.
const (
	Wait      Action = iota // nothing to do by hand yet
	LoadNext                // give an idle tub its next batch
	FillTub                 // water and scour
	SinkIn                  // the fleece goes in
	Lift                    // the fleece comes out
	DrainTub                // let it drain, empty the tub
	SpinFibre               // after the last bath
	RackFibre               // spread on the rack, labelled
	FinishDay               // all is racked
)

var actionWords = measure.NewWords[Action]("an action", "wait", "load", "fill", "sink in", "lift", "drain", "spin", "rack", "finish")

// String is an action's mark in scripts and files; Shown, what a person reads.
func (a Action) String() string { return actionWords.Of(a) }

// Shown says it in the words of the screens.
func (a Action) Shown() string {
	switch a {
	case LoadNext:
		return "start"
	case SinkIn:
		return "lower in"
	default:
		return a.String()
	}
}

func (a Action) MarshalText() ([]byte, error)  { return actionWords.Write(a) }
func (a *Action) UnmarshalText(b []byte) error { return actionWords.Read(b, a) }

// FleeceType says what kind of fibre a fleece has; it decides how much room a
// batch takes and what yield to expect.
type FleeceType int

// The types of fleece, by the trade's names.
const (
	Medium FleeceType = iota
	Fine
	Longwool
	DoubleCoated
)

var fleeceTypeWords = measure.NewWords[FleeceType]("a fleece type", "medium", "fine", "longwool", "double-coated")

func (t FleeceType) String() string                { return fleeceTypeWords.Of(t) }
func (t FleeceType) MarshalText() ([]byte, error)  { return fleeceTypeWords.Write(t) }
func (t *FleeceType) UnmarshalText(b []byte) error { return fleeceTypeWords.Read(b, t) }

// FleeceTypes lists all types in the order of a menu.
func FleeceTypes() []FleeceType { return []FleeceType{Fine, Medium, Longwool, DoubleCoated} }

// Level grades wax and the tendency to felt.
type Level int

// The levels.
const (
	Average Level = iota
	Low
	High
)

var levelWords = measure.NewWords[Level]("a level", "medium", "low", "high")

func (l Level) String() string                { return levelWords.Of(l) }
func (l Level) MarshalText() ([]byte, error)  { return levelWords.Write(l) }
func (l *Level) UnmarshalText(b []byte) error { return levelWords.Read(b, l) }

// Levels lists all levels in the order of a menu.
func Levels() []Level { return []Level{Low, Average, High} }

// RestOf is what becomes of the raw rest of a fleece.
type RestOf int

// What becomes of it. Only RestToWash is still to wash.
const (
	RestToWash RestOf = iota
	RestDiscarded
	RestGivenAway
)

var restWords = measure.NewWords[RestOf]("what becomes of the rest", "to wash", "discarded", "given away")

func (r RestOf) String() string { return restWords.Of(r) }

// MarshalText writes the word.
func (r RestOf) MarshalText() ([]byte, error) { return restWords.Write(r) }

// UnmarshalText reads the word.
func (r *RestOf) UnmarshalText(b []byte) error { return restWords.Read(b, r) }

// RestsOf lists what may become of it.
func RestsOf() []RestOf { return []RestOf{RestToWash, RestDiscarded, RestGivenAway} }

// Form is how a batch lies in its basket.
type Form int

// The two forms: loose fleece may be pressed, locks are only raised and lowered. Of an old
// wash nobody may have said which.
const (
	Loose Form = iota
	Locks
	FormUnsaid
)

var (
	formWords = measure.NewWords[Form]("a form", "loose", "locks", "unsaid")
	saidForms = measure.NewWords[Form]("a form", "loose", "locks")
)

func (f Form) String() string               { return formWords.Of(f) }
func (f Form) MarshalText() ([]byte, error) { return formWords.Write(f) }

// UnmarshalText reads the word; an unknown one is answered with those that people say.
func (f *Form) UnmarshalText(b []byte) error {
	if formWords.Read(b, f) == nil {
		return nil
	}
	return saidForms.Read(b, f)
}

// PresoakChoice is how long a batch lies in cool water before the wash.
type PresoakChoice int

// The choices. PresoakAsMethod takes the minutes that the method's step has.
const (
	PresoakAsMethod PresoakChoice = iota
	PresoakNone
	PresoakQuick
	PresoakOvernight
)

var presoakWords = measure.NewWords[PresoakChoice]("a presoak", "as the method", "none", "quick dunk", "overnight")

func (p PresoakChoice) String() string                { return presoakWords.Of(p) }
func (p PresoakChoice) MarshalText() ([]byte, error)  { return presoakWords.Write(p) }
func (p *PresoakChoice) UnmarshalText(b []byte) error { return presoakWords.Read(b, p) }

// WaterFrom says where a bath's water comes from.
type WaterFrom int

// FromCold and FromHot take the tap as it comes; Mixed aims at a temperature
// from hot tap, cold tap and kettle.
const (
	FromCold WaterFrom = iota
	FromHot
	Mixed
)

var waterFromWords = measure.NewWords[WaterFrom]("a source of water", "cold tap", "hot tap", "mixed")

func (w WaterFrom) String() string                { return waterFromWords.Of(w) }
func (w WaterFrom) MarshalText() ([]byte, error)  { return waterFromWords.Write(w) }
func (w *WaterFrom) UnmarshalText(b []byte) error { return waterFromWords.Read(b, w) }

// DrainTo says where used water goes.
type DrainTo int

// Waxy and soiled water goes outdoors where local rules allow it; clear
// rinses may go down the sink.
const (
	Outdoors DrainTo = iota
	Sink
)

var drainToWords = measure.NewWords[DrainTo]("a drain", "outdoors", "sink")

func (d DrainTo) String() string                { return drainToWords.Of(d) }
func (d DrainTo) MarshalText() ([]byte, error)  { return drainToWords.Write(d) }
func (d *DrainTo) UnmarshalText(b []byte) error { return drainToWords.Read(b, d) }

// Phase is what a tub is waiting for. Every phase but Soaking is ended by a
// person's hands; Soaking by time, then by the lift.
type Phase int

// The phases, in the order a bath goes through them.
const (
	Idle     Phase = iota // no batch in this tub
	ToFill                // water, then scour
	ToSink                // filled: the fleece sinks in
	Soaking               // fleece in the water, until it is lifted
	Draining              // lifted: drain it, empty the tub
	ToSpin                // after the last bath
	ToRack                // spun: spread on the rack, labelled
)

// Act is the deed of the hands that ends a phase; Wait for an idle tub.
func (p Phase) Act() Action {
	switch p {
	case ToFill:
		return FillTub
	case ToSink:
		return SinkIn
	case Soaking:
		return Lift
	case Draining:
		return DrainTub
	case ToSpin:
		return SpinFibre
	case ToRack:
		return RackFibre
	case Idle:
	}
	return Wait
}

var phaseWords = measure.NewWords[Phase]("a phase", "idle", "fill", "sink in", "soak", "drain", "spin", "rack")

// String is a phase's mark in files; Shown, what a person reads.
func (p Phase) String() string { return phaseWords.Of(p) }

// Shown says it in the words of the screens.
func (p Phase) Shown() string {
	if p == ToSink {
		return SinkIn.Shown()
	}
	return p.String()
}

func (p Phase) MarshalText() ([]byte, error)  { return phaseWords.Write(p) }
func (p *Phase) UnmarshalText(b []byte) error { return phaseWords.Read(b, p) }

// DayID names a day in the journal; days count up from 1.
type DayID uint64

// MaxName is how many characters of a name are kept.
const MaxName = 40

// MaxNote is how many characters of a note are kept.
const MaxNote = 400
