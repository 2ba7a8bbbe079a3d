package shed_test

import (
	"testing"

	"fleece.example/tubside/session/shed"
)

// A type that nobody knows still leaves a weight: the bath it sinks into needs one.
func TestABatchOfNoKnownTypeHasAWeight(t *testing.T) {
	b := shed.Batch{FleeceID: "f1", RawG: 200, Again: shed.Earlier{Day: 1, Batch: "A1"}}
	p := shed.Plan{Fleeces: []shed.Fleece{{ID: "f1", Type: 99}}}
	if g := p.ComesG(&b, false); !(g > 0 && g <= b.RawG) {
		t.Errorf("it comes with %v g", g)
	}
}
