package coach_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A wash bath that cooled before its fleece went in is brought back to what its
// fill was meant to be, not to the least it may begin with; and the help says
// the same.
func TestFilledAndForgotten(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0)
	meantC := r.Day.Tubs[0].Bath.FillC
	sessiontest.Same(t, "doubt of a fresh bath", r.Prompt().Doubt, "")
	r.Do(session.TakeReading{TempC: 57, Sure: true})
	p := r.Prompt()
	if !strings.Contains(p.Doubt, "North's bath is about 57 °C, too cool to begin") || p.Rank != coach.Harm {
		t.Errorf("%+v", p)
	}
	h, err := coach.HelpAt(r.Day, 0, r.Now)
	if err != nil || !h.HasRemedy || h.Best != cooling.PourKettle || h.Anew || h.HasCover {
		t.Fatalf("help %+v, %v", h, err)
	}
	if jug := r.Day.Plan.Kit.JugL; h.Remedy.TempC < meantC-1 && h.Remedy.PourL < r.Day.Plan.Kit.Kettle.CapacityL-jug {
		t.Errorf("poured to %.1f °C, the fill was meant to be %.1f: %+v", h.Remedy.TempC, meantC, h.Remedy)
	}
	all := helpText(h, r)
	pour := strings.SplitN(strings.SplitN(sessiontest.DetailLines(p)[0], "first ", 2)[1], ",", 2)[0]
	if strings.Contains(all, "lift now") || strings.Contains(all, "lid on") || !strings.Contains(all, "best: "+pour) {
		t.Errorf("the prompt says %q, the help\n%s", sessiontest.DetailLines(p)[0], all)
	}
	for range 2 {
		r.Now = r.Now.Add(time.Minute)
		r.Do(session.TopUp{VolumeL: h.Remedy.PourL, TempC: r.Day.Plan.Kit.KettleC()})
		if h, err = coach.HelpAt(r.Day, 0, r.Now); err != nil || !h.HasRemedy {
			break
		}
	}
	sessiontest.Same(t, "doubt of a bath put right", r.Prompt().Doubt, "")

	// Far too cold: a fresh fill.
	r.Now = r.Now.Add(time.Minute)
	r.Do(session.TakeReading{TempC: 40, Sure: true})
	if p := r.Prompt(); !strings.Contains(sessiontest.DetailLines(p)[0], "one kettle isn't enough: empty it for a fresh fill") {
		t.Errorf("%v", p.Details)
	}
	if h, err = coach.HelpAt(r.Day, 0, r.Now); err != nil || !h.Anew || !strings.Contains(helpText(h, r), "best: empty it for a fresh fill") {
		t.Errorf("%+v, %v", h, err)
	}
	r.Do(session.RepeatStep{})
	sessiontest.Same(t, "next", r.Day.NextAction(0), shed.FillTub)
	sessiontest.Same(t, "step", r.Day.Tubs[0].Step().Kind, shed.Wash)
	if n := len(r.Day.Baths); n != 1 || !r.Day.Baths[0].Skipped || !r.Day.Baths[0].SunkAt.IsZero() {
		t.Errorf("baths %+v", r.Day.Baths)
	}
	r.Do(session.Undo{})
	sessiontest.Same(t, "next after undo", r.Day.NextAction(0), shed.SinkIn)
	sessiontest.CheckReplay(t, r, nil)
}

