package sessiontest

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// FindAlarm is the standing alarm of a kind, of whichever tub.
func FindAlarm(d session.Day, k session.AlarmKind) (session.Alarm, bool) {
	for _, a := range d.Alarms {
		if a.Kind == k {
			return a, true
		}
	}
	return session.Alarm{}, false
}

// MetricFigure matches a figure in metric units.
var MetricFigure = regexp.MustCompile(`\d ?(°C|L|mL|g|kg)\b`)

// DetailLines is a prompt's lines in plain words.
func DetailLines(p coach.Prompt) []string {
	out := make([]string, len(p.Details))
	for i, l := range p.Details {
		out[i] = l.String()
	}
	return out
}

// PromptText is a prompt's title and its lines in plain words with semicolons between.
func PromptText(p coach.Prompt) string {
	return strings.Join(append([]string{p.Title}, DetailLines(p)...), "; ")
}

// ReadC is the command for a thermometer reading, °C.
func ReadC(tub int, tempC float64) session.Command {
	return session.TakeReading{Tub: tub, TempC: tempC}
}

// PourAfterL is the volume that a text gives after some words, L.
func PourAfterL(text, words string, k shed.Kit) float64 {
	_, text, _ = strings.Cut(text, words)
	for l := 0.05; l < 40; l += 0.05 / 64 {
		if rest, ok := strings.CutPrefix(text, k.Units.Pour(l, k.JugL)); ok && (rest == "" || strings.ContainsAny(rest[:1], " ;,")) {
			return l
		}
	}
	return 0
}

// Release is when the bath of a tub comes down to its release temperature.
func Release(d session.Day, tub int) session.Crossing { return d.Release(tub, d.Heat(tub)) }

// HotLeftL is the hot water's worth in the tank, L.
func HotLeftL(d session.Day, now time.Time) float64 { return d.HotLeftL(now) }

// Reporter is what a test, a benchmark and a property share.
type Reporter interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// Dawn is when the tests' days begin; any moment would do.
var Dawn = time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)

// Minutes is a time of so many minutes.
func Minutes(min float64) time.Duration { return time.Duration(min * float64(time.Minute)) }

// Start begins a day with a plan at Dawn; it fails the test where the day may not begin.
func Start(t Reporter, p shed.Plan) *Run {
	t.Helper()
	return StartAt(t, p, Dawn)
}

// StartAt is Start at another moment.
func StartAt(t Reporter, p shed.Plan, at time.Time) *Run {
	t.Helper()
	r := &Run{T: t, Now: at}
	return r.Do(session.StartDay{Plan: p})
}

