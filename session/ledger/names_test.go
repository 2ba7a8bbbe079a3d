package ledger_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// aLedger is a ledger by its values.
type aLedger struct {
	ledger.Ledger
	kit     shed.Kit
	fleeces []shed.Fleece
	methods []shed.Method
	torn    bool
}

var errTorn = errors.New("torn")

func (l aLedger) Kit() (shed.Kit, bool, error) { return l.kit, true, l.err() }

func (l aLedger) Fleeces() ([]shed.Fleece, error) { return l.fleeces, l.err() }

func (l aLedger) Methods() ([]shed.Method, error) { return l.methods, l.err() }

func (l aLedger) err() error {
	if l.torn {
		return errTorn
	}
	return nil
}

// corrected is a washed day of fleece, kit and method with OLD in every name, and
// the ledger in which each OLD was put right to NEW.
func corrected(t sessiontest.Reporter) (*sessiontest.Run, aLedger) {
	t.Helper()
	p := sessiontest.RecordPlan()
	p.Method.ID, p.Method.Name, p.Method.About = "m1", "OLD way", "OLD about"
	p.Kit.Tubs[0].Name, p.Kit.Trays[0].Name = "OLD tub", "OLD tray"
	p.Kit.Scales = []shed.Scale{{Name: "OLD scale", StepG: 1}}
	f := &p.Fleeces[0]
	f.Animal, f.Farm, f.Colour, f.Notes, f.Year, f.StapleMM = "OLD ewe", "OLD farm", "OLD grey", "OLD note", 2024, 90
	p.Batches[0].RawScale = p.Kit.Scales[0]
	r := sessiontest.Start(t, p).Until(0, shed.ToRack)
	r.Do(session.WeighWet{Batch: "A1", MassG: 170, Scale: p.Kit.Scales[0]})
	r.Next(0)

	k := r.Day.Plan.Kit
	k.Tubs, k.Trays = slices.Clone(k.Tubs), slices.Clone(k.Trays)
	k.Tubs[0].Name, k.Tubs[0].CapacityL, k.Trays[0].Name = "NEW tub", 99, "NEW tray"
	k = k.Instead(r.Day.Plan.Kit, r.Now).RenameScale(0, shed.Scale{Name: "NEW scale", StepG: 5}, r.Now)
	g := r.Day.Plan.Fleeces[0]
	g.Animal, g.Farm, g.Colour, g.Notes, g.Year, g.StapleMM = "NEW ewe", "NEW farm", "NEW grey", "NEW note", 2025, 95
	g.RawG, g.Wax, g.Type = g.RawG+500, shed.High, shed.Longwool
	return r, aLedger{kit: k, fleeces: []shed.Fleece{g}, methods: []shed.Method{{ID: "m1", Name: "NEW way", About: "NEW about"}}}
}

// worded is all that a day says, and what it says once the last deeds are undone.
func worded(d session.Day) string {
	d.Plan.Kit.Names = nil // the names that there were
	return fmt.Sprintf("%+v %+v %+v", d.Plan, d.Fate, ledger.Summarise(7, d))
}

func TestNamesFollow(t *testing.T) {
	r, l := corrected(t)
	was := r.Day
	if n := strings.Count(worded(was), "OLD"); n < 12 {
		t.Fatalf("only %d old names to begin with", n)
	}
	r.Day = r.Day.Named(ledger.NamesIn(l))
	said := func(when string) {
		t.Helper()
		if text := worded(r.Day); strings.Contains(text, "OLD") || strings.Count(text, "NEW") < 10 {
			t.Errorf("%s: %s", when, text)
		}
	}
	said("put right")
	if g, now := r.Day.Plan.Fleeces[0], l.fleeces[0]; g.Year != 2025 || g.StapleMM != 95 || g.RawG == now.RawG || g.Wax == now.Wax || g.Type == now.Type {
		t.Errorf("the fleece of the day is %+v", g)
	}
	if got := r.Day.Plan.Kit.Tubs[0].CapacityL; got != was.Plan.Kit.Tubs[0].CapacityL {
		t.Errorf("the tub held %g L on that day, not %g", was.Plan.Kit.Tubs[0].CapacityL, got)
	}
	if worded(was) == worded(r.Day) || !strings.Contains(worded(was), "OLD tub") {
		t.Error("the day that was given has changed")
	}
	for range 6 {
		r.Do(session.Undo{})
		said("undone: " + coach.CanUndo(r.Day))
		if what := coach.CanUndo(r.Day); strings.Contains(what, "OLD") {
			t.Errorf("undo says %q", what)
		}
	}
	r.Next(0)
	said("gone on with")
}

// A summary follows by the marks in its rows, whichever version wrote it.
func TestSummaryFollows(t *testing.T) {
	r, l := corrected(t)
	n := ledger.NamesIn(l)
	sum := ledger.Summarise(7, r.Day)
	sessiontest.Same(t, "summary", sum.Named(n), ledger.Summarise(7, r.Day.Named(n)))
	if !strings.HasPrefix(sum.Fleeces[0], "OLD") {
		t.Error("the summary that was given has changed")
	}
	old := sum
	old.FleeceIDs = nil // an older version goes by the letters
	sessiontest.Same(t, "an older one", old.Named(n).Fleeces, sum.Named(n).Fleeces)
	sum.Rows = slices.Clone(sum.Rows) // a batch that kept its mark has another letter
	sum.Rows[0].ID = "Q7"
	sessiontest.Same(t, "with another letter", []string{sum.Named(n).Fleeces[0], sum.Title(sum.Rows[0])}, []string{old.Named(n).Fleeces[0], old.Fleeces[0]})
}

