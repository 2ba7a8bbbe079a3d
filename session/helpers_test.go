package session_test

import (
	"fmt"
	"go/ast"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"fleece.example/tubside/session"
)

// reporter is what a test, a benchmark and a property share.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// dawn is when the tests' days begin; any moment would do.
var dawn = time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)

func ago(min float64) time.Duration { return time.Duration(min * float64(time.Minute)) }

// threeTubs is a day of three batches from three animals. Animals and farms
// are invented here and everywhere else in these tests.
func threeTubs(change ...func(*session.Plan)) session.Plan {
	p := session.Plan{
		Kit: session.DefaultKit(), Method: session.BuiltInMethod(),
		Fleeces: []session.Fleece{
			{ID: "f1", Animal: "Bramble", Farm: "Nowhere Fold", Year: 2026, Type: session.Longwool, Wax: session.Low, RawG: 3200},
			{ID: "f2", Animal: "Pip", Farm: "Nowhere Fold", Year: 2026, Type: session.Fine, Wax: session.High, RawG: 2400},
			{ID: "f3", Animal: "Thistle", Farm: "Made-up Mill", Year: 2025, Type: session.DoubleCoated, RawG: 1500},
		},
		Batches: []session.Batch{
			{FleeceID: "f1", RawG: 225},
			{FleeceID: "f2", RawG: 150},
			{FleeceID: "f3", RawG: 115, Form: session.Locks, Presoak: session.PresoakQuick},
		},
	}
	for _, c := range change {
		c(&p)
	}
	return p
}

// oneTub is a single batch that goes straight into the hot wash of North.
func oneTub(change ...func(*session.Plan)) session.Plan {
	return threeTubs(append([]func(*session.Plan){func(p *session.Plan) {
		p.Kit.Tubs, p.Fleeces, p.Batches = p.Kit.Tubs[:1], p.Fleeces[:1], p.Batches[:1]
		p.Batches[0].Presoak = session.PresoakNone
	}}, change...)...)
}

// run is a day being lived, with its journal.
type run struct {
	t    reporter
	day  session.Day
	now  time.Time
	recs []session.Recorded
}

func start(t reporter, p session.Plan) *run {
	t.Helper()
	r := &run{t: t, now: dawn}
	return r.do(session.StartDay{Plan: p})
}

// do carries out a command that has to be accepted.
func (r *run) do(commands ...session.Command) *run {
	r.t.Helper()
	for _, c := range commands {
		day, recs, err := session.Do(r.day, c, r.now)
		if err != nil {
			r.t.Fatalf("%T refused: %v", c, err)
		}
		r.day, r.recs = day, append(r.recs, recs...)
	}
	return r
}

// refused carries out a command that has to be refused with a sentence in
// which every fragment appears, and that leaves the day alone.
func (r *run) refused(c session.Command, fragments ...string) error {
	r.t.Helper()
	day, recs, err := session.Do(r.day, c, r.now)
	if err == nil {
		r.t.Fatalf("%#v was accepted", c)
	}
	if len(recs) > 0 || !reflect.DeepEqual(day, r.day) {
		r.t.Errorf("%T was refused and changed the day", c)
	}
	sentence(r.t, err)
	for _, f := range fragments {
		if !strings.Contains(err.Error(), f) {
			r.t.Errorf("%T: %q does not say %q", c, err, f)
		}
	}
	return err
}

// wait lets so many minutes pass, second by second.
func (r *run) wait(min float64) *run {
	for end := r.now.Add(ago(min)); r.now.Before(end); {
		r.tick(time.Second)
	}
	return r
}

// tick lets time pass in one step.
func (r *run) tick(d time.Duration) *run {
	r.now = r.now.Add(d)
	day, recs := session.Tick(r.day, r.now)
	r.day, r.recs = day, append(r.recs, recs...)
	return r
}

// next does the obvious action at tubs.
func (r *run) next(tubs ...int) *run {
	r.t.Helper()
	for _, tub := range tubs {
		r.do(session.DoNext{Tub: tub, Act: r.day.NextAction(tub), Sooner: true})
	}
	return r
}

// until does the obvious action at a tub, at once, until it is in a phase.
func (r *run) until(tub int, phase session.Phase) *run {
	r.t.Helper()
	for range 60 {
		if r.day.Tubs[tub].Phase == phase {
			return r
		}
		r.next(tub)
	}
	r.t.Fatalf("tub %d never came to %s", tub, phase)
	return r
}

