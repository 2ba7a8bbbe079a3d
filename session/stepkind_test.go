package session_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// Each kind has all of its row that the others of its sort have.
func TestStepTable(t *testing.T) {
	for _, k := range session.StepKinds() {
		f := k.Facts()
		if f.Word == "" || len(f.Names) == 0 || f.Begins == session.Idle {
			t.Errorf("kind %d: %+v", int(k), f)
		}
		if f.Next.Facts().Usual.Name == "" || f.Next.Facts().Begins < f.Begins {
			t.Errorf("%s: a %s cannot be offered behind it", k, f.Next)
		}
		if k.IsBath() && (f.Outdoors == "" || f.Forgotten == session.SoakDone) {
			t.Errorf("%s is a bath and lacks its words or its alarm: %+v", k, f)
		}
		if !k.IsBath() && (f.Release || f.Sizes || f.NoHotter || f.Teaches || f.ByBatch || f.Night || f.Weighed || f.DunkMin > 0) {
			t.Errorf("%s is no bath and has facts of one: %+v", k, f)
		}
	}
	if f := session.StepKind(99).Facts(); f.Word != "" || session.StepKind(99).IsBath() {
		t.Errorf("what is no kind has a row: %+v", f)
	}
}

// A step that is offered fits where it is offered.
func TestOfferedStep(t *testing.T) {
	m := session.BuiltInMethod()
	for i := 1; i <= len(m.Steps); i++ {
		with := m
		with.Steps = append(append([]session.Step(nil), m.Steps[:i]...), m.Offer(i))
		with.Steps = append(with.Steps, m.Steps[i:]...)
		if err := with.ValidateIn(measure.Metric); err != nil && with.Steps[i-1].Kind.IsBath() == with.Steps[i].Kind.IsBath() {
			t.Errorf("offered behind step %d: %v", i, err)
		}
	}
}

// No code asks which kind a step is: it asks the table.
func TestKindsAreAskedForFacts(t *testing.T) {
	var names []string
	for _, k := range []string{"Presoak", "Wash", "Rinse", "Spin", "Rack"} {
		names = append(names, `(session\.)?`+k+`\b`)
	}
	asks := regexp.MustCompile(`([!=]= |\bcase .*\b)(` + strings.Join(names, "|") + `)`)
	err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		raw, err := os.ReadFile(path)
		for i, l := range strings.Split(string(raw), "\n") {
			if code, _, _ := strings.Cut(l, "//"); asks.MatchString(code) {
				t.Errorf("%s:%d asks for one kind of step: %s", path, i+1, strings.TrimSpace(l))
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
