package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Fleece that felts easily is not dunked, stirred or spun long, through all of its day; other
// fleece may be.
func TestWhatFeltsEasilyIsLeftAlone(t *testing.T) {
	for _, level := range shed.Levels() {
		p := sessiontest.OneTub(func(p *shed.Plan) {
			p.Batches[0].Presoak = shed.PresoakQuick
			for i := range p.Fleeces {
				p.Fleeces[i].Felting = level
			}
		})
		r := sessiontest.Start(t, p)
		var said strings.Builder
		for !r.Day.AllRacked() {
			for _, l := range coach.PromptAt(r.Day, 0, r.Now).Details {
				said.WriteString(l.Say(nil) + "\n")
			}
			r.Wait(0.5).Next(0)
		}
		easily := level == shed.High
		for words, want := range map[string]bool{"dunk and press it": !easily, "no dunking": easily, "don't stir": easily, "short spin in a bag": easily} {
			if strings.Contains(said.String(), words) != want {
				t.Errorf("felting %s: %q said %t\n%s", level, words, !want, said.String())
			}
		}
	}
}

// How full a basket is in the help is as full as the plan makes it.
func TestTheJobSaysHowFull(t *testing.T) {
	for u, want := range map[measure.System]string{measure.Metric: "8 L takes about 225 g loose, 180 g of springy fine fleece, or 180 g of locks", measure.US: "2 gal takes about 7.5 oz loose, 6 oz of springy fine fleece, or 6 oz of locks"} {
		found := false
		for _, topic := range coach.TheJob(u) {
			for _, s := range topic.Says {
				found = found || strings.Contains(s, want)
				if topic.Head == "How full" && !strings.Contains(s, want) {
					t.Errorf("%s: %s", u, s)
				}
			}
		}
		if !found {
			t.Errorf("%s: no %q", u, want)
		}
	}
}

// A waxy fleece is washed twice anyway: whether it is still waxy is asked after the last of its washes.
func TestStillWaxyIsAskedAfterTheLastWash(t *testing.T) {
	p := sessiontest.OneTub(func(p *shed.Plan) {
		for i := range p.Fleeces {
			p.Fleeces[i].Wax = shed.High
		}
	})
	r := sessiontest.Start(t, p)
	var asked []bool
	for len(asked) < 2 {
		r.Until(0, shed.Soaking).Wait(16).Next(0)
		tub := r.Day.Tubs[0]
		if !tub.Step().HasRelease() {
			continue
		}
		asked = append(asked, coach.Speaks(coach.PromptAt(r.Day, 0, r.Now).Details, coach.WashAgain))
	}
	sessiontest.Same(t, "asked after each wash", asked, []bool{false, true})
}

// TestOneBasket: what the trade gives a basket, what a plan says a tub takes, and what it splits
// into such tubs are one figure, in any units.
func TestOneBasket(t *testing.T) {
	for u, bathL := range map[measure.System]float64{measure.Metric: 8, measure.US: 2 * measure.LPerUSGal} {
		k := shed.DefaultKit()
		k.Units = u
		for i := range k.Tubs {
			k.Tubs[i].CapacityL, k.Tubs[i].FillL = bathL+3, bathL
		}
		p := shed.Plan{Kit: k, Method: shed.BuiltInMethod()}
		job := ""
		for _, topic := range coach.TheJob(u) {
			job += strings.Join(topic.Says, " ")
		}
		for said, of := range map[string]planner.Part{" loose": {}, " of springy fine": {Fleece: shed.Fleece{Type: shed.Fine}}, " of locks": {Form: shed.Locks}} {
			of.Fleece.Animal = "Invented ewe"
			g := planner.BasketG(p, of.Fleece.Type, of.Form)
			of.RawG = 6 * g
			b := must.Get(planner.Split(p, of)).In(t)
			if figure := u.Mass(g); !strings.Contains(job, figure+said) || u.Mass(b[0].RawG) != figure || u.Mass(p.UsualG(&b[0], 0)) != figure && of.Fleece.Type != shed.Fine {
				t.Errorf("%v%s: a basket of %s, batches of %s: %s", u, said, figure, u.Mass(b[0].RawG), job)
			}
		}
	}
}
