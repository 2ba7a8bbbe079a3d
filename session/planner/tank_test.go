package planner_test

import (
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// tankDay is a day of two hot washes a batch on a tank with a heater of 1 kW.
func tankDay(t *testing.T, tankL float64) shed.Plan {
	p := sessiontest.TankPlan(t, 1000)
	p.Kit.Tank.VolumeL = tankL
	p.Fleeces[0].Wax = shed.High
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	return p
}

// A tank that sags moves the timetable: waits for it, or boils instead, are in its steps,
// fills and sums, and nothing is left to be asked for in notes.
func TestTankMovesTheTimetable(t *testing.T) {
	t.Parallel()
	lengths, boiledL := map[float64]float64{}, map[float64]float64{}
	for _, tankL := range []float64{0, 40, 80, 200} {
		o := must.Get(planner.PlanAhead(tankDay(t, tankL), sessiontest.Dawn, planner.AsGiven, planner.Thorough)).In(t)
		lengths[tankL], boiledL[tankL] = o.Sums.LengthMin, o.Sums.KettleL
		for _, c := range o.Cautions {
			if strings.Contains(c, "the tap is down") {
				t.Errorf("tank of %g L: %s", tankL, c)
			}
		}
		waited := 0.0
		for _, p := range o.Timetable.Pieces {
			if waited += p.TankMin; p.TankMin >= 1 != strings.Contains(p.Words(&o.Plan.Kit), "once the tank is hot (") {
				t.Errorf("%s: %.1f min for the tank", p.Words(&o.Plan.Kit), p.TankMin)
			}
		}
		for _, w := range o.Draws { // what the tank then gives makes the bath
			b, _ := o.Timetable.BathOf(planner.Piece{Batch: w.Batch, Step: w.StepIndex})
			if tooCool := b.Fill.AfterC-w.Fill.AfterC > 1.5 && w.Step.Kind == shed.Wash; tooCool || w.TooCool != "" || math.IsInf(w.WaitMin, 1) {
				t.Errorf("tank of %g L, %s of %s: %.1f °C, planned %.1f, %q", tankL, w.Step.Name, w.Batch, w.Fill.AfterC, b.Fill.AfterC, w.TooCool)
			}
		}
		if tankL == 40 && waited < 10 {
			t.Errorf("tank of %g L: only %.1f min waited", tankL, waited)
		}
		t.Logf("tank of %g L: %.0f min, %.1f L boiled, %.0f min waited", tankL, lengths[tankL], boiledL[tankL], waited)
	}
	if lengths[40] < lengths[0]+15 || lengths[200] > lengths[0]+1 && lengths[200] > lengths[40] || lengths[80] <= lengths[0] {
		t.Errorf("done after %v min, by tank", lengths)
	}
}

// Without a heater no wait helps: that stays in the notes.
func TestTankWithoutHeaterIsNoted(t *testing.T) {
	p := tankDay(t, 60)
	p.Kit.Tank.HeaterW = 0
	o := must.Get(planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(t)
	if !strings.Contains(strings.Join(o.Cautions, "\n"), "the tap is down to about") {
		t.Errorf("%q", o.Cautions)
	}
}
