package coach

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Help compares what can be done about a wash bath that cools.
type Help struct {
	Tub      int
	ReleaseC float64
	Until    time.Time // the soak is to last till then; past: it is over
	Count    Count     // of the lift
	Sinking  bool      // the fleece is not in yet
	Held     bool
	TooCool  bool // to begin with
	Options  []HelpOption
	Best     cooling.Choice
	// Cover is the better cover there is, if HasCover.
	Cover    cooling.Cover
	HasCover bool
	// Remedy is what kettle water brings the bath back to WantC, if HasRemedy.
	Remedy    cooling.Remedy
	WantC     float64
	HasRemedy bool
	pour      topUp
	// Anew: the bath is too cool to begin with and one kettle isn't enough.
	Anew bool
	// KettleShort: the fleece lies too cool, and one kettle does not change that.
	KettleShort bool
}

// HelpOption is one choice: the earliest moment the bath comes down to its
// release temperature with it (zero: never, as far as can be told), and how
// many minutes that gains.
type HelpOption struct {
	Choice  cooling.Choice
	Early   time.Time
	GainMin float64
	Enough  bool // it lasts the soak, and there is some left
}

// HelpAt says what would help the bath of a tub now, or in a sentence why there
// is nothing to compare.
func HelpAt(d session.Day, tub int, now time.Time) (Help, error) {
	if tub < 0 || tub >= len(d.Tubs) {
		return Help{}, fmt.Errorf("there is no such tub")
	}
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Bath.Step
	switch {
	case t.Phase == shed.Draining && s.Kind.Facts().Release:
		return Help{}, fmt.Errorf("the fleece is out of %s's wash bath: nothing has to keep warm", d.TubName(tub))
	case t.Phase != shed.ToSink && t.Phase != shed.Soaking || !s.Kind.Facts().Release:
		return Help{}, fmt.Errorf("%s has no wash bath: only a wash has a lift-by temperature to keep above", d.TubName(tub))
	case s.ReleaseC <= 0:
		return Help{}, fmt.Errorf("the method gives %s's %s no lift-by temperature to keep above", d.TubName(tub), s.Name)
	}
	h := d.Heat(tub)
	nowMin := max(0, measure.MinutesBetween(h.FilledAt, now))
	tempC, _ := h.At(now)
	if !measure.Finite(tempC) {
		return Help{}, Lacks{fmt.Sprintf("nobody can tell how warm %s is", d.TubName(tub)), TakeTemp}
	}
	out := Help{Tub: tub, ReleaseC: s.ReleaseC, Until: t.SoakEndAt(now), Held: t.Held(), Sinking: t.Phase == shed.ToSink, Count: promptAt(d, tub, now, h).Count}
	if out.Count.Of == SinceBelow { // by a reading, it may be
		tempC = min(tempC, s.ReleaseC)
	}
	if end := t.LongestAt(); !end.IsZero() && end.Before(out.Until) {
		out.Until = end
	}
	if out.Sinking {
		out.Until = now.Add(measure.Lasting(t.Bath.SoakMin))
		out.TooCool = d.TooCool(tub, tempC)
	}
	q := cooling.Question{NowMin: nowMin, UntilMin: max(nowMin, measure.MinutesBetween(h.FilledAt, out.Until)), FloorC: s.ReleaseC}
	vessel, midC := k.Tubs[tub], t.Bath.FillC-cooling.LossTakenBelowFillC
	if out.Cover, out.HasCover = session.BetterCover(t.Cover, vessel.Cover); out.HasCover && out.Sinking {
		out.HasCover = false // the fleece goes in next: nobody covers it before
	}
	if out.HasCover {
		l := d.Plan.LossUnder(vessel, t.Bath.LevelL(), out.Cover, midC, d.Plan.Kit.RoomC)
		q.Covered = cooling.Change{LossWPerK: l.WPerK, LossAtC: midC, LossTilt: l.Tilt}
	}
	if k.Kettle.CapacityL > 0 {
		out.WantC = s.LowestSinkC
		if out.WantC == 0 {
			out.WantC = s.AimC
		}
		if out.Sinking {
			out.WantC = d.WantedToSinkC(tub)
		}
		if out.Remedy, out.HasRemedy = d.Remedy(tub, tempC, out.WantC); out.HasRemedy {
			out.pour = sayTopUp(&d, out.Remedy, now)
			q.Poured = out.Remedy.Change(nowMin+measure.MinutesBetween(now, out.pour.at), d.Plan.Kit.KettleC())
		}
	}
	out.choose(h, h.Fit.Advise(q), now)
	if out.TooCool {
		if out.Best = cooling.PourKettle; !out.HasRemedy || out.Remedy.TempC < s.LowestSinkC-0.5 {
			out.Anew, out.Best = true, -1
		}
	}
	return out, nil
}