// What is gone keeps its last name; two alike stay apart; what comes from another
// kit under the same mark is left alone; and what cannot be read renames nothing.
func TestNamesThatStay(t *testing.T) {
	r, l := corrected(t)
	l.kit.Tubs, l.kit.Trays = l.kit.Tubs[:0:0], nil
	l.kit = l.kit.Forget("m1", "NEWEST way")
	l.methods = nil
	gone := r.Day.Named(ledger.NamesIn(l))
	sessiontest.Same(t, "gone", []string{gone.Plan.Kit.Tubs[0].Name, gone.Plan.Kit.Trays[0].Name, gone.Plan.Method.Name}, []string{"NEW tub", "NEW tray", "NEWEST way"})
	l.fleeces = nil
	if f := r.Day.Named(ledger.NamesIn(l)).Plan.Fleeces[0]; f.Animal != "OLD ewe" {
		t.Errorf("a fleece that is gone is called %s", f.Animal)
	}
	other := r.Day
	other.Plan.Kit.Tubs = slices.Clone(other.Plan.Kit.Tubs)
	other.Plan.Kit.Tubs[0].Name = "Zinc"
	if name := other.Named(ledger.NamesIn(l)).Plan.Kit.Tubs[0].Name; name != "Zinc" {
		t.Errorf("a tub of another kit is called %s", name)
	}
	l.torn = true
	sessiontest.Same(t, "torn", worded(r.Day.Named(ledger.NamesIn(l))), worded(r.Day))

	p := sessiontest.RecordPlan()
	twin := p.Fleeces[0]
	twin.ID = "f2"
	p.Fleeces = append(p.Fleeces, twin)
	p.Batches = append(p.Batches, shed.Batch{FleeceID: "f2", RawG: 200})
	d := sessiontest.Start(t, p).Day
	twin.Animal = "Sorrel"
	d = d.Named(ledger.NamesIn(aLedger{fleeces: []shed.Fleece{p.Fleeces[0], twin}}))
	sessiontest.Same(t, "twins", []string{d.FleeceOf("A1").Animal, d.FleeceOf("B1").Animal}, []string{p.Fleeces[0].Animal, "Sorrel"})
}

// However often a tub is renamed, each of its names leads to the last one, and a
// scale's too.
func TestLastNameStands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := shed.DefaultKit().Clean()
		k.Scales = []shed.Scale{{Name: "a", StepG: 1}}
		had := map[string]bool{k.Tubs[0].Name: true}
		scales := map[string]bool{"a": true}
		for i := range rapid.IntRange(1, 8).Draw(t, "renames") {
			at := sessiontest.Dawn.Add(time.Duration(i) * time.Hour)
			next := k
			next.Tubs = slices.Clone(k.Tubs)
			next.Tubs[0].Name = rapid.SampledFrom([]string{"North", "Blue", "Azure", "Zinc"}).Draw(t, "name")
			k = next.Instead(k, at).Clean()
			had[k.Tubs[0].Name] = true
			k = k.RenameScale(0, shed.Scale{Name: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "scale"), StepG: 1}, at)
			scales[k.Scales[0].Name] = true
		}
		n := ledger.NamesIn(aLedger{kit: k})
		for name := range had {
			d := session.Day{Plan: shed.Plan{Kit: shed.DefaultKit()}}
			d.Plan.Kit.Tubs[0].Name = name
			if got := d.Named(n).Plan.Kit.Tubs[0].Name; got != k.Tubs[0].Name {
				t.Fatalf("%s is called %s, not %s: %+v", name, got, k.Tubs[0].Name, k.Names)
			}
		}
		for name := range scales {
			if got := k.ScaleName(name); got != k.Scales[0].Name {
				t.Fatalf("the scale %s is called %s, not %s: %+v", name, got, k.Scales[0].Name, k.Names)
			}
		}
		if got := k.ScaleName(""); got != "" {
			t.Fatalf("a scale that is not known is called %s", got)
		}
	})
}

func TestOutOfDate(t *testing.T) {
	f := shed.Fleece{ID: "f1", Animal: "Bramble", Notes: "waxy"}
	d := session.Day{Plan: shed.Plan{Fleeces: []shed.Fleece{f, {ID: "f2", Animal: "Pip"}}, Batches: []shed.Batch{{ID: "A1", FleeceID: "f1"}, {ID: "A2", FleeceID: "f1"}, {ID: "B1", FleeceID: "f2"}}}}
	printed := []tag.Printed{tag.PrintedAt(d, 1, "A1", sessiontest.Dawn), tag.PrintedAt(d, 1, "A2", sessiontest.Dawn), tag.PrintedAt(d, 1, "B1", sessiontest.Dawn)}
	says := func() string { n, of := tag.OutOfDate(f, printed); return fmt.Sprint(n, " ", of) }
	sessiontest.Same(t, "as printed", says(), "0 details")
	f.Notes = "not waxy"
	sessiontest.Same(t, "details", says(), "2 details")
	f.Animal = "Thistle"
	sessiontest.Same(t, "name", says(), "2 name")
}
