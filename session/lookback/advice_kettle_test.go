package lookback_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Each fill waits for its water to boil: with the kettle put on so many minutes after the bath
// could be filled, or as soon as it could be.
func TestAdviceOnTheKettle(t *testing.T) {
	begun := func(tubs int) *sessiontest.Run {
		p := sessiontest.ManyBatches(tubs, tubs)
		p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 50, 5
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
		return sessiontest.Start(t, p)
	}
	// boiled fills one tub after another, each with a kettle that goes on so late and boils so long.
	boiled := func(tubs int, idleMin, boilMin float64) *sessiontest.Run {
		r := begun(tubs)
		for tub := range tubs {
			r.Wait(idleMin).Do(session.TellKettle{Tub: tub}).Wait(boilMin).Do(session.TellKettle{Tub: tub, Sure: true}).Wait(1).Next(tub)
		}
		return r
	}
	tap := func(tub int) session.Command {
		return session.DoNext{Tub: tub, Act: shed.FillTub, TapOnly: true, Sooner: true}
	}
	// busy fills two others from the tap while the water for one boils, twice.
	busy := func() *sessiontest.Run {
		r := begun(6)
		for _, tub := range []int{0, 3} {
			r.Do(session.TellKettle{Tub: tub}).Wait(4).Do(tap(tub + 1)).Wait(4).Do(tap(tub + 2)).Wait(4)
			r.Do(session.TellKettle{Tub: tub, Sure: true}).Next(tub)
		}
		return r
	}
	for name, c := range map[string]struct {
		day  *sessiontest.Run
		want string
	}{
		"stood idle": {boiled(3, 20, 12), ""},
		"no time":    {boiled(3, 0, 12), "Boil a second kettle on another circuit, or a pan on the hob. 3 of 3 fills"},
		"busy":       {busy(), ""},
		"one fill":   {boiled(1, 0, 12), ""},
		"no wait":    {boiled(3, 0, 4), ""},
	} {
		t.Run(name, func(t *testing.T) {
			got := ""
			for _, a := range lookback.Advise([]session.Day{c.day.Day}) {
				what, why := a.Say(measure.Metric)
				if a.Change == lookback.SecondKettle {
					got += what + ". " + why
				}
			}
			if !strings.HasPrefix(got, c.want) || (got == "") != (c.want == "") {
				t.Errorf("%q, not %q", got, c.want)
			}
		})
	}
}
