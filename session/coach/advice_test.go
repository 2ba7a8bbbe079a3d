package coach_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

func helpLines(r *sessiontest.Run) string {
	r.T.Helper()
	h, err := coach.HelpAt(r.Day, 0, r.Now)
	if err != nil {
		r.T.Fatalf("%v", err)
	}
	return helpText(h, r)
}

// A bath that was read below its release temperature is below it since then at
// the latest; a cover or too little hot water does not set that
// back, enough of it does, and so does a later reading above.
func TestReadBelow(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		r := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) { p.Kit.Units = u })).Next(0, 0)
		for _, readC := range []float64{55, 54, 53} { // it was above just before
			r.Now = r.Now.Add(20 * time.Minute)
			r.Do(session.TakeReading{TempC: readC, Sure: true})
		}
		r.Now = r.Now.Add(time.Minute)
		r.Do(session.TakeReading{TempC: 48.5, Sure: true})
		since := r.Now.Add(-time.Minute) // by the curve earlier, but then it was read above
		below := func(what string, at time.Time) {
			t.Helper()
			r.Tick(time.Second)
			sessiontest.Same(t, what, coach.PromptAt(r.Day, 0, r.Now).Count, coach.Count{Of: coach.SinceBelow, At: at})
			sessiontest.Same(t, what+": the alarm", sessiontest.StandingAlarms(r.Day), []string{"North: below release"})
		}
		below("read", since)
		if all := helpLines(r); strings.Contains(all, "on: ") || strings.Contains(all, "may be") {
			t.Errorf("read below, the help says\n%s", all)
		}
		r.Now = r.Now.Add(3 * time.Minute)
		r.Do(session.SetCover{Cover: cooling.LidAndFilm})
		below("covered", since)
		all := helpLines(r)
		for _, bad := range []string{"may be", "film", "lid"} {
			if strings.Contains(all, bad) {
				t.Errorf("read below, the help says %q:\n%s", bad, all)
			}
		}
		if !strings.Contains(all, "leave it: below "+u.Temp(49)+" for 4 min") {
			t.Errorf("the help does not say since when:\n%s", all)
		}
		again := sessiontest.Start(t, sessiontest.LongWash())
		again.Day, again.Now = r.Day, r.Now.Add(time.Minute)
		again.Do(session.TakeReading{TempC: 50.5, Sure: true})
		again.Now = again.Now.Add(time.Second)
		if c := coach.PromptAt(again.Day, 0, again.Now).Count; c.Of == coach.SinceBelow {
			t.Errorf("read above again, and %+v", c)
		}
		r.Do(session.TopUp{VolumeL: 0.1, TempC: 60}) // hot, and not enough
		below("a little poured", since)
		lifted := sessiontest.Start(t, sessiontest.LongWash())
		lifted.Day, lifted.Now = r.Day, r.Now.Add(time.Minute)
		lifted.Next(0)
		if all := strings.Join(sessiontest.DetailLines(lifted.Prompt()), "\n"); !strings.Contains(all, "A1 was below "+u.Temp(49)+" for 5 min: wash it again") {
			t.Errorf("lifted, and nothing of the wash that is wanted:\n%s", all)
		}
		r.Do(session.TopUp{VolumeL: 2, TempC: 95})
		r.Tick(time.Second)
		if c := coach.PromptAt(r.Day, 0, r.Now).Count; c.Of != coach.ToDue {
			t.Errorf("hot water in: %+v", c)
		}
	}
}

// What helps, minute by minute through a wash that nobody lifts: below its release
// temperature it is not "may be", what cannot warm it is not offered, nothing
// lasts a soak that is over, and the best is to lift then.
func TestWhatHelpsStaysTrue(t *testing.T) {
	t.Parallel()
	cases := map[string]func(*sessiontest.Run){
		"left alone":          func(*sessiontest.Run) {},
		"read each half hour": func(r *sessiontest.Run) { readAsItIs(r, 30) },
		"held at ten minutes": func(r *sessiontest.Run) {
			if r.Now.Sub(r.Day.Tubs[0].Bath.SunkAt) == 10*time.Minute {
				r.Do(session.Hold{})
			}
		},
	}
	for name, each := range cases {
		for _, u := range []measure.System{measure.Metric, measure.US} {
			for _, soak := range []float64{20, 600} {
				for _, kettleL := range []float64{1.7, 0.3, 0} {
					t.Run(fmt.Sprintf("%s, %v, soak %g min, kettle %g L", name, u, soak, kettleL), func(t *testing.T) {
						r := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) {
							p.Kit.Units, p.Kit.Kettle.CapacityL = u, kettleL
							p.Kit.Tubs[0].Cover = cooling.Lid
							if p.Method.Steps[1].SoakMin = soak; soak < 60 {
								p.Method.Steps[1].LongestMin = 40
							}
						})).Next(0, 0)
						below, over := 0, 0
						for range 5 * 60 {
							r.Tick(time.Minute)
							each(r)
							b, o := truthOfHelp(r)
							below, over = below+b, over+o
						}
						if below < 30 || soak < 60 && over < 30 && !strings.HasPrefix(name, "held") {
							t.Errorf("below for %d min, over for %d", below, over)
						}
					})
				}
			}
		}
	}
}

