package shed

import (
	"cmp"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
)

// StepKind says what a step of a method is.
type StepKind int

// Presoak, Wash and Rinse are baths; Spin and Rack are done by hand afterwards.
// What sets each apart is in its row of stepTable.
const (
	Presoak StepKind = iota
	Wash
	Rinse
	Spin
	Rack

	stepKinds // how many: a constant without a row has an empty one
)

// StepFacts is a row of the table of kinds of step. Code asks it for a fact and
// never which kind a step is, so that a new kind is a constant and a row.
type StepFacts struct {
	// Word is how the kind is written in a journal and shown.
	Word string
	// Names are the words in a step's own name that speak of this kind (AskKind).
	Names []string
	// Begins is how a tub waits for the step: ToFill for a bath, else for hands. No
	// step comes after one that begins in a later phase.
	Begins Phase
	// Next is the kind that is offered behind it, Usual what such a step is offered with.
	Next  StepKind
	Usual Step

	// Release: its bath holds loosened wax, which sets again below a release
	// temperature. The step must have one, and its lift cannot wait.
	Release bool
	// Sizes: a batch is made as large as its bath takes.
	Sizes bool
	// NoHotter: its bath is never hotter than the one before began.
	NoHotter bool
	// Teaches: readings of its bath tell how its tub keeps heat.
	Teaches bool
	// ByBatch: each batch chooses how long it is, or does without (PresoakChoice).
	ByBatch bool
	// Night: a soak of more than nightMin lasts until the person is up.
	Night bool
	// Weighed: the batch may be dried and weighed after it, for it takes soil and suint alone.
	Weighed bool
	// HangMin is how long fleece that comes hot out of it usually hangs, at the most, until
	// it is in the next bath, min: it cools, and its wax sets. 0: it may hang.
	HangMin float64
	// MixedC is what is offered for a bath mixed to a temperature, where Usual has none, °C.
	MixedC float64
	// DunkMin: a soak of no more minutes is dunked by hand; a longer one is left alone.
	DunkMin float64

	// Waxy: at its lift it is felt whether the wax is out.
	Waxy bool
	// Outdoors says where its water goes, where that is outdoors; Again when to repeat it.
	Outdoors, Again string
}

// Mixed rinses are warm, a little less than the wash, as a hot tap has it; presoaks are
// lukewarm, far below where wax melts (common practice, no source).
var stepTable = [stepKinds]StepFacts{
	Presoak: {
		Word: "presoak", Names: []string{"presoak"}, Begins: ToFill, Next: Rinse,
		ByBatch: true, Night: true, Weighed: true, MixedC: 30, DunkMin: quickPresoakMin,
		Outdoors: "water outdoors: it carries the soil", Again: "if the water is still brown, repeat the presoak",
	},
	Wash: {
		Word: "wash", Names: []string{"wash", "scour"}, Begins: ToFill, Next: Rinse,
		Release: true, Sizes: true, Teaches: true, HangMin: hotHangMin,
		Outdoors: "water outdoors, not down the drain: it carries the wax", Waxy: true,
	},
	Rinse: {
		Word: "rinse", Names: []string{"rinse"}, Begins: ToFill, Next: Rinse,
		Usual:    Step{Name: "rinse", SoakMin: 10, ShortestMin: 5, LongestMin: 40, Water: FromHot, MaxGapC: 12, FillPart: 1},
		NoHotter: true, Teaches: true, HangMin: hotHangMin, MixedC: 50,
		Outdoors: "water outdoors: it still carries some wax", Waxy: true,
	},
	Spin: {Word: "spin", Names: []string{"spin"}, Begins: ToSpin, Next: Rack},
	Rack: {Word: "rack", Names: []string{"rack"}, Begins: ToRack, Next: Rack, Usual: Step{Name: "rack", FillPart: 1}},
}

// How long wet fleece hangs at the most, min: minutes between a hot bath and the next
// (common practice, no source for the figure); after a cold one, and before it is spun,
// as it is planned, our own choice: it takes no harm there.
const (
	hotHangMin  = 10.0
	coldHangMin = 45.0
)

// UsualHangMin is how long fleece that comes out of a bath of the kind hangs, where its step has no word of it, min.
func (k StepKind) UsualHangMin() float64 { return cmp.Or(k.Facts().HangMin, coldHangMin) }

