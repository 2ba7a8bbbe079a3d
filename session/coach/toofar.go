package coach

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// sayFarFill says first of all that the bath to be filled is outside its step, and
// what would do.
func sayFarFill(d session.Day, p *Prompt, f session.FillPlan, now time.Time) {
	t, u := d.Tubs[p.Tub], d.Plan.Kit.Units
	gapC := d.GapC(p.Tub, f.AfterC, now)
	if !t.LastWet || t.LastLiftC == 0 || !session.TooFar(t.Step(), gapC) {
		return
	}
	apart := u.TempApart(t.LastLiftC, f.AfterC)
	far := Line{Text: apart + " below the last bath", Must: true}
	if gapC < 0 {
		far.Text, far.Ways = apart+" above the last bath", []Way{lowerSlowly}
		far.Brief = far.Text
	} else if far.Ways = plainWays(closerWays(d, p.Tub, f, now)); len(far.Ways) == 0 {
		far.Ways = []Way{lowerSlowly}
	}
	p.first(far)
}

var lowerSlowly = Way{Text: "lower it in slowly"}

func farther(apart string, gapC float64) string {
	if gapC < 0 {
		return apart + " hotter"
	}
	return apart + " cooler"
}

// closerWays are what brings a bath to be filled within its step, or the fleece
// nearer to it, each by itself. Each has been tried.
func closerWays(d session.Day, tub int, f session.FillPlan, now time.Time) []string {
	k := d.Plan.Kit
	near := func(from session.Supply) (session.FillPlan, bool) {
		f := d.FillWith(tub, from)
		return f, measure.Finite(f.AfterC) && !session.TooFar(d.Tubs[tub].Step(), d.GapC(tub, f.AfterC, now))
	}
	left := d.HotLeftL(now)
	var out []string
	if n, ok := d.TankMin(left, func(storedL float64) bool { _, ok := near(d.FromTank(tub, storedL)); return ok }); ok && float64(n) <= d.MayHangMin(tub, now) {
		out = append(out, fmt.Sprintf("wait %s for the tank", measure.Minutes(float64(n))))
	}
	from, own := d.FromTank(tub, left), k.KettleMarkL()
	if own <= 0 {
		own = shed.JugFor(k.Units)
	}
	boil := func(n int) session.Supply { s := from; s.BoiledL = float64(n) * own; return s }
	if n, ok := session.SmallestThat(1, int(f.VolumeL/own+1e-9), func(n int) bool { _, ok := near(boil(n)); return ok }); ok {
		f, _ := near(boil(n))
		out = append(out, "boil "+k.BoilText(f.Pour.KettleL))
	}
	if min, ok := d.HangMin(tub, f.AfterC, now); ok {
		out = append(out, fmt.Sprintf("let the fleece hang %s", measure.Minutes(min)))
	}
	return out
}

// sayFarSink says that the bath a tub holds is outside its step, and what would do.
func sayFarSink(d session.Day, p *Prompt, tempC float64, now time.Time) {
	t, k := d.Tubs[p.Tub], d.Plan.Kit
	s, gapC := t.Step(), d.GapC(p.Tub, tempC, now)
	far := fmt.Sprintf("about %s, %s than the last one", k.Units.Temp(tempC), farther(k.Units.TempApart(t.LastLiftC, tempC), gapC))
	p.Doubt = fmt.Sprintf("%s's bath is %s", d.TubName(p.Tub), far)
	var ways []Way
	wantC := t.LastLiftC - s.MaxGapC
	switch r, ok := d.Remedy(p.Tub, tempC, wantC); {
	case gapC < 0:
		ways = append(ways, Way{Text: "add cold water"})
	case ok && r.TempC >= wantC-session.GapSlackC:
		pour := sayTopUp(&d, r, now)
		ways = append(ways, Way{Text: pour.text + pour.short + pour.inBrackets()})
	default:
		if f := d.FillAt(p.Tub, now); !session.TooFar(s, d.GapC(p.Tub, f.AfterC, now)) {
			ways = append(ways, freshFill)
		}
	}
	if min, ok := d.HangMin(p.Tub, tempC, now); ok && gapC > 0 {
		ways = append(ways, Way{Text: "let the fleece hang " + measure.Minutes(min)})
	}
	if len(ways) == 0 {
		ways = append(ways, lowerSlowly)
	}
	p.first(Line{Text: far, Ways: ways, Must: true, Brief: ways[0].Text}) // the question says how far
}

// CoolStart says that a bath reads cooler, with the fleece in, than its step may begin: "139 °F,
// under the coolest start of 140 °F"; "" where it does not.
func CoolStart(u measure.System, s *shed.Step, f session.FillPlan) string {
	at, low := u.Temp(f.AfterC), u.Temp(s.LowestSinkC)
	if !(f.AfterC < s.LowestSinkC) || at == low {
		return ""
	}
	return at + ", under the coolest start of " + low
}
