package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// hotWaterGone is a day at whose first rinse the hot tap has run cold.
func hotWaterGone(t sessiontest.Reporter, change ...func(*shed.Plan)) *sessiontest.Run {
	r := sessiontest.Start(t, sessiontest.OneTub(change...)).Until(0, shed.Soaking).Wait(20).Next(0, 0)
	k := r.Day.Plan.Kit
	k.HotTapC = measure.FToC(70)
	return r.Do(session.ChangeKit{Kit: k})
}

// A step beyond the method's limit is said first of all before the bath is filled,
// with what would do, and asked about before the fleece goes in.
func TestColdRinseAfterAHotWashIsAskedAbout(t *testing.T) {
	for name, c := range map[string]struct {
		change     func(*shed.Plan)
		fill, asks string
		never      string
	}{
		"metric": {func(*shed.Plan) {}, "°C below the last bath: boil ", "°C cooler than the last one", "°F"},
		"US, no kettle": {func(p *shed.Plan) {
			p.Kit.Units, p.Kit.Kettle.CapacityL = measure.US, 0
			p.Method.Steps[1].LowestSinkC = 0
			p.Kit.HotTapC = 62
		}, "°F below the last bath: boil ", "°F cooler than the last one", "°C"},
		"nothing can hang": {func(p *shed.Plan) { p.Kit.RoomC, p.Kit.JugL, p.Kit.Kettle.CapacityL, p.Kit.HotTapC = 34, 0, 0, 62 }, " below the last bath: boil ", "cooler than the last one", "hang"},
	} {
		r := hotWaterGone(t, c.change)
		p := r.Prompt()
		if !strings.Contains(sessiontest.DetailLines(p)[0], c.fill) || strings.Contains(sessiontest.DetailLines(p)[0], c.never) || strings.Contains(sessiontest.DetailLines(p)[0], "add hot water") {
			t.Errorf("%s: the fill says %q", name, p.Details)
		}
		sessiontest.CheckPlain(t, sessiontest.PromptText(p))
		if p = r.Next(0).Prompt(); !strings.Contains(p.Doubt, c.asks) || strings.Contains(sessiontest.PromptText(p), "fresh fill") || !strings.Contains(p.Doubt, strings.SplitN(sessiontest.DetailLines(p)[0], ": ", 2)[0]) {
			t.Errorf("%s: the sink-in asks %q, says %q", name, p.Doubt, p.Details)
		}
		sessiontest.CheckPlain(t, sessiontest.PromptText(p))
	}
}

// Each way out that is named, done, is one.
func TestWaysCloserDo(t *testing.T) {
	r := hotWaterGone(t, func(p *shed.Plan) { p.Method.Steps[1].HangMin = 45 })
	hang := sessiontest.FigureAfter(sessiontest.DetailLines(r.Prompt())[0], "let the fleece hang")
	if hang < 5 || hang > 45 {
		t.Fatalf("%q", r.Prompt().Details)
	}
	if p := r.Wait(hang - 5).Prompt(); !strings.Contains(sessiontest.DetailLines(p)[0], " the last bath: ") {
		t.Errorf("five minutes less would have done: %q", p.Details)
	}
	if p := r.Wait(5).Prompt(); strings.Contains(sessiontest.PromptText(p), " the last bath: ") {
		t.Errorf("it hung %g min for nothing: %q", hang, p.Details)
	}
	if p := r.Next(0).Wait(2).Prompt(); p.Doubt != "" {
		t.Errorf("it hung %g min for nothing: %q", hang, p.Doubt)
	}

	r = hotWaterGone(t)
	k := r.Day.Plan.Kit
	says := sessiontest.DetailLines(r.Prompt())[0]
	boiled := sessiontest.FigureAfter(says, "boil")*k.Kettle.CapacityL + sessiontest.PourAfterL(says, " + ", k) // "1 kettle + 1.5 L"
	k.Kettle.CapacityL = boiled                                                                                 // one boil gives it
	r.Do(session.ChangeKit{Kit: k})
	if p := r.Prompt(); boiled < 2 || strings.Contains(sessiontest.PromptText(p), " the last bath: ") {
		t.Errorf("boiled %g L for nothing: %q", boiled, p.Details)
	}
	if p := r.Next(0).Wait(2).Prompt(); p.Doubt != "" {
		t.Errorf("boiled %g L for nothing: %q", boiled, p.Doubt)
	}
}

// The tank that comes back is a way, while there is one.
func TestWaitsForTheTankBeforeARinse(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.HotTapC, p.Kit.Tank, p.Kit.Kettle.CapacityL = 62, shed.Tank{VolumeL: 9, HeaterW: 3000}, 0
		p.Kit.Tubs[0].Cover = 0
	})).Until(0, shed.Soaking)
	r.Now = r.Now.Add(sessiontest.Minutes(1))
	r.Next(0, 0)
	p := r.Prompt()
	wait := sessiontest.FigureAfter(sessiontest.DetailLines(p)[0], "wait")
	if wait < 1 || !strings.Contains(sessiontest.DetailLines(p)[0], "for the tank") {
		t.Fatalf("%q", p.Details)
	}
	r.Now = r.Now.Add(sessiontest.Minutes(wait))
	if p := r.Prompt(); strings.Contains(sessiontest.PromptText(p), " the last bath: ") {
		t.Errorf("waited %g min for nothing: %q", wait, p.Details)
	}
}

// A bath within its step is not asked about, nor one that has cooled a little since.
func TestBathWithinItsStepIsNotAskedAbout(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0)
	if p := r.Prompt(); strings.Contains(sessiontest.PromptText(p), " the last bath: ") {
		t.Fatalf("%q", p.Details)
	}
	for range 4 {
		if p := r.Next(0).Wait(3).Prompt(); p.Doubt != "" {
			t.Errorf("%q", p.Doubt)
		}
		r.Do(session.RepeatStep{})
	}
}

// A bath that is hotter than the last one is asked about too.
func TestHotterBathIsAskedAbout(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakQuick; p.Method.Steps[1].MaxGapC = 30 }))
	r.Until(0, shed.Soaking).Wait(5).Next(0, 0)
	if p := r.Prompt(); !strings.Contains(sessiontest.DetailLines(p)[0], "above the last bath") {
		t.Errorf("%q", p.Details)
	}
	if p := r.Next(0).Prompt(); !strings.Contains(p.Doubt, "hotter than the last one") {
		t.Errorf("%q", p.Doubt)
	}
}

// The first rinse of greasy fleece that comes below the temperature at which wax sets says so, in one
// line; of other fleece, or in a later rinse, nothing does.
func TestCoolRinseOfGreasyFleece(t *testing.T) {
	for name, c := range map[string]struct {
		tapC float64
		wax  shed.Level
		step string
		says bool
	}{
		"cool": {49, shed.High, "first rinse", true}, "hot": {55, shed.High, "first rinse", false}, "less wax": {49, shed.Average, "first rinse", false}, "the second": {49, shed.High, "second rinse", false},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Fleeces[0].Wax = c.wax })).Until(0, shed.Soaking)
		k := r.Day.Plan.Kit
		k.HotTapC, k.Kettle = c.tapC, shed.Kettle{}
		r.Do(session.ChangeKit{Kit: k})
		for range 6 {
			if r.Wait(20).Until(0, shed.ToFill); r.Day.Tubs[0].Step().Name == c.step {
				break
			}
			r.Until(0, shed.Soaking)
		}
		n := strings.Count(sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)), "under 49 °C the wax left in it sets: rinse hotter if you can")
		if (n == 1) != c.says {
			t.Errorf("%s: said %d times: %s", name, n, sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)))
		}
	}
}