// choose drops what can no longer help. A cover warms nothing, and fleece that is not
// in yet cannot be lifted. Below the release temperature lifting is best, unless the
// water poured lasts out the soak.
func (h *Help) choose(m session.HeatModel, advice cooling.Advice, now time.Time) {
	below, over := h.Count.Of == SinceBelow, !h.Until.After(now)
	warms := h.HasRemedy && h.Remedy.TempC >= h.ReleaseC+0.5 // less would read as no difference
	h.KettleShort = below && h.HasRemedy && !warms
	h.Best = advice.Best.Choice
	enough := false
	for _, o := range advice.Options {
		pours := o.Choice == cooling.PourKettle || o.Choice == cooling.CoverAndPour
		switch {
		case o.Choice == cooling.LiftNow && h.Sinking,
			pours && !warms,
			o.Choice == cooling.CoverAndPour && h.late(m.Clock(o.Crossing.EarlyMin)),
			o.Choice == cooling.PutCover && (below || o.GainMin < 1 && o.Choice != h.Best):
			continue
		}
		if pours && o.Enough && !enough {
			enough = true
			if below {
				h.Best = o.Choice
			}
		}
		h.Options = append(h.Options, HelpOption{o.Choice, m.Clock(o.Crossing.EarlyMin), o.GainMin, o.Enough && !over})
	}
	if below && (over || !enough) || !h.has(h.Best) {
		h.Best = cooling.LiftNow
	}
}

// beginsFor: a reading so soon after the sink-in still tells how warm the wash began.
const beginsFor = 10 * time.Minute

// tooHotByC: a bath so much over its aim is hotter than was meant, whatever the thermometer.
const tooHotByC = 3.0

// OffAim compares a reading with what the wash bath was meant to have. cool: it began
// below its coolest start. hot: it is more than tooHotByC above its aim. coldL litres
// of cold water bring a hot bath back to aimC; 0 where the tub has no room for them.
func OffAim(d session.Day, tub int, tempC float64, now time.Time) (cool, hot bool, aimC, coldL float64) {
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Bath.Step
	if !s.Kind.Facts().Release || s.Water != shed.Mixed || t.Phase != shed.ToSink && t.Phase != shed.Soaking {
		return false, false, 0, 0
	}
	aimC = s.AimC
	if t.Phase == shed.ToSink { // the fleece cools it
		aimC = max(aimC, d.WantedToSinkC(tub)) // tap and kettle may not come to the aim
	}
	hot = tempC > aimC+tooHotByC
	if hot && k.ColdTapC < aimC {
		heat := t.Bath.HeatJPerK(k.Tubs[tub])
		perL := cooling.WaterPortion(1, k.ColdTapC).HeatJPerK
		coldL = heat * (tempC - aimC) / (perL * (aimC - k.ColdTapC))
		if k.JugL > 0 {
			coldL = math.Round(coldL/k.JugL) * k.JugL
		}
		if d.CheckTopUpL(tub, coldL) != nil || d.OverRimL(tub, coldL, 0) > 0 { // no room: it is bailed out first, and nobody reckons that
			coldL = 0
		}
	}
	cool = s.LowestSinkC > 0 && tempC < s.LowestSinkC-0.5 && (t.Phase == shed.ToSink || now.Sub(t.Bath.SunkAt) <= beginsFor)
	return cool, hot, aimC, coldL
}

// HelpLine is one choice in words, or what there is to know of them.
type HelpLine struct {
	Way
	Best bool
}

