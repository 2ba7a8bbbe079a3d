package tui

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// withPoorDays has lived days whose washes cool too fast, or are lifted too late; or were filled to
// so many °C, as a thermometer said.
func withPoorDays(cold bool, fillC ...float64) func(*person, *base.Deps) {
	return func(p *person, d *base.Deps) {
		withFleeces(p, d)
		for n := range 3 {
			r := sessiontest.StartAt(p.t, shed.Plan{Kit: *p.ledger.HasKit, Method: shed.BuiltInMethod(), Fleeces: p.ledger.Have[:1],
				Batches: []shed.Batch{{FleeceID: p.ledger.Have[0].ID, RawG: 200, Presoak: shed.PresoakNone}}}, tuitest.StoryStart.Add(time.Duration(n-4)*24*time.Hour))
			pass := func(minutes float64) {
				for range int(minutes) {
					r.Tick(time.Minute)
				}
			}
			for !r.Day.AllRacked() {
				act, tub := r.Day.NextAction(0), r.Day.Tubs[0]
				switch wash := tub.Step().HasRelease(); {
				case act == shed.Lift && len(fillC) > n:
					pass(tub.Bath.SoakMin)
				case act == shed.Lift && wash && cold:
					pass(1)
					r.Do(session.TakeReading{TempC: 65.5, Sure: true})
					pass(16)
					r.Do(session.TakeReading{TempC: 48, Sure: true})
				case act == shed.Lift && wash:
					pass(44)
				case act == shed.Lift && cold:
					pass(tub.Bath.SoakMin)
				case act == shed.Lift:
					pass(tub.Bath.SoakMin + 12)
				default:
					pass(math.Round(r.Day.Plan.HandsMin()[act]))
				}
				next := session.DoNext{Tub: 0, Act: act, Sooner: true}
				if act == shed.FillTub && tub.Step().HasRelease() && len(fillC) > n {
					next.HasTemp, next.TempC = true, fillC[n]
				}
				r.Do(next)
			}
			r.Do(session.EndDay{}).Keep(p.journal)
		}
	}
}

// TestAdviceIntoTheKit: what three days speak for is said with its reason, and one key
// takes it; nothing is changed before.
func TestAdviceIntoTheKit(t *testing.T) {
	p := newPerson(t, true, withPoorDays(false))
	p.press("d", "enter")
	p.settled()
	p.sees("Looking back", "1 change is worth making: t shows what and why")
	lead := p.app.env.Kit.LeadMin
	p.press("t")
	p.sees("Time you need to reach a tub: 10 min, not 5 min", "9 of 9 lifts", "Enter puts it into the kit")
	if p.app.env.Kit.LeadMin != lead {
		t.Fatal("changed before it was taken")
	}
	p.press("enter")
	p.says("kit changed")
	if got := p.ledger.HasKit.LeadMin; got != 10 {
		t.Errorf("%g min are kept", got)
	}
	p.sees("Nothing more to change")
	p.press("esc")
	p.seesNot("worth making")
}

// TestAdviceIntoAMethod: the method that comes with the program stays, and a copy of the
// person's own has the change.
func TestAdviceIntoAMethod(t *testing.T) {
	p := newPerson(t, true, withPoorDays(true))
	p.press("d", "enter")
	p.settled()
	p.press("t")
	p.sees("Start the hot wash at 68 °C, not 66 °C", "in 3 of 3 washes on 3 days")
	p.press("enter")
	p.sees("A method of your own with this change")
	p.press("ctrl+s")
	p.settled()
	got, err := p.ledger.Methods()
	if err != nil || len(got) != 1 || got[0].ID == shed.BuiltInMethodID || got[0].Steps[1].AimC != 67.5 || got[0].Steps[1].SoakMin != shed.BuiltInMethod().Steps[1].SoakMin {
		t.Fatalf("%v: %+v", err, got)
	}
	p.sees("Nothing more to change")
}

// TestFaultsWithoutAdvice: of a day with faults that speak for no change yet it is not said that
// there is nothing to change; of one without any it is.
func TestFaultsWithoutAdvice(t *testing.T) {
	asPlanned := withPoorDays(false, 66, 66, 66)
	once := func(p *person, d *base.Deps) {
		asPlanned(p, d)
		recs, err := p.journal.Events(3)
		day, more, errJ := session.Do(session.Replay(recs), session.Judge{Batch: "A1", Out: session.Outcome{Found: session.StillWaxy}}, d.Clock.Now())
		if err = errors.Join(err, errJ, p.journal.Append(3, more, ledger.Summarise(3, day))); err != nil {
			p.t.Fatal(err)
		}
	}
	for want, with := range map[string]func(*person, *base.Deps){"Nothing to suggest yet": once, "Nothing to change": asPlanned} {
		p := newPerson(t, true, with)
		p.press("d", "enter")
		p.settled()
		p.press("t")
		p.sees(want)
		p.everySize()
	}
}

// TestAdviceOfACoolTap: a hot tap as it was read goes into the kit by one key.
func TestAdviceOfACoolTap(t *testing.T) {
	tap := func(p *person, _ *base.Deps) { p.ledger.HasKit.HotTapC = 60 }
	p := newPerson(t, true, tap, withPoorDays(true, 58, 57.5, 58))
	p.press("d", "enter")
	p.settled()
	p.sees("The hot wash of A1 started at 58 °C; it needs 60 °C", "worth making")
	p.press("t")
	p.sees("Hot tap in the kit: 49 °C, not 60 °C", "in 3 of 3 fills on 3", "Enter puts it into the kit")
	p.press("enter")
	p.says("kit changed: Hot tap in the kit: 49 °C, not 60 °C")
	if got := p.ledger.HasKit.HotTapC; got != 49 {
		t.Errorf("%g °C is kept", got)
	}
	p.press("esc", "esc", "enter") // and is not offered again
	p.settled()
	p.seesNot("worth making")
}

// TestAdviceOfACover: a tub that the kit has open gets its cover there by one key.
func TestAdviceOfACover(t *testing.T) {
	open := func(p *person, _ *base.Deps) {
		p.ledger.HasKit.Tubs = slices.Clone(p.ledger.HasKit.Tubs)
		p.ledger.HasKit.Tubs[0].Cover = cooling.Open
	}
	p := newPerson(t, true, open, withPoorDays(true))
	p.press("d", "enter")
	p.settled()
	p.press("t")
	p.sees("Put a lid on North", "A1's hot wash in North", "Enter puts it into the kit")
	p.says("of 3 washes on 3 days")
	p.press("enter")
	p.says("kit changed: Put a lid on North")
	if got := p.ledger.HasKit.Tubs[0].Cover; got != cooling.Lid {
		t.Errorf("%v is kept", got)
	}
}
