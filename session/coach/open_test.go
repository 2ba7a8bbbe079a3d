package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A wash without its usual cover says so before all, and since when, until it has one.
func TestOpenWashAsksForItsCover(t *testing.T) {
	first := func(r *sessiontest.Run) string { return sessiontest.DetailLines(r.Prompt())[0] }
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	if strings.Contains(sessiontest.PromptText(r.Prompt()), "open since") {
		t.Fatalf("with its lid on: %q", sessiontest.PromptText(r.Prompt()))
	}
	r.Wait(3)
	since := r.Now.Format("15:04")
	r.Do(session.SetCover{Cover: cooling.Open}).Wait(4)
	if got, want := first(r), "open since "+since+", cooling faster: lid on, then tell of it"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
	if p := coach.PromptAt(r.Day, 0, r.Now); !p.Details[0].Must {
		t.Error("it may be left out")
	}
	r.Do(session.TopUp{VolumeL: 0.5, TempC: 90}).Wait(1)
	if !strings.HasPrefix(first(r), "open since "+since) {
		t.Errorf("after a top-up: %q", first(r))
	}
	if r.Do(session.SetCover{Cover: cooling.Film}); strings.Contains(first(r), "open since") {
		t.Errorf("covered: %q", first(r))
	}
	r = sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Tubs[0].Cover = cooling.Open })).Until(0, shed.Soaking)
	if strings.Contains(first(r), "open since") {
		t.Errorf("a tub that has no cover: %q", first(r))
	}
	r = sessiontest.StartPresoaked(t).Do(session.SetCover{Cover: cooling.Open})
	if strings.Contains(first(r), "open since") {
		t.Errorf("a presoak: %q", first(r))
	}
}
