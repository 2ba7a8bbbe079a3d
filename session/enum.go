package session

import (
	"fmt"
	"slices"
	"strings"
)

// words is the list of the written forms of an enumeration, in order of value.
// Every enumeration of the package is written as its word in JSON, so that a
// journal stays readable and survives a reordering of the constants.
type words []string

func (w words) of(v int) string {
	if v < 0 || v >= len(w) {
		return fmt.Sprintf("unknown(%d)", v)
	}
	return w[v]
}

// write is the word of a value. A value without one is refused: a journal must
// never hold what cannot be read back.
func (w words) write(what string, v int) ([]byte, error) {
	if v < 0 || v >= len(w) {
		return nil, fmt.Errorf("%d is not %s: use one of %s", v, what, strings.Join(w, ", "))
	}
	return []byte(w[v]), nil
}

// check says in a sentence that a value has no word.
func (w words) check(what string, v int) error {
	_, err := w.write(what, v)
	return err
}

func (w words) parse(what string, text []byte) (int, error) {
	if i := slices.Index(w, strings.ToLower(strings.TrimSpace(string(text)))); i >= 0 {
		return i, nil
	}
	return 0, fmt.Errorf("\"%s\" is not %s: use one of %s", clean(string(text), 20), what, strings.Join(w, ", "))
}

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

var fleeceTypeWords = words{"medium", "fine", "longwool", "double-coated"}

func (t FleeceType) String() string { return fleeceTypeWords.of(int(t)) }
func (t FleeceType) MarshalText() ([]byte, error) {
	return fleeceTypeWords.write("a fleece type", int(t))
}

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (t *FleeceType) UnmarshalText(b []byte) error {
	v, err := fleeceTypeWords.parse("a fleece type", b)
	if err == nil {
		*t = FleeceType(v)
	}
	return err
}

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

var levelWords = words{"medium", "low", "high"}

func (l Level) String() string               { return levelWords.of(int(l)) }
func (l Level) MarshalText() ([]byte, error) { return levelWords.write("a level", int(l)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (l *Level) UnmarshalText(b []byte) error {
	v, err := levelWords.parse("a level", b)
	if err == nil {
		*l = Level(v)
	}
	return err
}

// Levels lists all levels in the order of a menu.
func Levels() []Level { return []Level{Low, Average, High} }

// Form is how a batch lies in its basket.
type Form int

// The two forms: loose fleece may be pressed, locks are only raised and lowered.
const (
	Loose Form = iota
	Locks
)

var formWords = words{"loose", "locks"}

func (f Form) String() string               { return formWords.of(int(f)) }
func (f Form) MarshalText() ([]byte, error) { return formWords.write("a form", int(f)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (f *Form) UnmarshalText(b []byte) error {
	v, err := formWords.parse("a form", b)
	if err == nil {
		*f = Form(v)
	}
	return err
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

var presoakWords = words{"as the method", "none", "quick dunk", "overnight"}

func (p PresoakChoice) String() string               { return presoakWords.of(int(p)) }
func (p PresoakChoice) MarshalText() ([]byte, error) { return presoakWords.write("a presoak", int(p)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (p *PresoakChoice) UnmarshalText(b []byte) error {
	v, err := presoakWords.parse("a presoak", b)
	if err == nil {
		*p = PresoakChoice(v)
	}
	return err
}

// WaterFrom says where a bath's water comes from.
type WaterFrom int

// FromCold and FromHot take the tap as it comes; Mixed aims at a temperature
// from hot tap, cold tap and kettle.
const (
	FromCold WaterFrom = iota
	FromHot
	Mixed
)

var waterFromWords = words{"cold tap", "hot tap", "mixed"}

func (w WaterFrom) String() string { return waterFromWords.of(int(w)) }
func (w WaterFrom) MarshalText() ([]byte, error) {
	return waterFromWords.write("a source of water", int(w))
}

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (w *WaterFrom) UnmarshalText(b []byte) error {
	v, err := waterFromWords.parse("a source of water", b)
	if err == nil {
		*w = WaterFrom(v)
	}
	return err
}

// DrainTo says where used water goes.
type DrainTo int

// Waxy and soiled water goes outdoors where local rules allow it; clear
// rinses may go down the sink.
const (
	Outdoors DrainTo = iota
	Sink
)

var drainToWords = words{"outdoors", "sink"}

func (d DrainTo) String() string               { return drainToWords.of(int(d)) }
func (d DrainTo) MarshalText() ([]byte, error) { return drainToWords.write("a drain", int(d)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (d *DrainTo) UnmarshalText(b []byte) error {
	v, err := drainToWords.parse("a drain", b)
	if err == nil {
		*d = DrainTo(v)
	}
	return err
}

// Phase is what a tub is waiting for. Every phase but Soak is ended by a
// person's hands; Soak by time, then by the lift.
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

// act is the deed of the hands that ends a phase; Wait for an idle tub.
func (p Phase) act() Action {
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

var phaseWords = words{"idle", "fill", "sink in", "soak", "drain", "spin", "rack"}

func (p Phase) String() string               { return phaseWords.of(int(p)) }
func (p Phase) MarshalText() ([]byte, error) { return phaseWords.write("a phase", int(p)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (p *Phase) UnmarshalText(b []byte) error {
	v, err := phaseWords.parse("a phase", b)
	if err == nil {
		*p = Phase(v)
	}
	return err
}
