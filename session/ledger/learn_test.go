package ledger_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// washDayWithReadings lives one batch through a day in which every bath really
// loses factor times what handbooks say, read at the given minutes of the wash.
func washDayWithReadings(t *testing.T, heat []shed.TubHeat, factor float64, readAt ...float64) *sessiontest.Run {
	t.Helper()
	p := sessiontest.OneTub()
	p.Heat = heat
	r := sessiontest.Start(t, p)
	for !r.Day.AllRacked() {
		washes := r.Day.Tubs[0].Phase == shed.Soaking && r.Day.Tubs[0].Step().Kind == shed.Wash
		if washes {
			bath := r.Day.Tubs[0].Bath
			for _, m := range readAt {
				r.Now = bath.SunkAt.Add(sessiontest.Minutes(m))
				plain := r.Day.Plan
				plain.Heat = nil
				truth, _, _ := session.BathModel(&plain, &bath)
				truth.LossWPerK *= factor
				for i := range truth.Changes {
					truth.Changes[i].LossWPerK *= factor
				}
				c, _ := truth.Fit(nil, 0).At(r.Now.Sub(bath.FilledAt).Minutes())
				r.Do(session.TakeReading{TempC: c, Sure: true})
			}
		}
		r.Next(0)
	}
	r.Do(session.EndDay{})
	return r
}

// TestDaysTeach: a tub that loses half as much again is believed so after a few
// days, more surely with each, never surer than days are alike.
func TestDaysTeach(t *testing.T) {
	const factor = 1.5
	var days []ledger.Summary
	off, sd := math.Inf(1), math.Inf(1)
	for i := range 4 {
		r := washDayWithReadings(t, ledger.LearnFrom(days), factor, 2, 10, 18)
		sum := ledger.Summarise(shed.DayID(i+1), r.Day)
		sum.StartedAt = sum.StartedAt.AddDate(0, 0, i)
		days = append(days, sum)
		if len(sum.Lessons) != 1 {
			t.Fatalf("day %d taught %+v", i+1, sum.Lessons)
		}
		heat := ledger.LearnFrom(days)
		if len(heat) != 1 || heat[0].Cover != cooling.Lid || heat[0].Baths != i+1 {
			t.Fatalf("after day %d: %+v", i+1, heat)
		}
		nowOff := math.Abs(heat[0].LogScale - math.Log(factor))
		if nowOff > off+1e-9 || heat[0].SDLog >= sd {
			t.Errorf("after day %d: %.3f off (before %.3f), ± %.3f (before %.3f)", i+1, nowOff, off, heat[0].SDLog, sd)
		}
		off, sd = nowOff, heat[0].SDLog
	}
	if off > 0.15 {
		t.Errorf("after four days still %.2f off in ln(loss)", off)
	}
	// The next day's forecast without a reading is near the truth.
	kit := shed.DefaultKit()
	untaught := shed.CoverTimes(kit, kit.Tubs[0], nil)[1]
	taught := shed.CoverTimes(kit, kit.Tubs[0], ledger.LearnFrom(days))[1]
	if taught.Baths != 4 || taught.Cover != cooling.Lid {
		t.Fatalf("%+v", taught)
	}
	want := untaught.Min.LikelyMin / factor
	if math.Abs(taught.Min.LikelyMin-want) > 0.15*want {
		t.Errorf("66 to 49 °C in %.0f min, truth %.0f, handbook %.0f", taught.Min.LikelyMin, want, untaught.Min.LikelyMin)
	}
	if width, before := math.Log(taught.Min.LateMin/taught.Min.EarlyMin), math.Log(untaught.Min.LateMin/untaught.Min.EarlyMin); width >= before {
		t.Errorf("interval %v no narrower than %v", taught.Min, untaught.Min)
	}
	// In whichever order the days are given; a day that goes on teaches nothing yet.
	days[0], days[2] = days[2], days[0]
	sessiontest.Same(t, "order", ledger.LearnFrom(days), ledger.LearnFrom([]ledger.Summary{days[2], days[1], days[0], days[3]}))
	open := days[3]
	open.EndedAt = time.Time{}
	if heat := ledger.LearnFrom([]ledger.Summary{open}); len(heat) != 0 {
		t.Errorf("an open day taught %+v", heat)
	}
}

// TestDayWithoutReadingsTeachesNothing.
func TestDayWithoutReadingsTeachesNothing(t *testing.T) {
	if l := washDayWithReadings(t, nil, 1).Day.Lessons(); len(l) != 0 {
		t.Errorf("taught %+v", l)
	}
}

// TestHelp: what would help is said for a wash only, with its figures, and the
// choice that is best really lasts.
func TestHelp(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	if _, err := coach.HelpAt(r.Day, 0, r.Now); err == nil || !strings.Contains(err.Error(), "no wash bath") {
		t.Errorf("an empty tub got help: %v", err)
	}
	r.Fill(0, 58)
	r.Next(0)
	r.Do(session.SetCover{Cover: cooling.Open})
	h := must.Get(coach.HelpAt(r.Day, 0, r.Now)).In(t)
	if h.Options[0].Choice != cooling.Leave || h.Options[len(h.Options)-1].Choice != cooling.LiftNow || !h.HasCover || h.Cover != cooling.Lid || !h.HasRemedy {
		t.Errorf("%+v", h)
	}
	sessiontest.Near(t, "wanted", h.WantC, 60, 0)
	if h.Remedy.LevelL > 12 || h.Remedy.PourL <= 0 {
		t.Errorf("remedy %+v", h.Remedy)
	}
	for _, o := range h.Options[1 : len(h.Options)-1] {
		if o.GainMin <= 0 {
			t.Errorf("%v gains %g min", o.Choice, o.GainMin)
		}
	}
	for _, line := range h.Lines(&r.Day.Plan, r.Now) {
		l := line.Say(nil)
		if strings.Contains(l, "NaN") || strings.Contains(l, "Inf") {
			t.Error(l)
		}
		t.Log(l)
	}
}

// TestMistypedReadingIsExplained: 36 for 63.
func TestMistypedReadingIsExplained(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	r.Fill(0, 67)
	r.Next(0)
	r.Now = r.Now.Add(5 * time.Minute)
	_ = r.Refused(session.TakeReading{TempC: 46}, "did you mean 64 °C, digits swapped?")
}
