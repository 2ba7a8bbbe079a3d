package coach

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

func sayDrain(d session.Day, p *Prompt, h session.HeatModel) {
	t := d.Tubs[p.Tub]
	b, _ := d.Batch(t.Batch)
	p.Title = "empty the tub"
	how := "let the fleece drain, press it gently"
	if b.Form == shed.Locks {
		how = "let the basket drip over a dish; don't press"
	}
	if c := d.Release(p.Tub, h); c.Below(t.Bath.LiftedAt.Add(-time.Minute)) {
		p.Details = append(p.Details, Line{Ways: []Way{{Deed: WashAgain}}, Text: fmt.Sprintf("%s was below %s for %s",
			t.Batch, d.Plan.Kit.Units.Temp(t.Bath.Step.ReleaseC), measure.Minutes(float64(int(measure.MinutesBetween(c.Likely, t.Bath.LiftedAt)))))})
	}
	p.Details = append(p.Details, drains(t.Step()))
	p.add(how)
	facts := t.Step().Kind.Facts()
	if facts.Again != "" {
		p.add(facts.Again)
	}
	if _, washed := t.WashBehind(); washed && facts.Waxy && len(p.Details) > 0 && !Speaks(p.Details, WashAgain) {
		p.Details = append(p.Details, Line{Text: "still waxy", Ways: []Way{{Deed: WashAgain}}})
	}
	p.Details = append(p.Details, Line{Of: OfNext, Text: "rinse the tub; next: " + nextName(t)})
	if t.Step().DrainTo == shed.Outdoors {
		p.Caution = drainCaution
	}
}

// Speaks says that one of some lines speaks of a deed.
func Speaks(lines []Line, deed Deed) bool {
	return slices.ContainsFunc(lines, func(l Line) bool { return slices.ContainsFunc(l.Ways, func(w Way) bool { return w.Deed == deed }) })
}

// nextName is the name of the step after the current one.
func nextName(t session.TubRun) string {
	if t.At+1 < len(t.Steps) {
		return t.Steps[t.At+1].Name
	}
	return "rack"
}

// drains is where the water of a step goes, as a line that has to stand.
func drains(s shed.Step) Line {
	brief := "water outdoors"
	if s.DrainTo == shed.Sink {
		brief = ""
	}
	return Line{Text: WaterGoes(s), Brief: brief, Must: true}
}

// WaterGoes says where the water of a step is emptied.
func WaterGoes(s shed.Step) string {
	if s.DrainTo == shed.Sink {
		return "this water may go down the sink"
	}
	return s.Kind.Facts().Outdoors
}

// sayOnward says of a lift that its basket goes on in the rinse tub.
func sayOnward(d session.Day, p *Prompt, now time.Time) {
	to, step, on := d.Onward(p.Tub)
	t := d.Tubs[p.Tub]
	if there, _, next := d.Coming(to, now); !on || t.At != step-1 || !next || there.Tubs[to].Batch != t.Batch {
		return
	}
	switch there := d.Tubs[to]; {
	case there.Ready():
		p.Title = "lift, over into " + d.TubName(to)
	case there.Phase == shed.Idle:
		p.first(Line{Text: "first fill " + d.TubName(to) + " for its rinse"})
	}
}

// sayEmpty says to empty a tub that has no batch.
func sayEmpty(d session.Day, p *Prompt) {
	t := d.Tubs[p.Tub]
	used := t.Used
	if p.Title = "empty the tub"; t.Ready() {
		used = t.Bath.Step
	}
	p.Details = []Line{drains(used)}
}

// sayRest is what a tub is that wants nothing.
func sayRest(d session.Day, tub int) string {
	t := d.Tubs[tub]
	to, _, on := d.Onward(tub)
	switch {
	case t.Ready():
		return "ready for " + t.Bath.Batch
	case t.Batch != "" && on:
		return "goes on in " + d.TubName(to) + ": fill it first"
	case tub == d.RinseTub():
		return "kept for rinses"
	}
	return "no batch waiting"
}