// Lines says it in words, one choice a line, the best marked.
func (h Help) Lines(p *shed.Plan, now time.Time) []HelpLine {
	k := &p.Kit
	u := k.Units
	var out []HelpLine
	add := func(text string, best bool) { out = append(out, HelpLine{Way{Text: text}, best}) }
	for _, o := range h.Options {
		text := ""
		switch o.Choice {
		case cooling.Leave:
			text = "leave it"
		case cooling.PutCover:
			text = session.CoverPhrase(h.Cover)
		case cooling.PourKettle:
			text = h.pour.text + h.pour.short
		case cooling.CoverAndPour:
			text = "both"
			if !h.has(cooling.PutCover) {
				text = session.CoverPhrase(h.Cover) + " after that"
			}
		case cooling.LiftNow:
			text = "lift now" + h.whyLift(u.Temp(h.ReleaseC), now)
		}
		if o.Choice != cooling.LiftNow {
			text += ": " + h.reach(o, u.Temp(h.ReleaseC), u.Clock(p.OnTheWall(h.pour.at)), now)
		}
		add(text, o.Choice == h.Best)
	}
	if h.Anew {
		out = append(out, HelpLine{freshFill, true})
	}
	if h.pour.whose != "" && (h.has(cooling.PourKettle) || h.has(cooling.CoverAndPour)) {
		add(h.pour.whose, false)
	}
	if h.KettleShort {
		add("one kettle won't bring it back above "+u.Temp(h.ReleaseC), false)
	}
	if h.has(cooling.PourKettle) && h.Remedy.DoseStrength < 0.95 {
		add("topping up weakens the scour to "+u.Percent(h.Remedy.DoseStrength, 0), false)
	}
	return out
}

func (h Help) has(c cooling.Choice) bool {
	return slices.ContainsFunc(h.Options, func(o HelpOption) bool { return o.Choice == c })
}

// whyLift is what speaks for the lift already.
func (h Help) whyLift(release string, now time.Time) string {
	gone := float64(int(measure.MinutesBetween(h.Count.At, now)))
	switch h.Count.Of {
	case SinceBelow:
		return ", and wash it again"
	case MayBeBelow:
		return ": it may be below " + release
	case SinceLongest:
		return ": it is past its longest soak"
	case SinceSoak:
		if gone < 1 {
			return ": the soak is over"
		}
		return ": the soak has been over for " + measure.Minutes(gone)
	case NoCount, ToDue, ToRelease, SinceWet:
	}
	return ""
}

// late says that water which is still to boil comes into a bath that is below, or may be, before it has.
func (h *Help) late(early time.Time) bool {
	return !early.IsZero() && early.Before(h.pour.at)
}

func (h Help) reach(o HelpOption, release, hot string, now time.Time) string {
	at := measure.MinutesBetween(now, o.Early)
	switch {
	case o.Choice == cooling.PourKettle && h.late(o.Early) && h.Count.Of == SinceBelow:
		return "hot at " + hot + " only, below " + release + " till then"
	case o.Choice == cooling.PourKettle && h.late(o.Early):
		return "hot at " + hot + " only, it may be below " + release + " by then"
	case o.Choice == cooling.Leave && h.Count.Of == SinceBelow:
		if gone := float64(int(measure.MinutesBetween(h.Count.At, now))); gone >= 1 {
			return fmt.Sprintf("below %s for %s, the wax sets", release, measure.Minutes(gone))
		}
		return "below " + release + " now, the wax sets"
	case o.Choice == cooling.Leave && h.TooCool:
		return "too cool to begin with"
	case o.Early.IsZero():
		return "stays above " + release
	case at < 1:
		return "may be at " + release + " now"
	}
	text := fmt.Sprintf("%s in %s at the earliest", release, measure.Minutes(float64(int(at))))
	if o.GainMin >= 1 {
		text += fmt.Sprintf(" (+%s)", measure.Minutes(math.Floor(at)-math.Floor(at-o.GainMin)))
	}
	switch {
	case o.Enough && h.Held:
		text += ", lasts the soak if you resume now"
	case o.Enough:
		text += ", lasts the soak"
	}
	return text
}
