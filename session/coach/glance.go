package coach

import (
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// CanUndo says what undo would take back; "" if nothing.
func CanUndo(d session.Day) string {
	e, ok := d.LastDeed()
	if !ok {
		return ""
	}
	return undoWords(d, e)
}

// Glance is all that a screen shows of one tub.
type Glance struct {
	Tub       int
	Name      string
	Batch     string // "" while idle
	Fleece    string // animal's name
	Form      shed.Form
	StepName  string
	StepNo    int // 1 …
	StepCount int
	Kind      shed.StepKind
	Phase     shed.Phase
	Held      bool
	Cover     cooling.Cover
	// TempC is the estimate with its 90 % interval; HasTemp false without water.
	TempC, LowC, HighC float64
	HasTemp            bool
	LastReading        session.Reading // zero At: none in this bath
	// SoakStart and SoakEnd are zero unless the fleece is in.
	SoakStart, SoakEnd, LongestAt time.Time
	// Release is when the bath comes down to ReleaseC; only in a wash.
	ReleaseC float64
	Release  session.Crossing
	Prompt   Prompt
	Alarm    session.Alarm // the tub's standing alarm, of those above low
	HasAlarm bool
}

// GlanceAt looks at one tub at now.
func GlanceAt(d session.Day, tub int, now time.Time) Glance {
	t, kt := d.Tubs[tub], d.Plan.Kit.Tubs[tub]
	s := t.Step()
	g := Glance{
		Tub: tub, Name: kt.Name, Batch: t.Batch, StepName: d.StepName(t.Batch, t.At, s.Name), StepNo: t.At + 1, StepCount: len(t.Steps),
		Kind: s.Kind, Phase: t.Phase, Held: t.Held(), Cover: t.Cover,
	}
	h := d.Heat(tub) // fitted once: it is the dear part
	g.Prompt = promptAt(d, tub, now, h)
	if t.Phase == shed.Idle {
		g.StepNo = 0
	} else {
		b, _ := d.Batch(t.Batch)
		g.Fleece, g.Form = d.FleeceOf(t.Batch).Animal, b.Form
	}
	if h.Ok {
		p := h.Point(now)
		g.TempC, g.LowC, g.HighC, g.HasTemp = p.TempC, p.LowC, p.HighC, measure.Finite(p.TempC)
		if n := len(t.Bath.Readings); n > 0 {
			g.LastReading = t.Bath.Readings[n-1]
		} else if tap := d.Plan.Kit.HotTapC; s.Water == shed.FromHot && g.TempC <= tap && !slices.ContainsFunc(t.Bath.Changes, func(c session.HeatChange) bool { return c.AddC > tap }) {
			g.HighC = min(g.HighC, tap) // nothing hotter went in
		}
		if s.HasRelease() {
			g.ReleaseC, g.Release = s.ReleaseC, d.Release(tub, h).NotBefore(now)
		}
	}
	if t.Phase == shed.Soaking {
		g.SoakStart, g.SoakEnd, g.LongestAt = t.Bath.SunkAt, t.SoakEndAt(now), t.LongestAt()
	}
	for _, a := range d.Alarms {
		if a.Tub == tub && a.Stands() && !a.Aside() && (!g.HasAlarm || session.Louder(a, g.Alarm)) {
			g.Alarm, g.HasAlarm = a, true
		}
	}
	return g
}

// Glances looks at every tub at now.
func Glances(d session.Day, now time.Time) []Glance {
	out := make([]Glance, len(d.Tubs))
	for i := range d.Tubs {
		out[i] = GlanceAt(d, i, now)
	}
	return out
}

// undoWords says what an event was, for "undo: …".
func undoWords(d session.Day, e session.Event) string {
	tub := d.TubName(session.TubOf(e))
	switch e := e.(type) {
	case session.NoteAdded:
		return "the note"
	case session.BatchWeighed:
		return e.Batch + "'s dry weight, " + d.Plan.Kit.Units.Mass(e.DryG)
	case session.BatchWeighedWet:
		return e.Batch + "'s wet weight, " + d.Plan.Kit.Units.Mass(e.MassG)
	case session.BatchWeighedRaw:
		return e.Batch + "'s raw weight"
	case session.BatchWeighedSoaked:
		return e.Batch + "'s weight after the presoak"
	case session.BatchMoved:
		return "moving " + e.Batch
	case session.BatchJudged:
		if e.Place != "" {
			return "what is said of " + e.Batch
		}
		return "how " + e.Batch + " came out"
	case session.PartNamed:
		return e.Batch + "'s part of the fleece"
	case session.BreakTaken:
		return "the break"
	case session.DayEnded:
		return "the end of the day"
	case session.KitChanged:
		return "the kit change"
	case session.BatchAdded:
		return "adding batch " + e.Batch.ID
	case session.KettlePutOn:
		return "kettle on"
	case session.KettleRefilled:
		return "kettle refilled"
	case session.KettleAgain:
		return "kettle on again"
	case session.KettleBoiled:
		return "kettle boiled"
	case session.ReadingTaken:
		return tub + "'s reading, " + d.Plan.Kit.Units.TempRead(e.TempC)
	case session.FleeceSunk:
		return tub + ": fleece lowered in"
	default:
		return tub + ": " + session.KindOf(e)
	}
}
