package lookback

import (
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// fill is a bath as it was poured, beside what its day had asked for.
type fill struct {
	_         [0]func() // nobody compares two: no code for it
	e         session.BathFilled
	at        time.Time
	step      shed.Step
	asked     session.FillPlan
	tapC      float64 // the hot tap, as the kit and its tank had it
	boiledL   float64 // of what was to boil, when it was poured
	tankMin   float64 // for so long the tank had still to heat; 0: not
	boiling   float64 // what boils comes into the tub at, °C
	heatJPerK float64 // tub and water
}

// poured is a fill as it was told, with the day as it was then.
type poured struct {
	before session.Day
	e      session.BathFilled
	at     time.Time
	tank   time.Time // from when on the tank would have had enough for it; zero: then
}

// poured are the fills of the day.
func (l *looked) poured() []fill {
	if l.fills == nil {
		for _, x := range l.walked().poured {
			l.fills = append(l.fills, x.fill())
		}
	}
	return l.fills
}

func (x poured) fill() fill {
	kit, t := x.before.Plan.Kit, x.before.Tubs[x.e.Tub]
	f := fill{e: x.e, at: x.at, step: *t.Step(), asked: x.before.FillAt(x.e.Tub, x.at), boiledL: x.e.KettleL, boiling: kit.BoiledC()}
	f.tapC = x.before.FromTank(x.e.Tub, x.before.HotLeftL(x.at)).HotC
	f.heatJPerK = cooling.WaterPortion(x.e.VolumeL, f.asked.WaterC).HeatJPerK + cooling.VesselHeatJPerK(kit.Tubs[x.e.Tub].Vessel(), x.e.VolumeL)
	if k, on := x.before.KettleOn(); on && k.IsFor(&t) && k.BoiledAt.IsZero() && k.ReadyAt().After(x.at.Add(time.Minute)) {
		f.boiledL = min(f.boiledL, k.PailL)
	}
	if kit.HotTapC-f.tapC > session.SagMattersC && x.tank.After(x.at) {
		f.tankMin = measure.MinutesBetween(x.at, x.tank)
	}
	return f
}

// Our own choices.
const (
	missingL    = 0.2 // so much less boiling water than asked for counts, L
	tapOffC     = 2.0 // a hot tap that is so far off the kit's figure counts, °C
	tapSpreadC  = 3.0 // readings that speak for one tap lie so near each other, °C
	mostlyTap   = 0.5 // a bath of which so much came from the hot tap says how hot that was
	largestTank = 400 // L
)

// tooCool is why a wash was begun too cool, as far as its fill says so.
func (f *fill) tooCool() (why Change, ok bool) {
	switch {
	case f.e.HotL <= 0: // an older record
		return 0, false
	case f.asked.Pour.KettleL-f.boiledL > missingL:
		return BoilAsked, true
	case !session.TooCoolToBegin(&f.step, f.asked.WaterC):
		return TapAsRead, true // or its tank
	case f.tankMin > 0:
		return AwaitTank, true
	}
	return MoreBoiling, f.asked.ShortC > 0
}

// begunCool: washes that were begun too cool because of what was poured into them.
func begunCool(days []*looked, s shed.Step) (out []Advice) {
	for _, why := range []Change{BoilAsked, MoreBoiling, AwaitTank} {
		a := Advice{Change: why, Step: s.Name, StartC: s.LowestSinkC, BeganC: math.Inf(1)}
		sure := Sure
		ok := a.over(days, func(d *looked) {
			for _, f := range d.poured() {
				if !sameStep(f.step.Name, s.Name) {
					continue
				}
				a.Of++
				began, ok := d.began(f)
				if is, known := f.tooCool(); !ok || !known || is != why {
					continue
				}
				a.Times++
				if coolest := began.TempC < a.BeganC; coolest {
					a.BeganC, a.From, a.BathL = began.TempC, f.tapC, 0
					if v := f.asked.Pour.Need.VolumeL; v >= f.asked.LeastL {
						a.BathL = v
					}
				}
				if why == AwaitTank {
					a.far(f.tankMin)
				} else if needL := f.asked.Pour.KettleL; why == BoilAsked {
					a.To = max(a.To, needL)
					a.far(needL - f.boiledL)
				} else {
					a.To = max(a.To, or(f.asked.Pour.Need.KettleL, f.e.VolumeL*f.asked.ShortC/(f.boiling-f.tapC))) // without a kettle there is no need of it
				}
				if !began.Read {
					sure = FairlySure
				}
			}
		})
		if why == MoreBoiling { // by what there was to pour: one wash is enough
			a.Sure = sure
		} else {
			ok = ok && a.Times >= fewestWashes && 2*a.Times >= a.Of
		}
		if ok {
			out = append(out, a)
		}
	}
	return out
}

// began is how warm the bath of a fill was before the fleece; ok is false where that was
// warm enough, or it never went in.
func (l *looked) began(f fill) (began Known, ok bool) {
	for _, x := range l.findings() {
		if x.Kind == BegunCool && x.Bath.Tub == f.e.Tub && x.Bath.FilledAt.Equal(f.at) {
			_, read := l.read(f)
			return Known{TempC: x.FromC, Read: read}, true
		}
	}
	return Known{}, false
}

// read is by how much the water of a fill was hotter than reckoned, by a thermometer that was in
// it before the fleece or as that went in, °C.
func (l *looked) read(f fill) (offC float64, ok bool) {
	if l.baths == nil {
		l.baths = EveryBath(l.Day)
	}
	for _, b := range l.baths {
		switch {
		case b.Tub != f.e.Tub || !b.FilledAt.Equal(f.at):
		case b.FillRead:
			return b.FillC - f.asked.WaterC, f.e.KettleL > f.asked.Pour.KettleL-missingL
		case len(b.Readings) > 0 && !b.Readings[0].Doubtful && (b.SunkAt.IsZero() || !b.Readings[0].At.After(b.SunkAt.Add(time.Minute))):
			return b.Readings[0].TempC - b.Readings[0].ForecastC, true
		}
	}
	return 0, false
}

// tapCooler is by how much the hot tap was cooler than reckoned for a fill, by a reading of its
// water, °C.
func (l *looked) tapCooler(f fill) (coolerC float64, ok bool) {
	hotL := f.e.HotL - f.e.KettleL
	offC, ok := l.read(f)
	if !ok || hotL < mostlyTap*f.e.VolumeL || f.boiledL < f.e.KettleL {
		return 0, false
	}
	return -offC * f.heatJPerK / cooling.WaterPortion(hotL, f.tapC).HeatJPerK, true
}

// coolTap: a wash that was begun too cool though enough was boiled, and readings that speak for a
// hot tap cooler than the kit has it; where it was as hot at first, for a smaller tank.
func coolTap(days []*looked) []Advice {
	kit := days[0].Plan.Kit
	var cooler []float64
	tanks := map[float64]float64{} // the squares of what a tank of so many litres leaves unexplained
	stepL := 5.0
	if kit.Units.USVolume() {
		stepL = 4 * measure.LPerUSQuart
	} else if kit.Units.Inches() {
		stepL = 8 * measure.LPerImpPint
	}
	a := Advice{Change: TapAsRead, From: kit.HotTapC}
	ok := a.over(days, func(d *looked) {
		if k := d.Plan.Kit; k.HotTapC != kit.HotTapC || k.Tank != kit.Tank {
			return
		}
		ground := d != days[0]
		read := map[int]float64{}
		for i, f := range d.poured() {
			c, ok := d.tapCooler(f)
			if !ok {
				continue
			}
			_, cool := d.began(f)
			why, _ := f.tooCool()
			ground = ground || cool && why == TapAsRead
			a.Of++
			if cooler = append(cooler, c); c > tapOffC {
				a.Times++
				a.far(c)
			}
			read[i] = f.tapC - c
		}
		for litres := stepL; litres <= largestTank; litres += stepL {
			tanks[litres] += d.unexplained(litres, read)
		}
		if !ground {
			a.Times = 0
		}
	})
	if !ok || a.Times < fewestWashes || 2*a.Times < a.Of {
		return nil
	}
	usual, bestL := middle(cooler), stepL
	for litres, left := range tanks {
		if left < tanks[bestL] || left == tanks[bestL] && litres < bestL {
			bestL = litres
		}
	}
	switch {
	case slices.Max(cooler)-usual <= tapSpreadC && usual-slices.Min(cooler) <= tapSpreadC:
		if a.To = math.Round(kit.HotTapC - usual); kit.Units.Fahrenheit() {
			a.To = measure.FToC(math.Round(measure.CToF(kit.HotTapC - usual)))
		}
		if kit.AskHotTapC(a.To) != nil || a.To <= kit.ColdTapC {
			return nil
		}
	case slices.Min(cooler) < tapOffC && math.Sqrt(tanks[bestL]/float64(len(cooler))) < tapSpreadC:
		a.Change, a.From, a.To = TankSize, kit.Tank.VolumeL, bestL
	default:
		return nil
	}
	return []Advice{a}
}

// unexplained is how far from what was read of some fills the hot water would have been from a
// full tank of so many litres, °C, the squares of all.
func (l *looked) unexplained(litres float64, readC map[int]float64) (squares float64) {
	tank := l.Plan.Kit.HotWater()
	tank.VolumeL = litres
	run := session.TankRun{Tank: tank, StoredL: litres, At: l.StartedAt}
	for i, f := range l.poured() {
		tapC := run.Draw(f.at, f.e.HotL)
		if c, ok := readC[i]; ok {
			squares += (c - tapC) * (c - tapC)
		}
	}
	return squares
}
