package tui

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/tuitest"
)

// withEventfulDay is an invented day on which much went wrong at the first wash of North: its lid
// came off after 5 min and nobody came for 40, until 47 °C were read; then it was topped up and
// held for a while. South's was read twice, and forecast well.
func withEventfulDay(u measure.System) func(*person, *base.Deps) {
	return func(p *person, _ *base.Deps) {
		plan := tuitest.StoryPlan(2)
		plan.Kit.Units, plan.Kit.JugL = u, shed.JugFor(u)
		p.ledger.HasKit = &plan.Kit
		r := sessiontest.StartAt(p.t, plan, tuitest.StoryStart)
		soaks := func(tub int) (min float64, in bool) {
			t := r.Day.Tubs[tub]
			return r.Now.Sub(t.Bath.SunkAt).Minutes(), t.Phase == shed.Soaking && t.Step().HasRelease() && t.Step().Name == "first hot wash" && t.Batch == plan.Clean().Batches[tub].ID
		}
		for !r.Day.AllRacked() {
			r.Tick(time.Minute)
			min, away := soaks(0)
			if away {
				switch min {
				case 5:
					r.Do(session.SetCover{Cover: cooling.Open})
				case 45:
					r.Do(session.TakeReading{TempC: 47, Sure: true})
				case 46:
					r.Do(session.SetCover{Cover: cooling.Lid}, session.TopUp{VolumeL: 1, TempC: 95})
				case 47:
					r.Do(session.Hold{})
				case 52:
					r.Do(session.Resume{})
				}
				away = min < 52
			}
			if min, in := soaks(1); in && (min == 2 || min == 15) {
				c, _, _ := r.Day.TempNow(1, r.Now)
				r.Do(session.TakeReading{Tub: 1, TempC: c - 1.5, Sure: true})
			}
			r.Asked(func(pr coach.Prompt) bool { return !away || pr.Tub != 0 })
		}
		r.Do(session.EndDay{}).Keep(p.journal)
		p.clock.At = r.Now.Add(time.Hour)
	}
}

// TestLookBackHidesNoReading: 47 °C in a wash stand with its batch, beside its minutes, and on its curve.
func TestLookBackHidesNoReading(t *testing.T) {
	p := newPerson(t, true, withEventfulDay(measure.Metric))
	p.press("d", "enter")
	p.resize(80, 300)
	row := ""
	for _, l := range strings.Split(p.view(), "\n") {
		if row == "" && strings.Contains(l, "first hot wash") && strings.Contains(l, "North") && strings.Contains(l, "°C") {
			row = l
		}
	}
	if !strings.Contains(row, "47 °C") {
		t.Errorf("the lowest of the wash does not stand with it: %q", row)
	}
	p.resize(80, 24)
	p.everySize()
	p.press("v", "down")
	p.everySize()
	p.sees("A1's first hot wash in North", "lowest 47 °C", "the lowest lay 2 °C below 49 °C", "read 47 °C")
	p.press("up", "up")
	p.says("this is the first bath")
	p.press("esc", "esc", "esc")
}

// TestLookBackGoesFromBathToBath: each of the day's baths is come to, at every size, and none is cut.
func TestLookBackGoesFromBathToBath(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		p := newPerson(t, true, withEventfulDay(u))
		d := must.Get(p.journal.Day(1)).In(t)
		baths := lookback.Baths(d)
		p.press("d", "enter", "v")
		axes := map[int]string{} // of washes, of rinses and of presoaks
		for i, b := range baths {
			p.resize(120, 40)
			p.sees(b.Batch+"'s "+b.Step.Name, b.TubName)
			axis := ""
			for _, l := range strings.Split(p.view(), "\n") {
				if before, _, ok := strings.Cut(l, "│"); ok {
					axis += strings.TrimSpace(before) + ","
				}
			}
			if was := axes[b.Class()]; was != "" && was != axis {
				t.Errorf("bath %d is drawn on %s, those before on %s", i+1, axis, was)
			}
			axes[b.Class()] = axis
			for _, sz := range append([][2]int{{160, 50}}, tuitest.Sizes...) {
				p.resize(sz[0], sz[1])
				if view := p.view(); strings.Contains(view, draw.CutSign) {
					t.Errorf("bath %d at %v is cut:\n%s", i+1, sz, view)
				}
			}
			p.press("down")
		}
		if len(axes) != 3 || axes[0] == axes[1] {
			t.Errorf("a presoak lies flat on the axis of the rinses: %v", axes)
		}
		p.says("this is the last bath")
	}
}

// TestWhoeverEndsTheDayItLeadsToTheLookBack: the invented hands of a rehearsal press no key.
func TestWhoeverEndsTheDayItLeadsToTheLookBack(t *testing.T) {
	p := newPerson(t, true, withOpenDay(3, 34))
	p.press("enter")
	must.Do(t, p.app.env.Live.Do(session.EndDay{Anyway: true}, p.clock.At))
	p.send(base.KeptMsg{})
	p.sees("Looking back")
	p.press("esc", "d") // and one that was ended before is not led away from
	p.sees("Past days")
}

// TestDaysAreNotMixed: two days have an A1 of the same fleece, and each look back tells of its own.
func TestDaysAreNotMixed(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(100, 300)
	p.press("d", "enter")
	p.sees("nothing bagged yet")
	p.seesNot("122 g dry")
	p.press("esc", "down", "enter")
	p.sees("122 g dry", "118 g dry")
	p.seesNot("not weighed dry yet")
}
