package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// hotWaterGone is a day at whose first rinse the hot tap has run cold.
func hotWaterGone(t reporter, change ...func(*session.Plan)) *run {
	r := start(t, oneTub(change...)).until(0, session.Soaking).wait(20).next(0, 0)
	k := r.day.Plan.Kit
	k.HotTapC = measure.FToC(70)
	return r.do(session.ChangeKit{Kit: k})
}

// A step beyond the method's limit is said first of all before the bath is filled,
// with what would do, and asked about before the fleece goes in.
func TestColdRinseAfterAHotWashIsAskedAbout(t *testing.T) {
	for name, c := range map[string]struct {
		change     func(*session.Plan)
		fill, asks string
		never      string
	}{
		"metric": {func(*session.Plan) {}, "°C below the last bath: boil ", "°C cooler than the last one", "°F"},
		"US, no kettle": {func(p *session.Plan) {
			p.Kit.Units, p.Kit.Kettle.CapacityL = measure.US, 0
			p.Method.Steps[1].LowestSinkC = 0
			p.Kit.HotTapC = 62
		}, "°F below the last bath: boil ", "°F cooler than the last one", "°C"},
		"nothing can hang": {func(p *session.Plan) { p.Kit.RoomC, p.Kit.JugL, p.Kit.Kettle.CapacityL, p.Kit.HotTapC = 34, 0, 0, 62 }, " below the last bath: boil ", "cooler than the last one", "hang"},
	} {
		r := hotWaterGone(t, c.change)
		p := r.prompt()
		if !strings.Contains(says(p)[0], c.fill) || strings.Contains(says(p)[0], c.never) || strings.Contains(says(p)[0], "add hot water") {
			t.Errorf("%s: the fill says %q", name, p.Details)
		}
		plain(t, details(p))
		if p = r.next(0).prompt(); !strings.Contains(p.Doubt, c.asks) || strings.Contains(details(p), "fresh fill") || !strings.Contains(p.Doubt, strings.SplitN(says(p)[0], ": ", 2)[0]) {
			t.Errorf("%s: the sink-in asks %q, says %q", name, p.Doubt, p.Details)
		}
		plain(t, details(p))
	}
}

// Each way out that is named, done, is one.
func TestWaysCloserDo(t *testing.T) {
	r := hotWaterGone(t)
	hang := figureAfter(says(r.prompt())[0], "hang the fleece")
	if hang < 5 || hang > 45 {
		t.Fatalf("%q", r.prompt().Details)
	}
	if p := r.wait(hang - 5).prompt(); !strings.Contains(says(p)[0], " the last bath: ") {
		t.Errorf("five minutes less would have done: %q", p.Details)
	}
	if p := r.wait(5).prompt(); strings.Contains(details(p), " the last bath: ") {
		t.Errorf("it hung %g min for nothing: %q", hang, p.Details)
	}
	if p := r.next(0).wait(2).prompt(); p.Doubt != "" {
		t.Errorf("it hung %g min for nothing: %q", hang, p.Doubt)
	}

	r = hotWaterGone(t)
	k := r.day.Plan.Kit
	boiled := session.PourLitres(says(r.prompt())[0], "boil ", k)
	k.Kettle.CapacityL = boiled // one boil gives it
	r.do(session.ChangeKit{Kit: k})
	if p := r.prompt(); boiled < 2 || strings.Contains(details(p), " the last bath: ") {
		t.Errorf("boiled %g L for nothing: %q", boiled, p.Details)
	}
	if p := r.next(0).wait(2).prompt(); p.Doubt != "" {
		t.Errorf("boiled %g L for nothing: %q", boiled, p.Doubt)
	}
}

// The tank that comes back is a way, while there is one.
func TestWaitsForTheTankBeforeARinse(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) {
		p.Kit.HotTapC, p.Kit.Tank, p.Kit.Kettle.CapacityL = 62, session.Tank{VolumeL: 9, HeaterW: 3000}, 0
		p.Kit.Tubs[0].Cover = 0
	})).until(0, session.Soaking)
	r.now = r.now.Add(ago(1))
	r.next(0, 0)
	p := r.prompt()
	wait := figureAfter(says(p)[0], "wait")
	if wait < 1 || !strings.Contains(says(p)[0], "for the tank") {
		t.Fatalf("%q", p.Details)
	}
	r.now = r.now.Add(ago(wait))
	if p := r.prompt(); strings.Contains(details(p), " the last bath: ") {
		t.Errorf("waited %g min for nothing: %q", wait, p.Details)
	}
}

// A bath within its step is not asked about, nor one that has cooled a little since.
func TestBathWithinItsStepIsNotAskedAbout(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(20).next(0, 0)
	if p := r.prompt(); strings.Contains(details(p), " the last bath: ") {
		t.Fatalf("%q", p.Details)
	}
	for range 4 {
		if p := r.next(0).wait(3).prompt(); p.Doubt != "" {
			t.Errorf("%q", p.Doubt)
		}
		r.do(session.RepeatStep{})
	}
}

// A bath that is hotter than the last one is asked about too.
func TestHotterBathIsAskedAbout(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Batches[0].Presoak = session.PresoakQuick; p.Method.Steps[1].MaxGapC = 30 }))
	r.until(0, session.Soaking).wait(5).next(0, 0)
	if p := r.prompt(); !strings.Contains(says(p)[0], "above the last bath") {
		t.Errorf("%q", p.Details)
	}
	if p := r.next(0).prompt(); !strings.Contains(p.Doubt, "hotter than the last one") {
		t.Errorf("%q", p.Doubt)
	}
}