// readAsItIs reads the bath every so many minutes, two degrees under the estimate.
func readAsItIs(r *sessiontest.Run, every float64) {
	if m := r.Now.Sub(r.Day.Tubs[0].Bath.SunkAt).Minutes(); int(m)%int(every) == 0 {
		c, _, _ := r.Day.TempNow(0, r.Now)
		r.Do(session.TakeReading{TempC: c - 2, Sure: true})
	}
}

func truthOfHelp(r *sessiontest.Run) (below, over int) {
	t, tub := r.T, r.Day.Tubs[0]
	h, err := coach.HelpAt(r.Day, 0, r.Now)
	if err != nil {
		t.Fatalf("%v", err)
	}
	all := helpLines(r)
	sessiontest.CheckPlain(t, strings.ReplaceAll(all, "\n", ". "))
	say := func(format string, args ...any) {
		t.Helper()
		t.Fatalf("%v: "+format+"\n%s", append(append([]any{r.Now}, args...), all)...)
	}
	if strings.Count(all, "best: ") != 1 || strings.Contains(all, " 0 min") {
		say("not one best, or no minutes")
	}
	if last := tub.Bath.Readings; len(last) > 0 && last[len(last)-1].TempC <= h.ReleaseC && h.Count.Of != coach.SinceBelow {
		say("read %g °C, and not below", last[len(last)-1].TempC)
	}
	if !r.Now.Before(tub.SoakEndAt(r.Now)) || !r.Now.Before(tub.LongestAt()) && !tub.LongestAt().IsZero() {
		over = 1
		if strings.Contains(all, "lasts the soak") || !strings.Contains(all, "best: lift now") {
			say("the soak is over")
		}
	}
	for _, o := range h.Options {
		switch pours := o.Choice == cooling.PourKettle || o.Choice == cooling.CoverAndPour; {
		case pours && h.Remedy.TempC < h.ReleaseC+0.5:
			say("%v comes to %.1f °C", o.Choice, h.Remedy.TempC)
		case o.Choice == cooling.PutCover && o.GainMin < 1 && o.Choice != h.Best:
			say("%v gains %.1f min", o.Choice, o.GainMin)
		}
	}
	if h.Count.Of != coach.SinceBelow {
		return 0, over
	}
	if strings.Contains(strings.SplitN(all, "\n", 2)[0], "may be") || h.Best == cooling.Leave || h.Best == cooling.PutCover {
		say("it is below")
	}
	for _, o := range h.Options {
		if o.Choice == cooling.PutCover {
			say("a cover warms nothing")
		}
	}
	return 1, over
}

// helpText is the help in plain words, the best marked.
func helpText(h coach.Help, r *sessiontest.Run) string {
	lines := h.Lines(&r.Day.Plan, r.Now)
	out := make([]string, len(lines))
	for i, l := range lines {
		if out[i] = l.Say(nil); l.Best {
			out[i] = "best: " + out[i]
		}
	}
	return strings.Join(out, "\n")
}

// Fleece that went into a bath which had cooled before was below its release temperature only
// while it was in.
func TestBelowCountsWithTheFleeceIn(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.LongWash())
	for r.Day.Tubs[0].Step().Kind != shed.Wash || r.Day.Tubs[0].Phase != shed.ToSink {
		r.Wait(3).Next(0)
	}
	r.Do(session.TakeReading{TempC: 46, Sure: true}).Wait(30).Until(0, shed.Soaking).Wait(4).Do(session.DoNext{Act: shed.Lift, Sooner: true})
	if all := strings.Join(sessiontest.DetailLines(r.Prompt()), "\n"); !strings.Contains(all, "A1 was below 49 °C for 4 min: wash it again") {
		t.Errorf("lifted:\n%s", all)
	}
}

// Who has the lid on already is not told to cover the bath that cools.
func TestACoveredBathIsNotToBeCovered(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for _, covered := range []bool{true, false} {
		if !covered {
			r.Do(session.SetCover{})
		}
		do := coach.WhatToDo(r.Day, session.Alarm{Kind: session.NearRelease}, r.Now)
		for _, text := range []string{do.Text, do.Brief} {
			if strings.Contains(text, "over it") == covered || !strings.HasSuffix(text, "r pour hot water in at the side, never onto the fleece") {
				t.Errorf("covered %v: %q", covered, text)
			}
		}
	}
}