// A rinse that was filled and left to go cold is doubted too.
func TestColdRinse(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Method.Steps[1].HangMin = 45 })).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0)
	sessiontest.Same(t, "doubt of a fresh rinse", r.Prompt().Doubt, "")
	r.Do(session.TakeReading{TempC: 40, Sure: true})
	if p := r.Prompt(); !strings.Contains(p.Doubt, "cooler than the last one") || !strings.Contains(sessiontest.DetailLines(p)[0], ": boil ") || !strings.Contains(sessiontest.DetailLines(p)[0], " and pour it in at the side, to ") {
		t.Errorf("read at 40 °C: %+v", p)
	}
	k := r.Day.Plan.Kit
	k.Kettle.CapacityL = 0
	if p := r.Do(session.ChangeKit{Kit: k}).Prompt(); !strings.Contains(sessiontest.DetailLines(p)[0], "empty it for a fresh fill") {
		t.Errorf("without a kettle: %+v", p)
	}
	do := coach.WhatToDo(r.Day, session.Alarm{Kind: session.FarFromLast}, r.Now)
	sessiontest.Same(t, "away from its keys", do.String(), "empty it for a fresh fill, or let the fleece hang 16 min")
	sessiontest.Same(t, "at its keys", do.Say(func(d coach.Deed) string { return fmt.Sprint("z ", int(d)) }), "z 1 for a fresh fill, or let the fleece hang 16 min")
	r.Now = r.Now.Add(3 * time.Hour)
	if p := r.Prompt(); p.Doubt != "" {
		t.Errorf("after three hours the fleece is as cold as its bath: %+v", p)
	}
}

// Water is poured from the kettle that has boiled; else it is to be boiled first, and the help
// says the same.
func TestBoiledBeforeItIsPoured(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(oneBoil, func(p *shed.Plan) {
		p.Kit.HotTapC, p.Batches[0].Presoak, p.Batches[1].Presoak = 50, shed.PresoakNone, shed.PresoakNone
	})).Next(0)
	r.Do(session.TakeReading{TempC: 57, Sure: true})
	says := func(want string) {
		t.Helper()
		h := must.Get(coach.HelpAt(r.Day, 0, r.Now)).In(t)
		if line := sessiontest.DetailLines(r.Prompt())[0]; !strings.Contains(line, ": first "+want) || !strings.Contains(helpText(h, r), "best: "+want) {
			t.Errorf("%q, the help\n%s\nwant %q", line, helpText(h, r), want)
		}
	}
	says("boil ")
	r.Do(session.TellKettle{Tub: 1}).Wait(15)
	says("boil ")
	r.Do(session.TellKettle{Sure: true}, session.TakeReading{TempC: 57, Sure: true})
	says("pour ")
	r.Tick(20 * time.Minute).Do(session.TakeReading{TempC: 57, Sure: true})
	says("boil ") // that has stood
}

// What the advice says can be written down: water bailed out and hot water
// poured in, and the bath is then where the advice said it would be.
func TestBailAndPour(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 8.5, 8 })).Next(0)
	r.Do(session.TakeReading{TempC: 56, Sure: true})
	r.Now = r.Now.Add(time.Minute)
	h, err := coach.HelpAt(r.Day, 0, r.Now)
	if err != nil || !h.HasRemedy || !(h.Remedy.BailL > 0) || !strings.Contains(sessiontest.DetailLines(r.Prompt())[0], "bail") {
		t.Fatalf("%+v, %v", h, err)
	}
	kettleC := r.Day.Plan.Kit.KettleC()
	_ = r.Refused(session.TopUp{VolumeL: h.Remedy.PourL, TempC: kettleC}, "bail some out first")
	_ = r.Refused(session.TopUp{VolumeL: 1, TempC: kettleC, BailL: 9}, "North holds 8 L: bail less")
	_ = r.Refused(session.TopUp{VolumeL: 1, TempC: kettleC, BailL: -1}, "bail less")
	r.Do(session.TopUp{VolumeL: h.Remedy.PourL, TempC: kettleC, BailL: h.Remedy.BailL})
	got, _, _ := r.Day.TempNow(0, r.Now)
	sessiontest.Near(t, "the bath after it", got, h.Remedy.TempC, 0.3)
	if again, err := coach.HelpAt(r.Day, 0, r.Now); err != nil || again.HasRemedy && again.Remedy.BailL > h.Remedy.BailL+1 {
		t.Errorf("%+v, %v", again, err)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// TestWaitingBathIsReadFirst: past the moment at which a filled bath may be too cool, the
// coach asks for the thermometer before the fleece, and goes on asking.
func TestWaitingBathIsReadFirst(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToSink)
	for !r.Day.Tubs[0].Step().HasRelease() {
		r.Next(0).Until(0, shed.ToSink)
	}
	asks := func() bool {
		l := r.Prompt().Details[0]
		return l.Must && len(l.Ways) == 1 && l.Ways[0].Deed == coach.TakeTemp
	}
	by := r.Prompt().MustBy
	if by.IsZero() || asks() {
		t.Fatalf("at the fill: by %v, %+v", by, r.Prompt().Details)
	}
	seen := 0
	for r.Tick(by.Sub(r.Now) + time.Second); r.Prompt().Doubt == ""; r.Wait(1) {
		if seen++; !asks() {
			t.Fatalf("%v after it may be too cool: %+v", r.Now.Sub(by), r.Prompt().Details)
		}
	}
	if seen < 2 {
		t.Errorf("asked for %d minutes", seen)
	}
	r.Do(session.TakeReading{TempC: 64, Sure: true})
	if asks() {
		t.Errorf("read, and asked all the same: %+v", r.Prompt().Details)
	}
}

