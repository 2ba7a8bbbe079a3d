package planner

import (
	"fmt"
	"math"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Draw is hot water drawn for one bath, as the account has it.
type Draw struct {
	_         [0]func() // nobody compares two: no code for it
	Tub       int
	Batch     string
	Step      shed.Step
	StepIndex int // as of the bath
	At        time.Time
	HotL      float64 // from the tap, what the kettle boils included
	TapC      float64 // mean of what comes
	SagC      float64 // how much cooler than the tank is set
	LeftL     float64 // hot water's worth in the tank after it
	// Fill is the bath made with the tap as it then is.
	Fill session.FillPlan
	// WaitMin is how long to wait for the bath to come as planned; +Inf if no
	// wait does. MoreKettleL is how much kettle water does instead; 0 where
	// neither is needed, NaN where it cannot. Of a fill that is planned with the tank
	// (InPlan) both are in the timetable.
	WaitMin     float64
	MoreKettleL float64
	InPlan      bool
	// Within: the cooler tap leaves the bath within its own limits.
	Within bool
	// TooCool is why the bath cannot wash with the tap as it then is; "" if it can.
	TooCool string
}

// HotWater follows the tank through the baths of a timetable, from what the day has
// left in it.
func HotWater(d session.Day, t Timetable) []Draw {
	run := session.TankRun{Tank: d.Plan.Kit.HotWater(), StoredL: d.HotLeftL(t.From), At: t.From}
	look := d.LookAhead()
	var out []Draw
	for _, b := range t.Baths {
		if b.Step.Water == shed.FromCold {
			continue
		}
		run.Draw(b.FillAt, 0)
		before := run.StoredL
		w := Draw{Tub: b.Tub, Batch: b.Batch, Step: b.Step, StepIndex: b.StepIndex, At: b.FillAt}
		w.Fill = at(look, b, session.FillTapC(run.Tank, before, func(hotC float64) session.FillPlan { return at(look, b, hotC).Fill })).Fill
		w.HotL = session.FillTapL(w.Fill)
		w.TapC = run.Draw(b.FillAt, w.HotL)
		w.LeftL, w.SagC = run.StoredL, run.Tank.SetC-w.TapC
		w.InPlan, w.WaitMin = b.Tanked, b.TankMin
		if w.SagC > session.SagMattersC {
			if a := at(look, b, w.TapC); look.Idle(a) && !look.Idle(at(look, b, run.Tank.SetC)) {
				w.TooCool, w.InPlan = IdleReason(look, a), false
			}
			w.instead(run.Tank, before, b, d.Plan.Kit)
		}
		out = append(out, w)
	}
	return out
}

// instead works out what would make up for a cooler tap: how long to wait, or how much
// more to boil.
func (w *Draw) instead(tank cooling.Tank, stored float64, b PlannedBath, k shed.Kit) {
	if w.InPlan {
		w.MoreKettleL = max(0, w.Fill.Pour.KettleL-b.Fill.Pour.KettleL)
		return
	}
	if min, ok := tank.WaitMin(stored, session.FillTapL(b.Fill), tank.SetC-session.SagMattersC); ok {
		w.WaitMin = min
	} else {
		w.WaitMin = math.Inf(1)
	}
	kettleC := k.KettleC()
	switch short := w.Fill.ShortC > b.Fill.ShortC+0.5; {
	case b.Step.Water == shed.Mixed || b.Step.MaxGapC > 0: // the fill has taken it from the kettle already
		w.MoreKettleL = max(0, w.Fill.Pour.KettleL-b.Fill.Pour.KettleL)
		w.Within = w.MoreKettleL == 0 && !short && !session.TooFar(&b.Step, w.Fill.GapC)
		if short || session.TooFar(&b.Step, w.Fill.GapC) {
			w.MoreKettleL = math.NaN()
		}
	case kettleC > tank.SetC:
		mix := cooling.PourFor(b.Fill.VolumeL, tank.SetC, w.TapC, k.ColdTapC, kettleC)
		w.MoreKettleL = mix.KettleL
	default:
		w.MoreKettleL = math.NaN()
	}
}

// Say is what to do about a draw whose tap has sagged; "" if nothing is needed.
func (w Draw) Say(k shed.Kit) string {
	if w.SagC <= session.SagMattersC || (w.Within || w.InPlan) && w.TooCool == "" {
		return ""
	}
	u := k.Units
	text := fmt.Sprintf("%s for %s: the tap is down to about %s", w.Step.Name, w.Batch, u.Temp(w.TapC))
	if w.TooCool != "" {
		text = fmt.Sprintf("%s's %s is too cool to wash, %s (the tap is down to about %s)", w.Batch, w.Step.Name, w.TooCool, u.Temp(w.TapC))
	}
	var ways []string
	if !math.IsInf(w.WaitMin, 1) && w.WaitMin > 0 {
		ways = append(ways, fmt.Sprintf("wait %s", measure.Minutes(math.Ceil(w.WaitMin))))
	}
	if w.MoreKettleL > 0 {
		ways = append(ways, fmt.Sprintf("pour %s more from the kettle", k.KettleText(w.MoreKettleL)))
	}
	switch len(ways) {
	case 0:
		if math.IsNaN(w.MoreKettleL) {
			return text + ": waiting or the kettle won't make up for it, use less hot water before it"
		}
		return text + ": the kettle part makes up for it"
	case 1:
		return text + ": " + ways[0]
	}
	return text + ": " + ways[0] + ", or " + ways[1]
}

// at is a planned bath made with the hot tap at some other temperature.
func at(l *session.LookAhead, b PlannedBath, hotC float64) session.BathAhead {
	with := *l
	with.From.HotC = hotC
	batch, _ := l.Day.Batch(b.Batch)
	steps := l.Day.Plan.StepsOf(batch)
	if t := l.Day.Tubs[b.Tub]; t.Batch == b.Batch {
		steps = t.Steps
	}
	came := l.Day.Plan.FromBin(batch)
	before := l.Baths(b.Tub, batch, steps[:min(b.StepIndex, len(steps))], 0, came) // a timetable may be older than the day
	if n := len(before); n > 0 {                                                   // it is as the plan has it
		came = before[n-1].Leaves()
	}
	a := with.Bath(b.Tub, batch, b.Step, came)
	if boiledL, loads, short := a.Fill.Pour.KettleL, a.Fill.KettleLoads, a.Fill.ShortC; boiledL > 0 && b.StoodMin > with.From.StoodMin {
		with.From.BoiledL, with.From.StoodMin = boiledL, b.StoodMin // who puts it on does not know for how long it will stand
		a = with.Bath(b.Tub, batch, b.Step, came)
		a.Fill.KettleLoads, a.Fill.ShortC = loads, short
	}
	return a
}
