package session_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What was just read is what the bath has, whatever was expected and read before;
// from there it only cools, and is as sure as the thermometer.
func TestEstimateStartsFromTheReading(t *testing.T) {
	for _, reads := range [][]float64{{60}, {62.5, 58}, {66, 54, 51}, {60, 61}, {63, 50, 49.5, 48}} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
		for _, c := range reads {
			r.Wait(4)
			r.Do(session.TakeReading{Tub: 0, TempC: c, Sure: true})
			last, sd, _ := r.Day.TempNow(0, r.Now)
			if math.Abs(last-c) > 0.01 || sd > 0.8 {
				t.Errorf("%v: read %g, and said to have %.2f ± %.2f", reads, c, last, sd)
			}
			for range 4 {
				r.Wait(0.5)
				now, _, _ := r.Day.TempNow(0, r.Now)
				if now > last {
					t.Errorf("%v: it warms from %.3f to %.3f", reads, last, now)
				}
				last = now
			}
			if g := coach.GlanceAt(r.Day, 0, r.Now); c > g.ReleaseC+1 && !g.Release.Likely.After(r.Now) {
				t.Errorf("%v: read %g, and below %g by %v", reads, c, g.ReleaseC, g.Release.Likely)
			}
		}
	}
}

// After a misreading that was insisted on the true one is taken without a question.
func TestTheTrueReadingIsNotAskedAbout(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	warm, _, _ := r.Day.TempNow(0, r.Now)
	_ = r.Refused(session.TakeReading{TempC: 36}, "expected. Check it")
	r.Do(session.TakeReading{TempC: 36, Sure: true}).Wait(1).Do(session.TakeReading{TempC: warm})
	if b := r.Day.Tubs[0].Bath; !b.Readings[0].Doubtful || b.Readings[1].Doubtful {
		t.Errorf("%+v", b.Readings)
	}
}

// What may have been meant is asked in the unit of the thermometer that was read.
func TestDoubtfulReadingInItsUnit(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Units = measure.US }))
	for r.Until(0, shed.Soaking); r.Day.Tubs[0].Step().Kind != shed.Wash; {
		r.Next(0).Until(0, shed.Soaking)
	}
	r.Wait(3)
	inC := func(f float64) float64 { return (f - 32) / 1.8 }
	_ = r.Refused(session.TakeReading{TempC: inC(62)}, "did you mean 143.6 °F, typed in °C?")
	_ = r.Refused(session.TakeReading{TempC: inC(194)}, "did you mean 149 °F, digits swapped?")
}

// A wash that was read cooler than its coolest start, or hotter than planned, is not as it
// was meant; the cold water that is named brings a hot one back to its aim.
func TestReadingOffTheAim(t *testing.T) {
	washing := func() *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
		for r.Day.Tubs[0].Step().Kind != shed.Wash {
			r.Next(0).Until(0, shed.Soaking)
		}
		return r.Wait(4)
	}
	for _, row := range []struct {
		tempC     float64
		cool, hot bool
	}{{57, true, false}, {60, false, false}, {64, false, false}, {68, false, false}, {70, false, true}} {
		r := washing()
		r.Do(session.TakeReading{TempC: row.tempC, Sure: true})
		cool, hot, aimC, coldL := coach.OffAim(r.Day, 0, row.tempC, r.Now)
		if cool != row.cool || hot != row.hot {
			t.Errorf("%g °C: cool %v, hot %v", row.tempC, cool, hot)
		}
		if !hot {
			continue
		}
		r.Wait(1).Do(session.TopUp{Tub: 0, VolumeL: coldL, TempC: r.Day.Plan.Kit.ColdTapC})
		after, _, _ := r.Day.TempNow(0, r.Now)
		sessiontest.Near(t, fmt.Sprintf("with %g L of cold water, °C", coldL), after, aimC, 1)
	}
	late := washing().Wait(8)
	if cool, _, _, _ := coach.OffAim(late.Day, 0, 57, late.Now); cool {
		t.Error("a wash that has cooled is said to have begun too cool")
	}
}

// A bath below its aim is not hot because tap and kettle do not come to the aim.
func TestReadingUnderTheAimIsNotHot(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Kettle, p.Kit.HotTapC = shed.Kettle{}, 60 })).Until(0, shed.ToFill)
	for r.Day.Tubs[0].Step().Kind != shed.Wash {
		r.Until(0, shed.Soaking).Next(0).Until(0, shed.ToFill)
	}
	r.Do(session.DoNext{Tub: 0, Act: shed.FillTub, HasTemp: true, TempC: 65, Sooner: true})
	for tempC, want := range map[float64]bool{64: false, 66: false, 72: true} {
		if _, hot, aimC, _ := coach.OffAim(r.Day, 0, tempC, r.Now); hot != want {
			t.Errorf("%g °C, aim %g: hot %v", tempC, aimC, hot)
		}
	}
}

// A fill that was misread shows in the first reading. It is the fill that was off and not a bath
// that cools several times too fast: what is expected a few minutes later is what the bath comes to.
func TestAMisreadFillIsNotFastCooling(t *testing.T) {
	for _, row := range []struct {
		trueC float64
		says  string
	}{{57, "the fill was probably cooler than you said: take a reading once more at "}, {72, "the fill was probably hotter than you said: "}, {65, ""}} {
		filled := func(toldC float64) *sessiontest.Run {
			r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToFill)
			for r.Day.Tubs[0].Step().Kind != shed.Wash {
				r.Until(0, shed.Soaking).Next(0).Until(0, shed.ToFill)
			}
			r.Do(session.DoNext{Tub: 0, Act: shed.FillTub, HasTemp: true, TempC: toldC, Sooner: true})
			return r.Wait(1).Do(session.DoNext{Tub: 0, Act: shed.SinkIn, Sooner: true}).Wait(4)
		}
		bath := func(r *sessiontest.Run) (tempC float64) { tempC, _, _ = r.Day.TempNow(0, r.Now); return tempC }
		truth, r := filled(row.trueC), filled(65)
		r.Do(session.TakeReading{Tub: 0, TempC: math.Round(bath(truth)), Sure: true})
		said := sessiontest.DetailLines(r.Prompt())
		if got := fmt.Sprint(said); row.says == "" && strings.Contains(got, "the fill was") || !strings.Contains(got, row.says) {
			t.Errorf("%g °C: %v", row.trueC, said)
		}
		truth.Wait(5)
		r.Wait(5)
		sessiontest.Near(t, fmt.Sprintf("filled at %g °C, five minutes after the reading", row.trueC), bath(r), bath(truth), 1)
		if release := r.Day.Release(0, r.Day.Heat(0)); row.trueC > 60 && !release.Early.After(r.Now) {
			t.Errorf("filled at %g °C, it may be too cool from %v on", row.trueC, release.Early)
		}
		r.Do(session.TakeReading{Tub: 0, TempC: math.Round(bath(truth))}) // without a question
		if got := fmt.Sprint(sessiontest.DetailLines(r.Prompt())); strings.Contains(got, "the fill was") {
			t.Errorf("%g °C, read twice: %s", row.trueC, got)
		}
	}
}
