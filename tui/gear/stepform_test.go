package gear_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/gear"
)

// What a step's form says of hanging is of its own water, and what it offers round in the
// person's units.
func TestStepFormIsOfItsStep(t *testing.T) {
	for _, st := range shed.BuiltInMethod().Steps {
		of := st.In(measure.US)
		for _, p := range gear.StepPages(measure.US, &of) {
			for _, f := range p.Fields {
				switch {
				case strings.HasPrefix(f.Label, "From its lift") && of.Kind.IsBath() && strings.Contains(f.Why, "hot fleece") != (of.Kind != shed.Presoak):
					t.Errorf("%s: %s", of.Name, f.Why)
				case strings.HasPrefix(f.Label, "Most change") && of.MaxGapC > 0 && f.Value() != "22":
					t.Errorf("%s: at most %s °F are offered", of.Name, f.Value())
				}
			}
		}
		if st.In(measure.Metric) != st {
			t.Errorf("%s is another step in metric units", st.Name)
		}
	}
}

// What is offered for a bath mixed to a temperature is of its kind: no rinse as hot as the wash, nor one that
// has to begin hot. What is refused is repeated as it was typed.
func TestMixedBathIsOfItsKind(t *testing.T) {
	for u, want := range map[measure.System][3]string{measure.Metric: {"30", "65.5", "50"}, measure.US: {"85", "150", "120"}} {
		for kind, aim := range want {
			st := shed.Step{Kind: shed.StepKind(kind), Name: "own", SoakMin: 10, Water: shed.Mixed}
			for _, p := range gear.StepPages(u, &st) {
				for _, f := range p.Fields {
					coolest := f.Label == "Coolest start, "+u.TempUnit() && st.Kind != shed.Wash && f.Value() != "none"
					if coolest || strings.HasPrefix(f.Label, "Bath with the fleece") && f.Value() != aim {
						t.Errorf("%v, a %v: %q offers %s", u, st.Kind, f.Label, f.Value())
					}
				}
			}
		}
	}
}