// TestWhatWasJustReadIsNotAskedFor: a bath that was read warm enough, if only just, is one
// to lower the fleece into; a while later it is read again.
func TestWhatWasJustReadIsNotAskedFor(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToSink)
	for !r.Day.Tubs[0].Step().HasRelease() {
		r.Next(0).Until(0, shed.ToSink)
	}
	asks := func() bool { w := r.Prompt().Details[0].Ways; return len(w) == 1 && w[0].Deed == coach.TakeTemp }
	r.Wait(1).Do(session.TakeReading{TempC: r.Day.Tubs[0].Step().LowestSinkC + 1, Sure: true})
	for range 3 {
		if asks() {
			t.Fatalf("%v: %+v", r.Now, r.Prompt().Details[0])
		}
		r.Tick(time.Minute - time.Second)
	}
	if r.Tick(time.Minute); !asks() && r.Prompt().Doubt == "" {
		t.Errorf("%v: %+v", r.Now, r.Prompt().Details[0])
	}
}

// TestMistypedReadingCanBeTakenBack: what one reading says of a bath is said with the way out.
func TestMistypedReadingCanBeTakenBack(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for !r.Day.Tubs[0].Step().HasRelease() {
		r.Next(0).Until(0, shed.Soaking)
	}
	r.Wait(2).Do(session.TakeReading{TempC: 47, Sure: true})
	l := r.Prompt().Details[2]
	if len(l.Ways) != 1 || l.Ways[0].Deed != coach.TakeBack || l.Text != "if 47 °C was mistyped" {
		t.Errorf("%+v", r.Prompt().Details)
	}
	r.Do(session.AddNote{Text: "looked again"})
	if l := r.Prompt().Details[2]; len(l.Ways) > 0 && l.Ways[0].Deed == coach.TakeBack {
		t.Errorf("undo takes back something else: %+v", l)
	}
}

// A rinse that nobody has read is not said to be hotter than the tap that it came from.
func TestRinseIsNoHotterThanItsTap(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for r.Day.Tubs[0].Step().Kind != shed.Rinse || r.Day.Tubs[0].Phase != shed.Soaking {
		r.Wait(5).Next(0)
	}
	g, tap := coach.GlanceAt(r.Day, 0, r.Now), r.Day.Plan.Kit.HotTapC
	h := r.Day.Heat(0)
	if p := h.Point(r.Now); p.HighC <= tap || g.HighC > tap || g.HighC < g.TempC {
		t.Errorf("%.1f to %.1f °C from a tap of %.1f; by itself up to %.1f", g.LowC, g.HighC, tap, p.HighC)
	}
}