// standing lists the standing alarms as "North: soak done".
func standing(d session.Day) []string {
	var out []string
	for _, a := range d.Alarms {
		name := "the day"
		if a.Tub >= 0 {
			name = d.Plan.Kit.Tubs[a.Tub].Name
		}
		out = append(out, name+": "+a.Kind.String())
	}
	slices.Sort(out)
	return out
}

// rings lists the seconds after from at which alarms rang, each "kind@second".
func (r *run) rings(from time.Time) []string {
	var out []string
	for _, rec := range r.recs {
		s := int(rec.At.Sub(from).Seconds())
		switch e := rec.Event.(type) {
		case session.AlarmRaised:
			out = append(out, fmt.Sprintf("%s@%d", e.Alarm, s))
		case session.AlarmRepeated:
			out = append(out, fmt.Sprintf("again@%d", s))
		case session.AlarmCleared:
			word := "superseded"
			if e.Answered {
				word = "cleared"
			}
			out = append(out, fmt.Sprintf("%s@%d", word, s))
		}
	}
	return out
}

// sentence checks that a refusal reads as one: no leftovers of formatting, no
// figure that is not one, no stop or stray mark at its end.
func sentence(t reporter, err error) {
	t.Helper()
	text := err.Error()
	plain(t, text)
	last := []rune(text + " ")[len([]rune(text))-1]
	switch {
	case text == "":
		t.Errorf("a refusal says nothing")
	case !unicode.IsLetter(last) && !unicode.IsDigit(last) && !strings.ContainsRune(`?)"°`, last):
		t.Errorf("%q ends with %q", text, last)
	case len(strings.Fields(text)) < 4:
		t.Errorf("%q is not a sentence", text)
	}
}

// plain checks that a text can be printed and means something.
func plain(t reporter, text string) {
	t.Helper()
	for _, r := range text {
		if !unicode.IsPrint(r) {
			t.Errorf("%q holds the unprintable %q", text, r)
			return
		}
	}
	for _, bad := range []string{"%!", "NaN", "Inf", "unknown", "  ", "<nil>", "session."} {
		if strings.Contains(text, bad) {
			t.Errorf("%q says %q", text, bad)
		}
	}
}

// texts gathers every string anywhere in a value.
func texts(v any) []string {
	var out []string
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.String:
			out = append(out, v.String())
		case reflect.Slice, reflect.Array:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Map:
			for _, k := range v.MapKeys() {
				walk(k)
				walk(v.MapIndex(k))
			}
		case reflect.Interface:
			walk(v.Elem())
		case reflect.Struct:
			if v.Type() == reflect.TypeFor[time.Time]() {
				return
			}
			for i := range v.NumField() {
				if v.Type().Field(i).IsExported() {
					walk(v.Field(i))
				}
			}
		}
	}
	walk(reflect.ValueOf(v))
	return out
}

// said is everything the day shows a person at now.
func said(d session.Day, now time.Time) []string {
	return texts([]any{d.Glances(now), d.Prompts(now), d.Review(), session.Summarise(1, d), d.CanUndo()})
}

func near(t reporter, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

func same[T any](t reporter, what string, got, want T) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s:\n got %v\nwant %v", what, got, want)
	}
}

var _ reporter = (*testing.T)(nil)

func typeName(v any) string { return fmt.Sprintf("%T", v) }

// receiversOf lists the types of a file that have a method of that name.
func receiversOf(f *ast.File, method string) []string {
	var out []string
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv != nil && fn.Name.Name == method {
			if id, ok := fn.Recv.List[0].Type.(*ast.Ident); ok {
				out = append(out, id.Name)
			}
		}
	}
	return out
}

// printable checks only that a text can do no harm on a terminal.
func printable(t reporter, text string) {
	t.Helper()
	for _, r := range text {
		if !unicode.IsPrint(r) {
			t.Errorf("%q holds the unprintable %q", text, r)
			return
		}
	}
}

// lateMin is for how many minutes harm has been done at a prompt's tub; 0 if none is.
func lateMin(p session.Prompt, now time.Time) float64 {
	if !p.Count.Of.Harm() {
		return 0
	}
	return max(0, now.Sub(p.Count.At).Minutes())
}