// HangsMin is how long fleece that was lifted from a step hangs until it is in the bath
// of the next, or spun, min: at the most as it is planned, and before it is called for;
// longest is 0 where it may hang. Nobody is called who is at it, a little slower than usual.
func (s *Step) HangsMin(next *Step) (planned, longest float64) {
	planned = coldHangMin
	hot := s.Kind.Facts().HangMin
	if s.Water == FromCold {
		hot = 0
	}
	switch {
	case !next.Kind.IsBath():
		return planned, 0
	case s.HangMin > 0:
		planned = s.HangMin
	case hot > 0:
		planned = hot
	}
	if hot == 0 {
		return planned, 0
	}
	return planned, max(planned, min(2*planned, coldHangMin))
}

// Dose is the part of the usual dose of scour that goes in, 0 if none does.
func (s *Step) Dose() float64 {
	switch {
	case !s.Dosed:
		return 0
	case s.DosePart > 0:
		return s.DosePart
	}
	return 1
}

// StepKinds lists all kinds in the order of a menu.
func StepKinds() []StepKind {
	out := make([]StepKind, len(stepTable))
	for i := range out {
		out[i] = StepKind(i)
	}
	return out
}

// Facts is the kind's row; a value that is no kind has an empty one.
func (k StepKind) Facts() *StepFacts {
	if k < 0 || int(k) >= len(stepTable) {
		return &StepFacts{}
	}
	return &stepTable[k]
}

var stepKindWords = func() measure.Words[StepKind] {
	var words []string
	for _, f := range stepTable {
		words = append(words, f.Word)
	}
	return measure.NewWords[StepKind]("a kind of step", words...)
}()

func (k StepKind) String() string                { return stepKindWords.Of(k) }
func (k StepKind) MarshalText() ([]byte, error)  { return stepKindWords.Write(k) }
func (k *StepKind) UnmarshalText(b []byte) error { return stepKindWords.Read(b, k) }

// IsBath says whether the step fills a tub.
func (k StepKind) IsBath() bool { return k.Facts().Begins == ToFill }

// HasRelease says that a release temperature binds the bath: its fleece has to be
// out before the bath comes down to ReleaseC.
func (s *Step) HasRelease() bool { return s.Kind.Facts().Release && s.ReleaseC > 0 }

// hasStep says that a method has a step with some fact.
func (m Method) hasStep(fact func(*StepFacts) bool) bool {
	return slices.ContainsFunc(m.Steps, func(s Step) bool { return fact(s.Kind.Facts()) })
}

// Step is one piece of a method with its limits. Temperatures in °C, times in
// minutes; a limit of 0 is no limit.
type Step struct {
	Kind StepKind `json:"kind"`
	Name string   `json:"name"`

	SoakMin     float64 `json:"soak_min"`     // planned
	ShortestMin float64 `json:"shortest_min"` // lifted sooner needs a word
	LongestMin  float64 `json:"longest_min"`  // alarm past this

	Water WaterFrom `json:"water"`
	AimC  float64   `json:"aim_c"` // at sink-in, when Mixed
	// LowestSinkC: below it the bath is too cool to start.
	LowestSinkC float64 `json:"lowest_sink_c"`
	// ReleaseC: in a wash, wax sets again on the fibre below it. Other baths have none.
	ReleaseC float64 `json:"release_c"`
	// MaxGapC: the bath should be no further than this from the one before.
	MaxGapC float64 `json:"max_gap_c"`
	// HangMin is how long its fleece may hang between its lift and the next bath; 0: as
	// is usual for its kind.
	HangMin float64 `json:"hang_min,omitempty"`

	FillPart float64 `json:"fill_part"` // of the tub's usual bath
	Dosed    bool    `json:"dosed"`     // scour goes in
	// DosePart of the usual dose, such as a half in a second wash; 0: all of it.
	DosePart float64 `json:"dose_part,omitempty"`
	DrainTo  DrainTo `json:"drain_to"`
	// TwiceForHighWax repeats the step for a fleece with much wax.
	TwiceForHighWax bool `json:"twice_for_high_wax"`
}

// Method is an ordered series of steps.
type Method struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	About string `json:"about,omitempty"`
	Steps []Step `json:"steps"`
	// As of a fleece.
	MadeAt    time.Time `json:"made_at,omitzero"`
	ChangedAt time.Time `json:"changed_at,omitzero"`
}

// Minutes of the presoak choices (common practice, no source): a few minutes'
// dunk up to overnight.

const quickPresoakMin = 5