// StandingAlarms lists the standing alarms as "North: soak done".
func StandingAlarms(d session.Day) []string {
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

// CheckSentence checks that a refusal reads as one: no leftovers of formatting, no
// figure that is not one, no stop or stray mark at its end.
func CheckSentence(t Reporter, err error) {
	t.Helper()
	text := err.Error()
	CheckPlain(t, text)
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

// CheckPlain checks that a text can be printed and means something.
func CheckPlain(t Reporter, text string) {
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

// Texts gathers every string anywhere in a value.
func Texts(v any) []string {
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

// EverythingSaid is everything the day shows a person at now.
func EverythingSaid(d session.Day, now time.Time) []string {
	return Texts([]any{coach.Glances(d, now), coach.Prompts(d, now), ledger.ReviewOf(d), ledger.Summarise(1, d), coach.CanUndo(d)})
}

// Near expects a figure within a tolerance, in its own unit.
func Near(t Reporter, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// Same expects a value that is deeply equal.
func Same[T any](t Reporter, what string, got, want T) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s:\n got %v\nwant %v", what, got, want)
	}
}

var _ Reporter = (*testing.T)(nil)

// TypeName is the type of a value: "session.DoNext".
func TypeName(v any) string { return fmt.Sprintf("%T", v) }

// ReceiversOf lists the types of a file that have a method of that name.
func ReceiversOf(f *ast.File, method string) []string {
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

// CheckPrintable checks only that a text can do no harm on a terminal.
func CheckPrintable(t Reporter, text string) {
	t.Helper()
	for _, r := range text {
		if !unicode.IsPrint(r) {
			t.Errorf("%q holds the unprintable %q", text, r)
			return
		}
	}
}

// LateMin is for how many minutes harm has been done at a prompt's tub; 0 if none is.
func LateMin(p coach.Prompt, now time.Time) float64 {
	if !p.Count.Of.Harm() {
		return 0
	}
	return max(0, now.Sub(p.Count.At).Minutes())
}

// StartPresoaked is North in its presoak, a quarter of an hour in; the hot wash
// after it wants the kettle.
func StartPresoaked(t *testing.T, change ...func(*shed.Plan)) *Run {
	r := Start(t, OneTub(append([]func(*shed.Plan){func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakAsMethod }}, change...)...))
	r.Next(0, 0)
	return r.Wait(15)
}

// CheckRack checks that no two batches lie in one layer, that each has all the
// room it needs, and that no tray holds more than it has places.
func CheckRack(t Reporter, d session.Day) {
	t.Helper()
	taken := map[string]map[[2]int]string{}
	placeless := map[string]int{}
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		if f.Tray == "" || f.DryG > 0 {
			continue
		}
		tray, ok := d.Plan.Kit.Tray(f.Tray)
		if !ok {
			t.Errorf("%s lies on a tray %q that is not there", b.ID, f.Tray)
			continue
		}
		if tray.Layers == 0 {
			if placeless[tray.ID]++; len(f.Spots) > 0 || placeless[tray.ID] > tray.Places {
				t.Errorf("%d batches lie on %s, which has room for %d; %s at %v", placeless[tray.ID], tray.Name, tray.Places, b.ID, f.Spots)
			}
			continue
		}
		layers := 0
		for _, s := range f.Spots {
			if s.Place < 1 || s.Place > tray.Places || s.From < 1 || s.To < s.From || s.To > tray.Layers {
				t.Errorf("%s lies at %+v of %+v", b.ID, s, tray)
			}
			for l := s.From; l <= s.To; l++ {
				if taken[tray.ID] == nil {
					taken[tray.ID] = map[[2]int]string{}
				}
				at := [2]int{s.Place, l}
				if other := taken[tray.ID][at]; other != "" {
					t.Errorf("%s and %s lie both at %v of %s", other, b.ID, at, tray.Name)
				}
				taken[tray.ID][at] = b.ID
				layers++
			}
		}
		want := tray.Layers // a place of its own
		if b.Form == shed.Locks && b.Layers > 0 {
			want = b.Layers
		}
		if layers != want {
			t.Errorf("%s lies in %d layers on %s, want %d: %+v", b.ID, layers, tray.Name, want, f.Spots)
		}
	}
}

// CheckTakenIn expects that a journal that was lived could be imported: each event with
// all its parts, and figures within their limits.
func CheckTakenIn(t Reporter, journal []byte) {
	t.Helper()
	var each []json.RawMessage
	if err := json.Unmarshal(journal, &each); err != nil {
		t.Fatalf("read journal: %v", err)
	}
	for i, text := range each {
		var rec session.Recorded
		err := rec.ReadStrictly(text)
		if err == nil {
			err = rec.CheckFigures(Dawn.AddDate(100, 0, 0))
		}
		if err != nil {
			t.Fatalf("event %d would not be taken in: %v\n%s", i+1, err, text)
		}
	}
}

// CheckReplay reads the journal back from its written form and expects every state
// that was lived through, seen again only now: an event that changed an older
// day would show.
func CheckReplay(t Reporter, r *Run, lived []session.Day) {
	t.Helper()
	text, err := json.Marshal(r.Recs)
	if err != nil {
		t.Fatalf("write journal: %v", err)
	}
	var recs []session.Recorded
	if err := json.Unmarshal(text, &recs); err != nil {
		t.Fatalf("read journal: %v", err)
	}
	CheckTakenIn(t, text)
	var day session.Day
	last := time.Time{}
	for i, rec := range recs {
		_, set := rec.Event.(session.ClockSet) // the only one that may go back
		if rec.Seq != uint64(i+1) || rec.At.Before(last) && !set {
			t.Fatalf("record %d has number %d at %v after %v", i+1, rec.Seq, rec.At, last)
		}
		last = rec.At
		day = session.Apply(day, rec)
		for len(lived) > 0 && lived[0].LastSeq == rec.Seq {
			Same(t, "replayed to "+session.KindOf(rec.Event), day.WithoutUndo(), lived[0].WithoutUndo())
			lived = lived[1:]
		}
	}
	if len(lived) > 0 {
		t.Errorf("%d states were not met again", len(lived))
	}
	Same(t, "replayed, with all that could be undone", day, r.Day)
	Same(t, "Replay", session.Replay(recs), r.Day)
	made := session.Replay(r.Day.Told())
	Same(t, "tubs, made of what was told", made.Tubs, r.Day.Tubs)
	Same(t, "baths, made of what was told", made.Baths, r.Day.Baths)
	Same(t, "fates, made of what was told", made.Fate, r.Day.Fate)
	Same(t, "notes and kettle, made of what was told", []any{made.Notes, made.Kettle, made.StartedAt, made.EndedAt}, []any{r.Day.Notes, r.Day.Kettle, r.Day.StartedAt, r.Day.EndedAt})
}

// KitchenScale reads to 1 g.
var KitchenScale = shed.Scale{Name: "kitchen", StepG: 1}

// StartWashed racks both batches of RecordPlan, one on each tray.
func StartWashed(t Reporter) *Run {
	return Start(t, RecordPlan()).Until(0, shed.ToRack).Next(0).Until(0, shed.ToRack).Next(0)
}

// FigureAfter is the first figure after some words, -1 without them.
func FigureAfter(text, words string) float64 {
	m := regexp.MustCompile(regexp.QuoteMeta(words) + ` ([0-9.]+)`).FindStringSubmatch(text)
	if m == nil {
		return -1
	}
	v, _ := strconv.ParseFloat(m[1], 64)
	return v
}
