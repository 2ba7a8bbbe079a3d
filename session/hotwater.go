package session

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
)

// Draw is hot water drawn for one bath, as the account has it.
type Draw struct {
	Tub       int
	Batch     string
	Step      Step
	StepIndex int // as of the bath
	At        time.Time
	HotL      float64 // from the tap, what the kettle boils included
	TapC      float64 // mean of what comes
	SagC      float64 // how much cooler than the tank is set
	LeftL     float64 // hot water's worth in the tank after it
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

// sagMatters: a tap that is cooler by less than this, °C, changes a bath by less than a
// thermometer shows.
const sagMatters = 1.0

// tankRun follows the tank through what is drawn from it, in the plan and in the day.
type tankRun struct {
	tank    cooling.Tank
	storedL float64 // hot water's worth in it
	at      time.Time
}

// draw is the mean temperature at which so many litres come at a moment, °C.
func (r *tankRun) draw(at time.Time, litres float64) (meanC float64) {
	r.storedL, r.at = r.tank.Recover(r.storedL, minutesBetween(r.at, at)), at
	meanC, r.storedL = r.tank.Draw(r.storedL, litres)
	return meanC
}

// tapFor is the mean temperature of the hot tap during a fill, °C, from a tank that
// holds storedL. A cooler tap asks for more hot water, and more hot water cools the
// tap: two rounds settle it to within a mark of the jug.
func tapFor(tank cooling.Tank, storedL float64, fill func(hotC float64) FillPlan) float64 {
	tapC := tank.SetC
	if !tank.Known() {
		return tapC
	}
	for range 2 {
		tapC, _ = tank.Draw(storedL, fromTap(fill(tapC)))
	}
	if tank.SetC-tapC <= sagMatters {
		return tank.SetC
	}
	return tapC
}

// HotWater follows the tank through the baths of a timetable, from what the day has
// left in it.
func (d Day) HotWater(t Timetable) []Draw {
	run := tankRun{d.Plan.Kit.HotWater(), d.hotLeftL(t.From), t.From}
	look := d.lookAhead()
	var out []Draw
	for _, b := range t.Baths {
		if b.Step.Water == FromCold {
			continue
		}
		run.draw(b.FillAt, 0)
		before := run.storedL
		w := Draw{Tub: b.Tub, Batch: b.Batch, Step: b.Step, StepIndex: b.StepIndex, At: b.FillAt}
		w.Fill = look.at(b, tapFor(run.tank, before, func(hotC float64) FillPlan { return look.at(b, hotC).fill })).fill
		w.HotL = fromTap(w.Fill)
		w.TapC = run.draw(b.FillAt, w.HotL)
		w.LeftL, w.SagC = run.storedL, run.tank.SetC-w.TapC
		if w.SagC > sagMatters {
			w.instead(run.tank, before, b, d.Plan.Kit)
			if a := look.at(b, w.TapC); look.idle(a) && !look.idle(look.at(b, run.tank.SetC)) {
				w.TooCool = look.why(a)
			}
		}
		out = append(out, w)
	}
	return out
}

// fromTap is what a fill takes from the hot tap, L: the kettle is filled there too.
func fromTap(f FillPlan) float64 { return f.Pour.HotL + f.Pour.KettleL }

// instead works out what would make up for a cooler tap: how long to wait, or how much
// more to boil.
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
		ways = append(ways, fmt.Sprintf("pour %s more from the kettle", k.KettleText(w.MoreKettleL)))
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
	came := l.day.Plan.fromBin(batch)
	before := l.baths(b.Tub, batch, steps[:min(b.StepIndex, len(steps))], 0, came) // a timetable may be older than the day
	if n := len(before); n > 0 {                                                   // it is as the plan has it
		came = lifted{true, before[n-1].liftC, before[n-1].sinkC}
	}
	return with.bath(b.Tub, batch, b.Step, came)
}

// sayTank says that a bath to be filled comes cooler because the tank is down, and
// what would do; where the step's own limits are passed that is said elsewhere.
func (d Day) sayTank(p *Prompt, f FillPlan, now time.Time) {
	k, left := d.Plan.Kit, d.hotLeftL(now)
	tapC := d.fromTank(p.Tub, left).hotC
	if k.HotTapC-tapC <= sagMatters || fromTap(f) == 0 {
		return
	}
	at, full, s := p.must(), d.Fill(p.Tub), d.Tubs[p.Tub].Step()
	tank := Line{Text: fmt.Sprintf("the tank is down to %s, so the tap comes at about %s", k.Units.Volume(left), k.Units.Temp(tapC))}
	if as := func(f FillPlan) bool { return f.AfterC >= full.AfterC-sagMatters }; !as(f) && !s.tooFar(d.gapC(p.Tub, f.AfterC, now)) {
		var ways []string
		if n, ok := d.tankMin(left, func(storedL float64) bool { return as(d.fillWith(p.Tub, d.fromTank(p.Tub, storedL))) }); ok && float64(n) <= d.mayHangMin(p.Tub, now) {
			ways = append(ways, "wait "+showMin(float64(n)))
		}
		if l := k.wholeMarks(cooling.PourFor(f.VolumeL, full.WaterC, tapC, k.ColdTapC, k.KettleC()).KettleL); s.Water == FromHot && l > 0 && l <= k.Kettle.CapacityL {
			ways = append(ways, fmt.Sprintf("make %s of it kettle water", k.KettleText(l)))
		}
		if len(ways) > 0 {
			tank.Text += fmt.Sprintf("; for %s %s", k.Units.Temp(full.WaterC), strings.Join(ways, ", or "))
			tank.Must = true
		}
	}
	p.Details = slices.Insert(p.Details, at, tank)
}

// wholeMarks is water from the kettle to its nearest mark, L.
func (k Kit) wholeMarks(l float64) float64 {
	if mark := k.KettleMarkL(); mark > 0 {
		return math.Round(l/mark) * mark
	}
	return l
}
