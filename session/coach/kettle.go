package coach

import (
	"fmt"
	"math"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// waitForKettle puts a fill off until its kettle water has boiled, and says how that
// stands.
func waitForKettle(d session.Day, p *Prompt, f session.FillPlan, now time.Time) {
	t, kit := d.Tubs[p.Tub], d.Plan.Kit
	k, on := d.KettleDue(now)
	if on && k.IsFor(&t) && f.Pour.KettleL < session.LeastKettleL {
		p.add("no kettle water after all: the tap is warm enough")
	}
	if !d.TellsKettle() || f.Pour.KettleL < session.LeastKettleL || kit.Kettle.PowerW <= 0 {
		return
	}
	if b, _ := d.Batch(t.Batch); !on {
		if _, morning := d.WashWaits(b, now); morning {
			p.add(kit.BoilText(f.Pour.KettleL) + " from the kettle then")
			return
		}
	}
	_, waits := d.FillWaits(p.Tub, now)
	switch {
	case on && k.IsFor(&t) && !waits:
		said := sayKettle(d, k, now)
		if had, pour := kit.KettleText(k.VolumeL), kit.KettleText(f.Pour.KettleL); !k.BoiledAt.IsZero() && pour != had && !k.Stale(now) {
			said = fmt.Sprintf("the kettle has boiled: pour %s of its %s", pour, had)
		}
		if stands, _ := k.StandsMin(now); k.Stale(now) || stands > session.KettleFreshMin { // what is poured lukewarm misses the bath by degrees
			brief := "boil the kettle again first"
			if k.PailMin(now) > session.MostStoodMin {
				brief = "boil all of it again first"
			}
			p.first(Line{Text: said, Must: true, Brief: brief})
		} else {
			p.add(said)
		}
		if d.Cooled(p.Tub, now) {
			p.Kettle, p.Title, p.Doubt = KettleCooled, "boil again, then fill", d.TubName(p.Tub)+"'s boiled water has cooled"
			return
		}
		if !k.BoiledAt.IsZero() || !k.ReadyBy(now).After(now) {
			return
		}
		p.Kettle, p.DueAt = KettleBoils, k.ReadyBy(now)
		p.Title = "fill when the kettle boils at " + d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(k.ReadyBy(now)))
		if k.Refills(now) {
			p.Title = nextBoil(k, kit.KettleText(k.NextL()), now) + ", then fill"
		}
		p.Doubt = d.TubName(p.Tub) + "'s kettle has not boiled"
	case on && !waits:
		p.Kettle, p.DueAt = KettleFirst, k.ReadyBy(now)
		if !k.BoiledAt.IsZero() {
			p.DueAt = now
			p.add(d.SayPour(k))
		} else {
			p.add("the kettle is on for " + d.TubName(k.Tub))
		}
		if mayTurn(&d, k, p.Tub, now) {
			p.Details = append(p.Details, Line{Ways: []Way{{Deed: TurnKettle}}})
		}
	default:
		p.Kettle, p.DueAt = KettleFirst, now
		if waits {
			p.add(kit.BoilText(f.Pour.KettleL) + " from the kettle then")
		} else if by := d.WetBy(p.Tub, now); !by.IsZero() && !by.After(now) {
			p.first(Line{Ways: hangsWays(&d, p.Tub, f, now)})
		} else if due, listed := d.BoilDue(p.Tub, t.Batch, t.At, now); due || !listed {
			p.add(sayBoil(kit, f))
		} else {
			p.add(kit.BoilText(f.Pour.KettleL) + " from the kettle, when its turn comes")
		}
	}
	p.Rank = Coming
	if p.Kettle == KettleFirst { // until it is on nobody knows when
		if p.DueAt.Before(now) {
			p.DueAt = now
		}
		p.DueAt = p.DueAt.Add(measure.Lasting(session.FillBoilMin(kit, f)))
		p.Title = "kettle first, then fill"
		p.Doubt = d.TubName(p.Tub) + "'s kettle has not boiled"
	} else if !p.Held {
		p.Count = Count{ToDue, p.DueAt}
	}
}

// hangsWays are what would do for wet fleece that has hung its time, and whose bath wants a kettle that
// is free.
func hangsWays(d *session.Day, tub int, f session.FillPlan, now time.Time) []Way {
	ways := []Way{{Text: "hung too long, " + sayBoil(d.Plan.Kit, f)}}
	if tap := d.FillFromTap(tub, now); !session.TooCoolToBegin(&d.Tubs[tub].Bath.Step, tap.WaterC) {
		ways = append(ways, Way{Text: "fill from the tap alone, " + d.Plan.Kit.Units.TempBy(f.AfterC-tap.AfterC) + " cooler"})
	}
	return ways
}

// sayBoil says how to boil what a fill takes.
func sayBoil(k shed.Kit, f session.FillPlan) string {
	return fmt.Sprintf("put the kettle on: %s, %s", k.BoilText(f.Pour.KettleL), session.SayHowToBoil(k, f))
}

