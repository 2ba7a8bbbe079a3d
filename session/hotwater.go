package session

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
)

// Draw is hot water drawn for one bath, as the account has it.
type Draw struct {
	Tub   int
	Batch string
	Step  Step
	At    time.Time
	HotL  float64 // from the tap, what the kettle boils included
	TapC  float64 // mean of what comes
	SagC  float64 // how much cooler than the tank is set
	LeftL float64 // hot water's worth in the tank after it
	// Fill is the bath made with the tap as it then is.
	Fill FillPlan
	// WaitMin is how long to wait for the bath to come as planned; +Inf if no
	// wait does. MoreKettleL is how much kettle water does instead; 0 where
	// neither is needed, NaN where it cannot.
	WaitMin     float64
	MoreKettleL float64
	// Within: the cooler tap leaves the bath within its own limits.
	Within bool
	// TooCool is why the bath cannot wash with the tap as it then is; "" if it can.
	TooCool string
}

// sagMatters: a tap this much cooler changes a bath by less than a thermometer
// shows.
const sagMatters = 1.0

// HotWater follows the tank through the baths of a timetable, full at its
// beginning.
func (d Day) HotWater(t Timetable) []Draw {
	tank := d.Plan.Kit.HotWater()
	look := d.lookAhead()
	stored, at := tank.VolumeL, t.From
	var out []Draw
	for _, b := range t.Baths {
		if b.Step.Water == FromCold {
			continue
		}
		stored = tank.Recover(stored, minutesBetween(at, b.FillAt))
		at = b.FillAt
		w := Draw{Tub: b.Tub, Batch: b.Batch, Step: b.Step, At: b.FillAt, Fill: b.Fill, HotL: fromTap(b.Fill), TapC: tank.SetC}
		before := stored
		if tank.Known() {
			// A cooler tap takes other shares, which cool it otherwise: twice round
			// settles to less than a mark.
			for range 2 {
				w.TapC, _ = tank.Draw(before, w.HotL)
				w.Fill = look.at(b, w.TapC).fill
				w.HotL = fromTap(w.Fill)
			}
			w.TapC, stored = tank.Draw(before, w.HotL)
		}
		w.LeftL, w.SagC = stored, tank.SetC-w.TapC
		if w.SagC > sagMatters {
			w.instead(tank, before, b, d.Plan.Kit)
			if a := look.at(b, w.TapC); look.idle(a) && !look.idle(look.at(b, tank.SetC)) {
				w.TooCool = look.why(a)
			}
		}
		out = append(out, w)
	}
	return out
}

// fromTap is what a fill takes from the hot tap, L: the kettle is filled there too.
func fromTap(f FillPlan) float64 { return f.Pour.HotL + f.Pour.KettleL }

// instead works out what would make the bath as planned.
func (w *Draw) instead(tank cooling.Tank, stored float64, b PlannedBath, k Kit) {
	if min, ok := tank.WaitMin(stored, fromTap(b.Fill), tank.SetC-sagMatters); ok {
		w.WaitMin = min
	} else {
		w.WaitMin = math.Inf(1)
	}
	kettleC := k.KettleC()
	switch short := w.Fill.ShortC > b.Fill.ShortC+0.5; {
	case b.Step.Water == Mixed || b.Step.MaxGapC > 0: // the fill has taken it from the kettle already
		w.MoreKettleL = max(0, w.Fill.Pour.KettleL-b.Fill.Pour.KettleL)
		w.Within = w.MoreKettleL == 0 && !short && !b.Step.tooFar(w.Fill.GapC)
		if short || b.Step.tooFar(w.Fill.GapC) {
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
func (w Draw) Say(k Kit) string {
	if w.SagC <= sagMatters || w.Within && w.TooCool == "" {
		return ""
	}
	u := k.Units
	text := fmt.Sprintf("%s for %s: the tap is down to about %s", w.Step.Name, w.Batch, u.Temp(w.TapC))
	if w.TooCool != "" {
		text = fmt.Sprintf("%s's %s is too cool to wash, %s (the tap is down to about %s)", w.Batch, w.Step.Name, w.TooCool, u.Temp(w.TapC))
	}
	var ways []string
	if !math.IsInf(w.WaitMin, 1) && w.WaitMin > 0 {
		ways = append(ways, fmt.Sprintf("wait %s", showMin(math.Ceil(w.WaitMin))))
	}
	if w.MoreKettleL > 0 {
		ways = append(ways, fmt.Sprintf("pour %s more from the kettle", u.Volume(w.MoreKettleL)))
	}
	switch len(ways) {
	case 0:
		if math.IsNaN(w.MoreKettleL) {
			return text + ": no wait and no kettle makes up for it, use less hot water before it"
		}
		return text + ": the kettle part makes up for it"
	case 1:
		return text + ": " + ways[0]
	}
	return text + ": " + ways[0] + ", or " + ways[1]
}

// at is a planned bath made with the hot tap at some other temperature.
func (l *lookAhead) at(b PlannedBath, hotC float64) bathAhead {
	with := *l
	with.from.hotC = hotC
	batch, _ := l.day.Batch(b.Batch)
	steps := l.day.Plan.stepsOf(batch)
	if t := l.day.Tubs[b.Tub]; t.Batch == b.Batch {
		steps = t.Steps
	}
	i := slices.IndexFunc(steps, func(s Step) bool { return s == b.Step })
	came := l.day.Plan.fromBin(batch)
	if i > 0 { // the bath before it is as the plan has it
		before := l.baths(b.Tub, batch, steps[:i], 0, came)
		if n := len(before); n > 0 {
			came = lifted{true, before[n-1].liftC, before[n-1].sinkC}
		}
	}
	return with.bath(b.Tub, batch, b.Step, came)
}
