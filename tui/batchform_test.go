package tui

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

var (
	madeOf   = regexp.MustCompile(`makes (\d+) batch(?:es)?(?: of ([\d.]+) (?:g|oz)|: ([^\n]+))`)
	someSize = regexp.MustCompile(`(\d+) of ([\d.]+) (?:g|oz)`)
	mostIn   = regexp.MustCompile(`Most in a basket.*\n.*\n\s*>\s*([\d.]+)`)
)

// No batch that is shown is fuller than the most that is shown, and those shown add up
// to what is put in: fine fleece and locks, in both units, as offered and as typed.
func TestBasketsAsShown(t *testing.T) {
	figure := func(text string) float64 {
		v := must.Get(strconv.ParseFloat(text, 64)).In(t)
		return v
	}
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, form := range []shed.Form{shed.Loose, shed.Locks} {
			for _, typed := range []string{"", "230", "8.25"} {
				for _, g := range []float64{1300, 980, 1111} {
					if u == measure.US {
						g = measure.GPerOz * float64(int(g)/28)
					}
					if typed != "" && (typed == "8.25") != (u == measure.US) {
						continue
					}
					p := newPerson(t, true, func(p *person, _ *base.Deps) {
						p.ledger.Have = []shed.Fleece{{ID: "f1", Animal: "Primrose", RawG: g, Type: shed.Fine}}
						p.ledger.HasKit.Units = u
						for i, l := range []float64{12, 12, 9} {
							p.ledger.HasKit.Tubs[i].CapacityL, p.ledger.HasKit.Tubs[i].FillL = l*1.3, l
						}
					})
					p.resize(200, 60)
					p.press("p", "a", "enter")
					if form == shed.Locks {
						p.press("right")
					}
					p.press("tab", "tab", "tab")
					if typed != "" {
						p.types(typed)
						p.press("tab", "shift+tab")
					}
					made, most := madeOf.FindStringSubmatch(p.view()), mostIn.FindStringSubmatch(p.view())
					if made == nil || most == nil {
						t.Fatalf("no sizes:\n%s", p.view())
					}
					sizes := someSize.FindAllStringSubmatch(made[3], -1)
					if made[2] != "" {
						sizes = [][]string{{"", made[1], made[2]}}
					}
					n, sum := 0.0, 0.0
					for _, s := range sizes {
						n, sum = n+figure(s[1]), sum+figure(s[1])*figure(s[2])
						if figure(s[2]) > figure(most[1]) {
							t.Errorf("%v %s typed %q: %s, and the most is %s", u, form, typed, s[0], most[1])
						}
					}
					want := u.MassField(g)
					all := must.Get(u.ParseMassG(want)).In(t)
					perUnit := 1.0
					if u == measure.US {
						perUnit = measure.GPerOz
					}
					if n != figure(made[1]) || math.Abs(sum-all/perUnit) > 0.05 {
						t.Errorf("%v %s typed %q: %s add up to %g, not %s", u, form, typed, made[0], sum, want)
					}
				}
			}
		}
	}
}

// What comes of a weight is said while it is typed.
func TestBatchesWhileTyping(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.resize(200, 60)
	p.press("p", "a", "enter", "tab", "tab")
	for typed, want := range map[string]string{"600": "makes 3 batches: 2 of 230 g, 1 of 140 g", "23": "makes 1 batch of 23 g"} {
		p.types(typed)
		p.sees(want)
		for range typed {
			p.press("backspace")
		}
	}
}

// A fleece of which nothing is left stands behind the others; whoever chooses it is
// told so and may go on all the same.
func TestSpentFleeceIsNotProposed(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.resize(120, 40)
	p.press("p", "a", "ctrl+s") // all of Curly
	p.press("a")
	if view := p.view(); strings.Index(view, "Old Grey") > strings.Index(view, "Curly") || !strings.Contains(view, "> Old Grey") {
		t.Errorf("Curly is proposed first:\n%s", view)
	}
	p.press("down", "enter")
	p.says("nothing is left of Curly")
	p.sees("Which fleece")
	p.press("enter")
	p.sees("How much of it")
}

// TestKnownPartsAreOffered: a part that a batch of the record is from stands behind what is typed of it, Right takes it.
func TestKnownPartsAreOffered(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("d", "enter", "p", "enter")
	p.types("Sho")
	p.press("right", "enter")
	p.settled()
	if d, err := p.journal.Day(2); err != nil || d.Plan.Batches[0].Part != "shoulder" {
		t.Errorf("%v: %+v", err, d.Plan.Batches[0].Part)
	}
	p.press("esc", "esc", "esc", "esc", "p", "a", "enter")
	p.sees("such as shoulder, sides")
}