// kettleAhead says that the next bath of a tub wants kettle water, and how many
// minutes before the lift to put the kettle on: as long as it takes to boil
// what is needed, and two to see to it. A kettle that is on is not asked for.
func kettleAhead(d session.Day, tub int, now time.Time, h session.HeatModel) (text string, aheadMin float64) {
	w, ok := d.WantsKettle(tub, "", h, now)
	if !ok || d.Tubs[tub].Phase != shed.Soaking {
		return "", 0
	}
	if k, on := d.KettleDue(now); on {
		if k.Batch != w.Batch || k.Step != w.Step {
			return "", 0
		}
		return sayKettle(d, k, now), math.Inf(1)
	}
	text, aheadMin = sayBoil(d.Plan.Kit, w.Fill)+", for the "+w.Name, w.BoilMin+2
	if due, listed := d.BoilDue(tub, w.Batch, w.Step, now); due {
		aheadMin = math.Inf(1)
	} else if listed {
		text = ""
	}
	return text, aheadMin
}

// sayKettle is how the kettle stands.
func sayKettle(d session.Day, k *session.KettleRun, now time.Time) string {
	pour := d.Plan.Kit.KettleText(k.VolumeL)
	if k.Loads() > 1 && k.BoiledAt.IsZero() && now.Before(k.ReadyBy(now)) {
		said := fmt.Sprintf("kettle %d of %d for the %s", k.Load+1, k.Loads(), k.StepName)
		switch {
		case k.Refills(now) && k.Cools(now):
			return fmt.Sprintf("%s has stood for %s: boil it again", said, measure.Minutes(math.Floor(k.StoodMin(now))))
		case k.Refills(now) && !d.Kettle.BoiledAt.IsZero():
			return said + " has boiled: keep it hot in a lidded pail and put the next on"
		case k.Refills(now):
			return said + " should be boiling: keep it hot in a lidded pail and put the next on"
		case k.Follows():
			return fmt.Sprintf("%s: boils in %s, then keep it hot in a lidded pail and put the next on", said, minutesTo(measure.MinutesBetween(now, k.RefillAt())))
		}
		return fmt.Sprintf("%s: boils in %s", said, minutesTo(measure.MinutesBetween(now, k.ReadyBy(now))))
	}
	stands, boiled := k.StandsMin(now)
	switch {
	case boiled && k.PailMin(now) > session.MostStoodMin:
		return fmt.Sprintf("boil all of it again, the pail has stood for %s: %s for the %s", measure.Minutes(math.Floor(k.PailMin(now))), pour, k.StepName)
	case stands > session.KettleFreshMin && boiled:
		return fmt.Sprintf("boil the kettle again, it has stood for %s: %s for the %s", measure.Minutes(math.Floor(stands)), pour, k.StepName)
	case stands > session.KettleFreshMin: // nobody has told of it: slow, or off long since
		return fmt.Sprintf("check that the kettle boils before you pour, it was due at %s: %s for the %s", d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(k.ReadyBy(now))), pour, k.StepName)
	case boiled:
		return fmt.Sprintf("the kettle has boiled: %s for the %s", pour, k.StepName)
	case stands >= 0:
		return fmt.Sprintf("the kettle should be boiling: %s for the %s", pour, k.StepName)
	default:
		return fmt.Sprintf("the kettle is on: %s for the %s, boils in %s", pour, k.StepName, minutesTo(-stands))
	}
}

// mayTurn says that a kettle which is on for one tub had better be another's: its fleece hangs hot, and the
// other's does not, or may longer.
func mayTurn(d *session.Day, k *session.KettleRun, tub int, now time.Time) bool {
	by, other := d.WetBy(tub, now), d.WetBy(k.Tub, now)
	return tub != k.Tub && !by.IsZero() && (other.IsZero() || by.Before(other))
}

// nextBoil is what to do with a boil that is through and is not the last; next is how much follows.
func nextBoil(k *session.KettleRun, next string, now time.Time) string {
	if k.Cools(now) {
		return "boil the kettle again"
	}
	return "boil " + next + " more"
}

// minutesTo is how long until something is through.
func minutesTo(left float64) string {
	if left < 1 {
		return "under 1 min"
	}
	return measure.Minutes(math.Floor(left))
}

// KettleKey is what one key tells of the kettle now; ok is false where there is nothing
// to tell. Of a kettle that is on it tells that it has boiled, of one that stood too long
// that it goes on again, and of the tub in hand that it is turned to that, where its fleece cannot wait. Else it tells that it goes on, for the first bath that wants it: that of the tub in hand (inHand; -1 for
// none), then in the order of the list, then any.
func KettleKey(d session.Day, now time.Time, acts []NextAct, inHand int) (c session.TellKettle, ok bool) {
	if !d.Running() {
		return c, false
	}
	if k, on := d.KettleDue(now); on {
		if inHand >= 0 && inHand < len(d.Tubs) && mayTurn(&d, k, inHand, now) {
			if _, wants := d.WantsKettle(inHand, "", session.HeatModel{}, now); wants {
				return session.TellKettle{Tub: inHand, Turn: true}, true
			}
		}
		return session.TellKettle{Tub: k.Tub}, k.BoiledAt.IsZero() || k.Stale(now)
	}
	if !d.TellsKettle() {
		return c, false
	}
	tries := []session.TellKettle{{Tub: inHand}}
	for _, a := range acts {
		if a.Boil {
			tries = append(tries, session.TellKettle{Tub: a.Tub, Batch: a.Batch})
		}
	}
	for i := range d.Tubs {
		tries = append(tries, session.TellKettle{Tub: i})
	}
	for _, c := range tries {
		if c.Tub < 0 || c.Tub >= len(d.Tubs) {
			continue
		}
		if _, ok := d.WantsKettle(c.Tub, c.Batch, session.HeatModel{}, now); ok {
			return c, true
		}
	}
	return c, false
}
