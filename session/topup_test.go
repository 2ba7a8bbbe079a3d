package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A top-up that leaves a bath hotter than it should be, or too cool, is asked about
// once, with what would be right; one that does what it should is not.
func TestTopUpIsDoubted(t *testing.T) {
	at := func(tempC float64, stage func(*sessiontest.Run)) func(*sessiontest.Run) {
		return func(r *sessiontest.Run) { stage(r); r.Do(session.TakeReading{TempC: tempC, Sure: true}) }
	}
	filled := func(r *sessiontest.Run) { r.Next(0) }
	soaks := func(r *sessiontest.Run) { r.Until(0, shed.Soaking).Wait(3) }
	rinses := func(r *sessiontest.Run) { soaks(r); r.Wait(20).Next(0, 0, 0, 0).Wait(3) }
	rinseFilled := func(r *sessiontest.Run) { soaks(r); r.Wait(20).Next(0, 0, 0) }
	near12 := func(p *shed.Plan) { p.Method.Steps[1].MaxGapC, p.Batches[0].Presoak = 12, shed.PresoakAsMethod }
	presoaked := func(r *sessiontest.Run) { r.Until(0, shed.Soaking).Until(0, shed.ToFill).Until(0, shed.ToSink) }
	coldShed := func(p *shed.Plan) { p.Kit.RoomC, p.Kit.Tubs[0].Cover = 4, 0 }
	exactly := func(p *shed.Plan) { p.Kit.JugL = 0 }
	us := func(p *shed.Plan) { p.Kit.Units, p.Kit.JugL = measure.US, measure.LPerUSCup }
	for name, c := range map[string]struct {
		stage func(*sessiontest.Run)
		c     session.TopUp
		asks  string
		kit   func(*shed.Plan)
	}{
		"a little":                 {at(58, soaks), session.TopUp{VolumeL: 0.5, TempC: 97}, "", nil},
		"up to its aim":            {at(62, soaks), session.TopUp{VolumeL: 1, TempC: 97}, "", nil},
		"far over its aim":         {at(60, soaks), session.TopUp{VolumeL: 3, TempC: 97}, "North would come to about 70 °C, hotter than the 66 °C of its hot wash: 1.25 L would do", nil},
		"in cups":                  {at(60, soaks), session.TopUp{VolumeL: 3, TempC: 97}, "hotter than the 150 °F of its hot wash: 6 cups would do", us},
		"hot enough":               {at(66, soaks), session.TopUp{VolumeL: 1, TempC: 97}, "at 66 °C it needs none", nil},
		"hotter before the fleece": {at(64, filled), session.TopUp{VolumeL: 0.5, TempC: 97}, "", nil},
		"too hot to begin":         {at(64, filled), session.TopUp{VolumeL: 2, TempC: 97}, "of its hot wash: 500 mL would do", nil},
		"cold water in the wash":   {at(52, soaks), session.TopUp{VolumeL: 2, TempC: 10}, "North would come down to about 44 °C, below 49 °C where the wax sets: it needs hot water", nil},
		"a wash that was too cool": {at(45, soaks), session.TopUp{VolumeL: 1, TempC: 40}, "", nil},
		"cold before the fleece":   {at(64, filled), session.TopUp{VolumeL: 1.5, TempC: 12}, "too cool to begin below 60 °C: it needs hot water", nil},
		"a rinse":                  {at(42, rinses), session.TopUp{VolumeL: 1, TempC: 90}, "", nil},
		"a shock in the rinse":     {at(40, rinses), session.TopUp{VolumeL: 3.7, TempC: 97}, "hotter than the 52 °C that are no shock to the fleece: ", nil},
		"a rinse over its wash":    {at(60, rinseFilled), session.TopUp{VolumeL: 3.5, TempC: 97}, "hotter than its last bath began, ", nil},
		"a rinse in a cold shed":   {at(51, rinseFilled), session.TopUp{VolumeL: 2.25, TempC: 97}, "", coldShed},
		"a wash near its presoak":  {at(57, presoaked), session.TopUp{VolumeL: 1.7, TempC: 97}, "", near12},
		"poured exactly":           {at(60, soaks), session.TopUp{VolumeL: 3, TempC: 97}, "66 °C of its hot wash: 1.", exactly},
		"over the rim":             {at(50, soaks), session.TopUp{VolumeL: 3.9, TempC: 55}, "North would hold 12.1 L with the fleece in it, more than its 12 L", nil},
		"to the rim":               {at(50, filled), session.TopUp{VolumeL: 3.9, TempC: 75}, "", nil},
	} {
		changes := []func(*shed.Plan){}
		if c.kit != nil {
			changes = append(changes, c.kit)
		}
		r := sessiontest.Start(t, sessiontest.OneTub(changes...))
		c.stage(r)
		_, _, err := session.Do(r.Day, c.c, r.Now)
		switch {
		case c.asks == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case c.asks != "" && (err == nil || !strings.Contains(err.Error(), c.asks)):
			t.Errorf("%s: %v, want %q", name, err, c.asks)
		}
		c.c.Sure = true
		if _, _, err := session.Do(r.Day, c.c, r.Now); err != nil && name != "over the rim" {
			t.Errorf("%s, meant so: %v", name, err)
		}
	}
}

// What the advice says to pour is never doubted, whatever the step asks for.
func TestAdviceIsNotDoubted(t *testing.T) {
	for _, jugL := range []float64{0.1, 0.25, 0.5} {
		for _, lowest := range []float64{0, 60, 65.5} {
			for readC := 45.0; readC <= 66; readC++ {
				r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.JugL, p.Method.Steps[1].LowestSinkC = jugL, lowest }))
				r.Next(0)
				for _, sunk := range []bool{false, true} {
					if sunk {
						r.Do(session.DoNext{Act: shed.SinkIn, Sooner: true})
					}
					r.Do(session.TakeReading{TempC: readC, Sure: true})
					h, err := coach.HelpAt(r.Day, 0, r.Now)
					if err != nil || !h.HasRemedy {
						continue
					}
					if _, _, err := session.Do(r.Day, session.TopUp{VolumeL: h.Remedy.PourL, BailL: h.Remedy.BailL, TempC: r.Day.Plan.Kit.KettleC()}, r.Now); err != nil {
						t.Errorf("jug %v L, start at %v °C, read %v °C, in %v: %v", jugL, lowest, readC, sunk, err)
					}
				}
			}
		}
	}
}

// What is bailed out takes its heat along, whatever is poured in after it: two litres at
// 20 °C on what 4 of 8 L at 60 °C and the tub leave come to about 47 °C, by mixing.
func TestBailedWaterTakesItsHeat(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Fill(0, 60)
	r.Do(session.TopUp{VolumeL: 2, TempC: 20, BailL: 4, Sure: true})
	got, _, _ := r.Day.TempNow(0, r.Now)
	sessiontest.Near(t, "mixed", got, 47.1, 0.4)
	sessiontest.Near(t, "level", r.Day.Tubs[0].Bath.LevelL(), 6, 0.06)
}
