package coach

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// sayTank says that a bath to be filled comes cooler because the tank is down, and
// what would do; where the step's own limits are passed that is said elsewhere.
func sayTank(d session.Day, p *Prompt, f session.FillPlan, now time.Time) {
	k, left := d.Plan.Kit, d.HotLeftL(now)
	tapC := d.FromTank(p.Tub, left).HotC
	if k.HotTapC-tapC <= session.SagMattersC || session.FillTapL(f) == 0 {
		return
	}
	at, full, s := p.must(), d.Fill(p.Tub), d.Tubs[p.Tub].Step()
	tank := Line{Text: fmt.Sprintf("the tank is down to %s, so the tap runs at about %s", k.Units.Volume(left), k.Units.Temp(tapC))}
	if as := func(f session.FillPlan) bool { return f.AfterC >= full.AfterC-session.SagMattersC }; !as(f) && !session.TooFar(s, d.GapC(p.Tub, f.AfterC, now)) {
		var ways []string
		if n, ok := d.TankMin(left, func(storedL float64) bool { return as(d.FillWith(p.Tub, d.FromTank(p.Tub, storedL))) }); ok && float64(n) <= d.MayHangMin(p.Tub, now) {
			ways = append(ways, "wait "+measure.Minutes(float64(n)))
		}
		if l := wholeMarks(k, cooling.PourFor(f.VolumeL, full.WaterC, tapC, k.ColdTapC, k.KettleC()).KettleL); s.Water == shed.FromHot && l > 0 && l <= k.Kettle.CapacityL {
			ways = append(ways, fmt.Sprintf("swap %s for kettle water", k.KettleText(l)))
		}
		if len(ways) > 0 {
			tank.Text += fmt.Sprintf("; for %s %s", k.Units.Temp(full.WaterC), strings.Join(ways, ", or "))
			tank.Must = true
		}
	}
	p.Details = append(p.Details[:at:at], append([]Line{tank}, p.Details[at:]...)...)
}

// FillCorrected says what followed from how much water a bath really holds.
func FillCorrected(d session.Day, tub int) string {
	k, t := d.Plan.Kit, d.Tubs[tub]
	text := d.TubName(tub) + ": " + k.Units.Volume(t.Bath.LevelL()) + " in the bath"
	if k.Tank.VolumeL > 0 && t.Bath.HotL > 0 {
		text += ", " + k.Units.Volume(t.Bath.HotL) + " of it from the tank"
	}
	if text += ", forecast updated"; t.Bath.Unread && t.Bath.Step.HasRelease() && t.Phase != shed.Draining {
		text += "; read how warm it is now"
	}
	if least := d.Fill(tub).LeastL; t.Bath.LevelL() < least && t.Phase != shed.Draining {
		text += "; its fleece opens out from " + k.Units.Volume(least) + " on"
	}
	return text
}

// wholeMarks is water from the kettle to its nearest mark, L.
func wholeMarks(k shed.Kit, l float64) float64 {
	if mark := k.KettleMarkL(); mark > 0 {
		return math.Round(l/mark) * mark
	}
	return l
}
