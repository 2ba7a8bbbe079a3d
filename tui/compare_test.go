package tui

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// liftC are what the thermometer says at the lift of each invented day's washes, °C: about
// 56, once 50, and of the last eight days higher.
var liftC = []float64{55, 56.5, 55.5, 56, 57, 55, 56.5, 50, 56, 55.5, 58, 59, 58.5, 58, 59.5, 58, 59, 58.5}

// withManyDays are invented days a week apart: a batch in each of two tubs, whose washes are
// read at the lift. With old no day has measures, as an older version wrote them.
func withManyDays(units measure.System, old bool) func(*person, *base.Deps) {
	return func(p *person, d *base.Deps) {
		withFleeces(p, d)
		kit := *p.ledger.HasKit
		kit.Units = units
		south := kit.Tubs[0]
		south.ID, south.Name = "t9", "South"
		kit.Tubs = append(kit.Tubs[:1:1], south)
		p.ledger.HasKit = &kit
		for n, c := range liftC {
			batch := shed.Batch{FleeceID: p.ledger.Have[0].ID, RawG: 200, Presoak: shed.PresoakNone}
			r := sessiontest.StartAt(p.t, shed.Plan{Kit: kit, Method: shed.BuiltInMethod(), Fleeces: p.ledger.Have[:1], Batches: []shed.Batch{batch, batch}}, tuitest.StoryStart.Add(time.Duration(n-len(liftC)-1)*7*24*time.Hour))
			for !r.Day.AllRacked() {
				for tub, is := range r.Day.Tubs {
					act := r.Day.NextAction(tub)
					if act == shed.Wait {
						continue
					}
					if act == shed.Lift {
						if r.Now = r.Now.Add(measure.Lasting(is.Bath.SoakMin)); is.Step().HasRelease() {
							r.Do(session.TakeReading{Tub: tub, TempC: c - float64(tub), Sure: true})
						}
					}
					r.Next(tub).Now = r.Now.Add(time.Minute)
				}
			}
			r.Do(session.EndDay{})
			if n < len(liftC)-2 {
				r.Do(session.Weigh{Batch: "A1", DryG: 110 + float64(n%5), Dry: true, RH: 0.6, Sure: true},
					session.Judge{Batch: "A1", Out: session.Outcome{Found: session.FoundClean}})
			}
			id, err := p.journal.NewDay()
			if err == nil {
				sum := compare.Summarise(id, r.Day)
				if old {
					sum.Measures = ""
				}
				err = p.journal.Append(id, r.Recs, sum)
			}
			if err != nil {
				p.t.Fatal(err)
			}
		}
	}
}

// TestOverManyDays: from past days to one tub's chart, its days, and the look back at one.
func TestOverManyDays(t *testing.T) {
	for _, old := range []bool{false, true} {
		t.Run(fmt.Sprintf("old %v", old), func(t *testing.T) {
			p := newPerson(t, true, withManyDays(measure.Metric, old))
			p.press("d", "m")
			p.settled()
			p.resize(120, 40)
			p.sees("tub 1 of 2: North · margin", "18 batches on 18 days", "Changed: the last 8 days all lie above the average", "Unusual: ")
			p.everySize()
			p.press("tab")
			p.sees("tub 2 of 2: South")
			p.press("b")
			p.sees("fleece 1 of 1", "36 batches on 18 days")
			p.press("o", "o", "o")
			p.sees("yield", "16 batches on 16 days")
			p.press("down", "enter")
			p.settled()
			p.sees("Looking back")
		})
	}
}

// What was searched for is what is compared.
func TestOverTheDaysSearchedFor(t *testing.T) {
	p := newPerson(t, true, withManyDays(measure.Metric, false))
	p.press("d", "/", "f", "e", "b", " ", "2", "0", "2", "6", "enter", "m")
	p.settled()
	p.sees("4 batches on 4 days", "searched for", "Too few days")
}

// TestTwoDaysSideBySide: c marks a day, on the same one it takes that back, and on another it
// sets the two side by side.
func TestTwoDaysSideBySide(t *testing.T) {
	p := newPerson(t, true, withManyDays(measure.Metric, true))
	p.press("d", "c")
	p.says("Sat 28 Feb 2026 is marked")
	p.press("c")
	p.says("no longer marked")
	p.press("c", "end", "c")
	p.settled()
	p.sees("Sat 1 Nov 2025 and Sat 28 Feb 2026", "+3.5 °C", "3.5 °C further above the lift-by")
	p.everySize()
	p.press("m")
	p.settled()
	p.sees("tub 1 of 2: North")
}

// TestPictureIsSeenFirst: in a window of any size a chart and a bath's curve stand whole, with their
// names, on what is seen without scrolling, and leave no quarter of it empty.
func TestPictureIsSeenFirst(t *testing.T) {
	for _, x := range []struct {
		open  func() *person
		names []string
	}{
		{func() *person {
			p := newPerson(t, true, withManyDays(measure.Metric, false))
			p.press("d", "m", "o", "o", "o", "b")
			return p
		}, []string{"Curly", "yield", "└", "2025"}},
		{func() *person {
			p := newPerson(t, true, withEventfulDay(measure.US))
			p.press("d", "enter", "v", "down")
			return p
		}, []string{"2 of 14", "└", "10:00"}},
	} {
		p := x.open()
		p.settled()
		for _, sz := range slices.Concat(between, tuitest.Sizes) {
			p.resize(sz[0], sz[1])
			p.sees(x.names...)
			empty := 0
			for _, line := range strings.Split(ansi.Strip(p.app.View()), "\n") {
				if strings.TrimSpace(line) == "" {
					empty++
				}
			}
			if empty > sz[1]/4 {
				t.Errorf("%v: %d lines are empty:\n%s", sz, empty, p.view())
			}
		}
	}
}
