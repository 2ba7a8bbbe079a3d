package coach

import (
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// waitTill has an act wait for the end of a break.
func (p *Prompt) waitTill(at time.Time, why Line) {
	p.Rank, p.DueAt, p.Count, p.After = Coming, at, Count{ToDue, at}, true
	p.first(why)
}

// sayWaits says that the fill of the first of some steps waits for a break, and why: which bath would have to be
// lifted in it, were the fleece in after so many minutes.
func sayWaits(d *session.Day, s shed.Span, steps []shed.Step, now time.Time, inMin float64) Line {
	l := Line{Text: "waits till after your " + d.Plan.SayAway(s) + ", " + d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(s.To)), Must: true}
	hands, fromMin, toMin := d.Plan.HandsMin(), measure.MinutesBetween(now, s.From), measure.MinutesBetween(now, s.To)
	l.Brief = l.Text
	if fromMin <= 0 { // it has begun
		return l
	}
	for i := range steps {
		step := &steps[i]
		liftMin := inMin + step.SoakMin
		switch {
		case liftMin+hands[shed.Lift] <= fromMin:
			inMin = liftMin + hands[shed.Lift] + hands[shed.DrainTub] + hands[shed.FillTub] + hands[shed.SinkIn]
			continue
		case inMin > toMin || !step.Kind.IsBath() || step.LongestMin > 0 && inMin+step.LongestMin >= toMin:
		default:
			what := "it"
			if i > 0 {
				what = "its " + step.Name
			}
			if l.Text += ": " + what + " wouldn't be out before it"; liftMin >= fromMin {
				l.Text = l.Brief + ": " + what + " would have to be lifted at " + d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(now.Add(measure.Lasting(liftMin))))
			}
		}
		break
	}
	return l
}
