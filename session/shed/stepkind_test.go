package shed_test

import (
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Each kind has all of its row that the others of its sort have.
func TestStepTable(t *testing.T) {
	for _, k := range shed.StepKinds() {
		f := k.Facts()
		if f.Word == "" || len(f.Names) == 0 || f.Begins == shed.Idle {
			t.Errorf("kind %d: %+v", int(k), f)
		}
		if f.Next.Facts().Usual.Name == "" || f.Next.Facts().Begins < f.Begins {
			t.Errorf("%s: a %s cannot be offered behind it", k, f.Next)
		}
		if k.IsBath() && f.Outdoors == "" {
			t.Errorf("%s is a bath, and nothing says where its water goes (Outdoors)", k)
		}
		if !k.IsBath() && (f.Release || f.Sizes || f.NoHotter || f.Teaches || f.ByBatch || f.Night || f.Weighed || f.DunkMin > 0) {
			t.Errorf("%s is no bath and has facts of one: %+v", k, f)
		}
	}
	if f := shed.StepKind(99).Facts(); f.Word != "" || shed.StepKind(99).IsBath() {
		t.Errorf("what is no kind has a row: %+v", f)
	}
}

// A step that is offered fits where it is offered.
func TestOfferedStep(t *testing.T) {
	m := shed.BuiltInMethod()
	for i := 1; i <= len(m.Steps); i++ {
		with := m
		with.Steps = append(append([]shed.Step(nil), m.Steps[:i]...), m.Offer(i))
		with.Steps = append(with.Steps, m.Steps[i:]...)
		if err := with.ValidateIn(measure.Metric); err != nil && with.Steps[i-1].Kind.IsBath() == with.Steps[i].Kind.IsBath() {
			t.Errorf("offered behind step %d: %v", i, err)
		}
	}
}
