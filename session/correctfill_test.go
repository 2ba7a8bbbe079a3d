package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// TestCorrectFill: what a bath really holds is told while it stands; forecast, tank and look back go by it.
func TestCorrectFill(t *testing.T) {
	start := func(level float64) *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Tank = shed.Tank{VolumeL: 80, HeaterW: 100} })).Next(0, 0)
		if level > 0 {
			r.Do(session.CorrectFill{LevelL: level})
		}
		return r.Wait(20)
	}
	as, more, less := start(0), start(11), start(5)
	b := as.Day.Tubs[0].Bath
	if !(b.HotL > 0) {
		t.Fatalf("a bath of %g L, %g L hot", b.VolumeL, b.HotL)
	}
	got := more.Day.Tubs[0].Bath
	sessiontest.Near(t, "filled", got.VolumeL, 11, 1e-9)
	sessiontest.Near(t, "from the hot tap", got.HotL, b.HotL*11/b.VolumeL, 1e-9)
	sessiontest.Near(t, "dose", got.DoseML, b.DoseML, 0)
	temp := func(r *sessiontest.Run) float64 { c, _, _ := r.Day.TempNow(0, r.Now); return c }
	if !(temp(less) < temp(as)-0.2 && temp(as) < temp(more)-0.2) {
		t.Errorf("after 20 min 5 L, 8 L and 11 L have %.1f, %.1f and %.1f °C", temp(less), temp(as), temp(more))
	}
	if is, was := more.Day.HotLeftL(more.Now), as.Day.HotLeftL(as.Now); !(is < was-1) {
		t.Errorf("the tank holds %.1f L, %.1f L as planned", is, was)
	}
	more.Next(0).Do(session.CorrectFill{LevelL: 10}) // lifted, and not emptied
	sessiontest.Near(t, "filled", more.Day.Tubs[0].Bath.VolumeL, 10, 1e-9)
	more.Do(session.Undo{})
	sessiontest.Near(t, "undone", more.Day.Tubs[0].Bath.VolumeL, 11, 1e-9)
	more.Do(session.CorrectFill{LevelL: 10})
	sessiontest.CheckReplay(t, more, nil)
	more.Next(0)
	if all := lookback.Baths(more.Day); len(all) != 1 || all[0].VolumeL != 10 {
		t.Errorf("looked back at: %+v", all)
	}
}

// TestCorrectFillByItsLevel: what is told is the level, top-ups with it; a tub holds no more than it does.
func TestCorrectFillByItsLevel(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0).Wait(1)
	r.Do(session.TopUp{VolumeL: 1, TempC: 60, Sure: true}, session.CorrectFill{LevelL: 10})
	b := r.Day.Tubs[0].Bath
	sessiontest.Near(t, "level", b.LevelL(), 10, 1e-9)
	sessiontest.Near(t, "filled", b.VolumeL, 9, 1e-9)
	_ = r.Refused(session.CorrectFill{LevelL: 12}, "North holds 11.", "to the rim with the fleece in it")
	_ = r.Refused(session.CorrectFill{LevelL: 1, Sure: true}, "North", "with what it was topped up by")
	_ = r.Refused(session.CorrectFill{LevelL: 3}, "North", "should hold 10 L", "3 L is far from it")
	_ = r.Refused(session.CorrectFill{LevelL: -3, Sure: true}, "North")
	r.Do(session.CorrectFill{LevelL: 3, Sure: true})
	u := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Units = measure.US })).Next(0)
	_ = u.Refused(session.CorrectFill{LevelL: 12.5}, "North holds 3 gal 1 qt to the rim, no more")
}

// TestCorrectFillByWhatWasBailed: at no moment was less than none in the tub, nor more than it takes.
func TestCorrectFillByWhatWasBailed(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0).Wait(1)
	r.Do(session.TopUp{BailL: 6, VolumeL: 6, TempC: 60, Sure: true})
	_ = r.Refused(session.CorrectFill{LevelL: 5, Sure: true}, "North holds more than 5 L")
	r.Do(session.CorrectFill{LevelL: 6.1})
	sessiontest.Near(t, "filled", r.Day.Tubs[0].Bath.VolumeL, 6.1, 1e-9)
	r.Do(session.TopUp{BailL: 5, VolumeL: 1, TempC: 60, Sure: true})
	_ = r.Refused(session.CorrectFill{LevelL: 10, Sure: true}, "North would have held 14 L before some was bailed out, more than its 12 L")
	r.Do(session.CorrectFill{LevelL: 7.5, Sure: true})
}

// TestCorrectedFillIsRead: what went in too much was warmer or cooler than the rest, so a wash is to be read next; one
// that a thermometer was in is not.
func TestCorrectedFillIsRead(t *testing.T) {
	asks := func(r *sessiontest.Run) bool {
		return strings.Contains(sessiontest.PromptText(r.Prompt()), "filled otherwise than reckoned: take a reading")
	}
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0)
	if asks(r) {
		t.Errorf("filled as reckoned, and asked: %q", sessiontest.PromptText(r.Prompt()))
	}
	r.Do(session.CorrectFill{LevelL: 10})
	if !asks(r) || !strings.Contains(coach.FillCorrected(r.Day, 0), "read how warm it is now") {
		t.Errorf("not filled yet with fleece, not asked: %q", sessiontest.PromptText(r.Prompt()))
	}
	if r.Next(0); !asks(r) {
		t.Errorf("lowered in, not asked: %q", sessiontest.PromptText(r.Prompt()))
	}
	if r.Wait(2).Do(session.TakeReading{TempC: 58, Sure: true}); asks(r) {
		t.Errorf("read, and asked: %q", sessiontest.PromptText(r.Prompt()))
	}
	if r.Do(session.CorrectFill{LevelL: 9}); asks(r) {
		t.Errorf("read before, and asked: %q", sessiontest.PromptText(r.Prompt()))
	}
}
