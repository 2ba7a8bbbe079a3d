package session_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
)

func (r *run) prompt() session.Prompt {
	for _, p := range r.day.Prompts(r.now) {
		if p.Tub == 0 {
			return p
		}
	}
	r.t.Fatalf("no prompt for the first tub")
	return session.Prompt{}
}

// A wash bath that cooled before its fleece went in is brought back to what its
// fill was meant to be, not to the least it may begin with; and the help says
// the same.
func TestFilledAndForgotten(t *testing.T) {
	r := start(t, oneTub()).next(0)
	meantC := r.day.Tubs[0].Bath.FillC
	same(t, "doubt of a fresh bath", r.prompt().Doubt, "")
	r.do(session.TakeReading{TempC: 57, Sure: true})
	p := r.prompt()
	if !strings.Contains(p.Doubt, "North's bath is about 57 °C, too cool to begin") || p.Rank != session.Harm {
		t.Errorf("%+v", p)
	}
	h, err := r.day.Help(0, r.now)
	if err != nil || !h.HasRemedy || h.Best != cooling.PourKettle || h.Anew || h.HasCover {
		t.Fatalf("help %+v, %v", h, err)
	}
	if jug := r.day.Plan.Kit.JugL; h.Remedy.TempC < meantC-1 && h.Remedy.PourL < r.day.Plan.Kit.Kettle.CapacityL-jug {
		t.Errorf("poured to %.1f °C, the fill was meant to be %.1f: %+v", h.Remedy.TempC, meantC, h.Remedy)
	}
	all := helpText(h, r)
	pour := strings.SplitN(strings.SplitN(says(p)[0], "first ", 2)[1], ",", 2)[0]
	if strings.Contains(all, "lift now") || strings.Contains(all, "lid on") || !strings.Contains(all, "best: "+pour) {
		t.Errorf("the prompt says %q, the help\n%s", says(p)[0], all)
	}
	for range 2 {
		r.now = r.now.Add(time.Minute)
		r.do(session.TopUp{VolumeL: h.Remedy.PourL, TempC: r.day.Plan.Kit.KettleC()})
		if h, err = r.day.Help(0, r.now); err != nil || !h.HasRemedy {
			break
		}
	}
	same(t, "doubt of a bath put right", r.prompt().Doubt, "")

	// Far too cold: a fresh fill.
	r.now = r.now.Add(time.Minute)
	r.do(session.TakeReading{TempC: 40, Sure: true})
	if p := r.prompt(); !strings.Contains(says(p)[0], "one kettle does not mend it: empty it for a fresh fill") {
		t.Errorf("%v", p.Details)
	}
	if h, err = r.day.Help(0, r.now); err != nil || !h.Anew || !strings.Contains(helpText(h, r), "best: empty it for a fresh fill") {
		t.Errorf("%+v, %v", h, err)
	}
	r.do(session.RepeatStep{})
	same(t, "next", r.day.NextAction(0), session.FillTub)
	same(t, "step", r.day.Tubs[0].Step().Kind, session.Wash)
	if n := len(r.day.Baths); n != 1 || !r.day.Baths[0].Skipped || !r.day.Baths[0].SunkAt.IsZero() {
		t.Errorf("baths %+v", r.day.Baths)
	}
	r.do(session.Undo{})
	same(t, "next after undo", r.day.NextAction(0), session.SinkIn)
	replay(t, r, nil)
}

// A rinse that was filled and left to go cold is doubted too.
func TestColdRinse(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(20).next(0, 0, 0)
	same(t, "doubt of a fresh rinse", r.prompt().Doubt, "")
	r.do(session.TakeReading{TempC: 40, Sure: true})
	if p := r.prompt(); !strings.Contains(p.Doubt, "cooler than the last one") || !strings.Contains(says(p)[0], "from the kettle at the side, to ") {
		t.Errorf("read at 40 °C: %+v", p)
	}
	k := r.day.Plan.Kit
	k.Kettle.CapacityL = 0
	if p := r.do(session.ChangeKit{Kit: k}).prompt(); !strings.Contains(says(p)[0], "empty it for a fresh fill") {
		t.Errorf("without a kettle: %+v", p)
	}
	do := r.day.WhatToDo(session.Alarm{Kind: session.FarFromLast}, r.now)
	same(t, "away from its keys", do.String(), "empty it for a fresh fill, or hang the fleece 16 min")
	same(t, "at its keys", do.Say(func(d session.Deed) string { return fmt.Sprint("z ", int(d)) }), "z 1 for a fresh fill, or hang the fleece 16 min")
	r.now = r.now.Add(3 * time.Hour)
	if p := r.prompt(); p.Doubt != "" {
		t.Errorf("after three hours the fleece is as cold as its bath: %+v", p)
	}
}

// What the advice says can be written down: water bailed out and hot water
// poured in, and the bath is then where the advice said it would be.
func TestBailAndPour(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 8.5, 8 })).next(0)
	r.do(session.TakeReading{TempC: 56, Sure: true})
	r.now = r.now.Add(time.Minute)
	h, err := r.day.Help(0, r.now)
	if err != nil || !h.HasRemedy || !(h.Remedy.BailL > 0) || !strings.Contains(says(r.prompt())[0], "bail") {
		t.Fatalf("%+v, %v", h, err)
	}
	kettleC := r.day.Plan.Kit.KettleC()
	_ = r.refused(session.TopUp{VolumeL: h.Remedy.PourL, TempC: kettleC}, "bail some out first")
	_ = r.refused(session.TopUp{VolumeL: 1, TempC: kettleC, BailL: 9}, "North holds 8 L: no more than that can be bailed out")
	_ = r.refused(session.TopUp{VolumeL: 1, TempC: kettleC, BailL: -1}, "no more than that")
	r.do(session.TopUp{VolumeL: h.Remedy.PourL, TempC: kettleC, BailL: h.Remedy.BailL})
	got, _, _ := r.day.TempNow(0, r.now)
	near(t, "the bath after it", got, h.Remedy.TempC, 0.3)
	if again, err := r.day.Help(0, r.now); err != nil || again.HasRemedy && again.Remedy.BailL > h.Remedy.BailL+1 {
		t.Errorf("%+v, %v", again, err)
	}
	replay(t, r, nil)
}
