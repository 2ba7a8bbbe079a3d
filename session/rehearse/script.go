// Package rehearse holds scripts of invented wash days and the invented person
// who acts in them. A script is a plan, what that person is like, and what else
// is done at which minute. Player acts a script out for whoever lets time pass;
// Play lets it pass by itself and needs no screen.
//
// Like the rest of the core it reads no clock, no file and no terminal, and
// the same script makes the same journal every time.
package rehearse

import (
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// version is the number of the layout of scripts that this program reads.
const version = 1

// Script is an invented wash day. Read makes one that holds together.
type Script struct {
	// About says what the day shows, and that it is invented.
	About string
	Start time.Time
	Plan  shed.Plan
	Hands *Hands // nil: nothing is done but what Do says
	Truth *Truth // nil: every reading brings its temperature
	Do    []Entry
	// Expect lists events that have to come; Play checks them.
	Expect []Expectation
}

// Hands is what the invented person is like. They do the most pressing prompt,
// one thing at a time, and hear nothing while they are away.
type Hands struct {
	// ReachesTubS is how long it takes to get to another tub.
	ReachesTubS float64 `json:"reaches_tub_s"`
	// BusyS is how long each action takes; what is left out takes its usual time.
	BusyS map[shed.Action]float64 `json:"busy_s,omitempty"`
	// ReadsFills: a thermometer goes into every new bath.
	ReadsFills bool `json:"reads_fills,omitempty"`
	// SitsMin: once nothing is left to do they sit down, for so long at most, and
	// come when something sounds; 0 watches the clock instead.
	SitsMin float64 `json:"sits_min,omitempty"`
	// TellsKettle: they put the kettle on when it is called for, and say so, and
	// that it has boiled.
	TellsKettle bool `json:"tells_kettle,omitempty"`
	// Reads: they take a reading when one is asked for; needs a truth.
	Reads bool   `json:"reads,omitempty"`
	Away  []Away `json:"away,omitempty"`
}

// Away is a time the person does not come; with a tub, not to that one.
type Away struct {
	FromMin float64 `json:"from_min"`
	ToMin   float64 `json:"to_min"`
	Tub     string  `json:"tub,omitempty"`
}

// Truth is how the baths really are, for readings that bring no temperature:
// as the forecast has them, but losing LossFactor times the heat, and read with
// an error of about ThermometerErrorC that follows from Seed.
type Truth struct {
	LossFactor        float64 `json:"loss_factor"`
	ThermometerErrorC float64 `json:"thermometer_error_c"`
	Seed              uint64  `json:"seed"`
}

// Entry is one thing done at one time. Which fields go with which word is in
// the table of words.
type Entry struct {
	_       [0]func()      // nobody compares two: no code for it
	AtMin   *float64       `json:"at_min"`
	Tub     string         `json:"tub,omitempty"`
	Do      string         `json:"do"`
	Act     *shed.Action   `json:"act,omitempty"` // next: what it should be
	TempC   *float64       `json:"temp_c,omitempty"`
	VolumeL *float64       `json:"volume_l,omitempty"`
	Cover   *cooling.Cover `json:"cover,omitempty"`
	ByMin   *float64       `json:"by_min,omitempty"`
	Batch   string         `json:"batch,omitempty"`
	DryG    *float64       `json:"dry_g,omitempty"`
	Text    string         `json:"text,omitempty"`
	Sooner  bool           `json:"sooner,omitempty"`
	Sure    bool           `json:"sure,omitempty"`
	Anyway  bool           `json:"anyway,omitempty"`
}

// Expectation is an event that has to come within WithinS of AtMin.
type Expectation struct {
	AtMin   *float64           `json:"at_min"`
	WithinS float64            `json:"within_s"`
	Event   string             `json:"event"`
	Tub     string             `json:"tub,omitempty"`
	Alarm   *session.AlarmKind `json:"alarm,omitempty"`
}

// written is a script as it stands in its file.
type written struct {
	Version int           `json:"version"`
	About   string        `json:"about"`
	Start   string        `json:"start"`
	Plan    writtenPlan   `json:"plan"`
	Hands   *Hands        `json:"hands"`
	Truth   *Truth        `json:"truth"`
	Do      []Entry       `json:"do"`
	Expect  []Expectation `json:"expect"`
}

// writtenPlan is session.Plan with what may be left out.
type writtenPlan struct {
	Kit     *shed.Kit     `json:"kit"`
	Method  *shed.Method  `json:"method"`
	Fleeces []shed.Fleece `json:"fleeces"`
	Batches []shed.Batch  `json:"batches"`
}

func (w writtenPlan) plan() shed.Plan {
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: w.Fleeces, Batches: w.Batches}
	if w.Kit != nil {
		p.Kit = *w.Kit
	}
	if w.Method != nil {
		p.Method = *w.Method
	}
	return p.Clean()
}
