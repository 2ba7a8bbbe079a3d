package session

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
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
	// Anew: the bath is too cool to begin with and one kettle does not mend it.
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

// Help says what would help the bath of a tub now, or in a sentence why there
// is nothing to compare.
func (d Day) Help(tub int, now time.Time) (Help, error) {
	if tub < 0 || tub >= len(d.Tubs) {
		return Help{}, fmt.Errorf("there is no such tub")
	}
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Bath.Step
	switch {
	case t.Phase == Draining && s.Kind.Facts().Release:
		return Help{}, fmt.Errorf("the fleece is out of %s's wash bath: nothing has to keep warm", d.tubName(tub))
	case t.Phase != ToSink && t.Phase != Soaking || !s.Kind.Facts().Release:
		return Help{}, fmt.Errorf("%s has no wash bath: only a wash has a release temperature to keep above", d.tubName(tub))
	case s.ReleaseC <= 0:
		return Help{}, fmt.Errorf("the method gives %s's %s no release temperature to keep above", d.tubName(tub), s.Name)
	}
	h := d.heat(tub)
	nowMin := max(0, minutesBetween(h.filledAt, now))
	tempC, _ := h.at(now)
	if !finite(tempC) {
		return Help{}, Lacks{fmt.Sprintf("nobody can tell how warm %s is", d.tubName(tub)), TakeTemp}
	}
	out := Help{Tub: tub, ReleaseC: s.ReleaseC, Until: t.SoakEndAt(now), Held: t.Held(), Sinking: t.Phase == ToSink, Count: d.prompt(tub, now, h).Count}
	if out.Count.Of == SinceBelow { // by a reading, it may be
		tempC = min(tempC, s.ReleaseC)
	}
	if end := t.LongestAt(); !end.IsZero() && end.Before(out.Until) {
		out.Until = end
	}
	if out.Sinking {
		out.Until = now.Add(minutes(t.Bath.SoakMin))
		out.TooCool = d.tooCool(tub, tempC)
	}
	q := cooling.Question{NowMin: nowMin, UntilMin: max(nowMin, minutesBetween(h.filledAt, out.Until)), FloorC: s.ReleaseC}
	vessel, midC := k.Tubs[tub], t.Bath.FillC-lossTakenBelowFillC
	if out.Cover, out.HasCover = betterCover(t.Cover, vessel.Cover); out.HasCover && out.Sinking {
		out.HasCover = false // the fleece goes in next: nobody covers it before
	}
	if out.HasCover {
		l := d.Plan.lossUnder(vessel, t.Bath.levelL(), out.Cover, midC, d.Plan.Kit.RoomC)
		q.Covered = cooling.Change{LossWPerK: l.wPerK, LossAtC: midC, LossTilt: l.tilt}
	}
	if k.Kettle.CapacityL > 0 {
		out.WantC = s.LowestSinkC
		if out.WantC == 0 {
			out.WantC = s.AimC
		}
		if out.Sinking {
			out.WantC = d.wantedToSinkC(tub)
		}
		if out.Remedy, out.HasRemedy = d.remedy(tub, tempC, out.WantC); out.HasRemedy {
			q.Poured = out.Remedy.Change(nowMin, d.Plan.Kit.KettleC())
		}
	}
	out.choose(h, h.fit.Advise(q), now)
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
func (h *Help) choose(m heatModel, advice cooling.Advice, now time.Time) {
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
			o.Choice == cooling.PutCover && (below || o.GainMin < 1 && o.Choice != h.Best):
			continue
		}
		if pours && o.Enough && !enough {
			enough = true
			if below {
				h.Best = o.Choice
			}
		}
		h.Options = append(h.Options, HelpOption{o.Choice, m.clock(o.Crossing.EarlyMin), o.GainMin, o.Enough && !over})
	}
	if below && (over || !enough) {
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
func (d Day) OffAim(tub int, tempC float64, now time.Time) (cool, hot bool, aimC, coldL float64) {
	t, k := d.Tubs[tub], d.Plan.Kit
	s := t.Bath.Step
	if !s.Kind.Facts().Release || s.Water != Mixed || t.Phase != ToSink && t.Phase != Soaking {
		return false, false, 0, 0
	}
	aimC = s.AimC
	if t.Phase == ToSink { // the fleece cools it
		aimC = max(aimC, d.wantedToSinkC(tub)) // tap and kettle may not come to the aim
	}
	hot = tempC > aimC+tooHotByC
	if hot && k.ColdTapC < aimC {
		heat := t.Bath.heatJPerK(k.Tubs[tub])
		perL := cooling.WaterPortion(1, k.ColdTapC).HeatJPerK
		coldL = heat * (tempC - aimC) / (perL * (aimC - k.ColdTapC))
		if k.JugL > 0 {
			coldL = math.Round(coldL/k.JugL) * k.JugL
		}
		if d.CheckTopUpL(tub, coldL) != nil || d.overRimL(tub, coldL, 0) > 0 { // no room: it is bailed out first, and nobody reckons that
			coldL = 0
		}
	}
	cool = s.LowestSinkC > 0 && tempC < s.LowestSinkC-0.5 && (t.Phase == ToSink || now.Sub(t.Bath.SunkAt) <= beginsFor)
	return cool, hot, aimC, coldL
}

// wantedToSinkC is what a bath should have before its fleece goes in, as its
// fill was meant, but no less than it may begin with.
func (d Day) wantedToSinkC(tub int) float64 {
	low := d.Tubs[tub].Step().LowestSinkC
	if f := d.Fill(tub); finite(f.WaterC) {
		return max(low, f.WaterC)
	}
	return low
}

// tooCool says that a filled bath is too cool to begin with.
func (d Day) tooCool(tub int, tempC float64) bool {
	return d.Tubs[tub].Step().tooCoolToBegin(tempC)
}

// remedy is what one kettle does to bring the bath of a tub, now at tempC, back
// to wantC; ok is false without a kettle, or if nothing is needed.
func (d Day) remedy(tub int, tempC, wantC float64) (r cooling.Remedy, ok bool) {
	k, b := d.Plan.Kit, d.Tubs[tub].Bath
	if k.Kettle.CapacityL <= 0 {
		return r, false
	}
	r, ok = cooling.Standing{
		Bath: cooling.Portion{HeatJPerK: b.heatJPerK(k.Tubs[tub]), TempC: tempC}, WaterL: b.levelL(),
		CapacityL: d.roomL(tub), KettleC: k.KettleC(), KettleL: k.Kettle.CapacityL,
	}.InMarks(wantC, k.KettleMarkL(), k.JugL)
	return r, ok && r.PourL > 0.02
}

// heatJPerK is the heat capacity of all that is in the bath, J/K.
func (b Bath) heatJPerK(tub Tub) float64 {
	sum := cooling.WaterPortion(b.VolumeL, b.FillC).HeatJPerK + cooling.VesselHeatJPerK(tub.Vessel(), b.VolumeL)
	for _, c := range b.Changes {
		sum += c.AddJPerK
		if c.BailL > 0 {
			sum -= cooling.WaterPortion(c.BailL, b.FillC).HeatJPerK
		}
		if c.AddL > 0 {
			sum += cooling.WaterPortion(c.AddL, c.AddC).HeatJPerK
		}
	}
	return sum
}

// betterCover is the next better cover than the one that lies there: the tub's
// usual one on open water, else lid and film together.
func betterCover(now, usual cooling.Cover) (cooling.Cover, bool) {
	switch {
	case now == cooling.LidAndFilm:
		return now, false
	case now == cooling.Open && usual != cooling.Open:
		return usual, true
	case now == cooling.Open:
		return cooling.Lid, true
	}
	return cooling.LidAndFilm, true
}

// HelpLine is one choice in words, or what there is to know of them.
type HelpLine struct {
	Way
	Best bool
}

// Lines says it in words, one choice a line, the best marked.
func (h Help) Lines(k Kit, now time.Time) []HelpLine {
	u := k.Units
	var out []HelpLine
	add := func(text string, best bool) { out = append(out, HelpLine{Way{Text: text}, best}) }
	for _, o := range h.Options {
		text := ""
		switch o.Choice {
		case cooling.Leave:
			text = "leave it"
		case cooling.PutCover:
			text = coverPhrase(h.Cover)
		case cooling.PourKettle:
			pour, short := pourText(k, h.Remedy)
			text = pour + short
		case cooling.CoverAndPour:
			text = "both"
			if !h.has(cooling.PutCover) {
				text = coverPhrase(h.Cover) + " after that"
			}
		case cooling.LiftNow:
			text = "lift now" + h.whyLift(u.Temp(h.ReleaseC), now)
		}
		if o.Choice != cooling.LiftNow {
			text += ": " + h.reach(o, u.Temp(h.ReleaseC), now)
		}
		add(text, o.Choice == h.Best)
	}
	if h.Anew {
		out = append(out, HelpLine{freshFill, true})
	}
	if h.KettleShort {
		add("one kettle does not bring it back above "+u.Temp(h.ReleaseC), false)
	}
	if h.has(cooling.PourKettle) && h.Remedy.DoseStrength < 0.95 {
		add(fmt.Sprintf("topped up, the scour is at %.0f %% of its strength", 100*h.Remedy.DoseStrength), false)
	}
	return out
}

func (h Help) has(c cooling.Choice) bool {
	return slices.ContainsFunc(h.Options, func(o HelpOption) bool { return o.Choice == c })
}

// whyLift is what speaks for the lift already.
func (h Help) whyLift(release string, now time.Time) string {
	gone := float64(int(minutesBetween(h.Count.At, now)))
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
		return ": the soak has been over for " + showMin(gone)
	case NoCount, ToDue, ToRelease, SinceWet:
	}
	return ""
}

// pourText says how a remedy is poured, and by how much it falls short.
func pourText(k Kit, r cooling.Remedy) (text, short string) {
	u := k.Units
	if r.BailL > 0.02 {
		text = "bail " + u.Pour(r.BailL, k.JugL) + ", then "
	}
	text += fmt.Sprintf("pour %s from the kettle at the side, to %s", k.KettleText(r.PourL), u.Temp(r.TempC))
	if r.ShortC > 0.5 {
		short = fmt.Sprintf(" (one kettle is %s short)", u.TempDelta(r.ShortC))
	}
	return text, short
}

func (h Help) reach(o HelpOption, release string, now time.Time) string {
	at := minutesBetween(now, o.Early)
	switch {
	case o.Choice == cooling.Leave && h.Count.Of == SinceBelow:
		if gone := float64(int(minutesBetween(h.Count.At, now))); gone >= 1 {
			return fmt.Sprintf("below %s for %s, the wax sets", release, showMin(gone))
		}
		return "below " + release + " now, the wax sets"
	case o.Choice == cooling.Leave && h.TooCool:
		return "too cool to begin with"
	case o.Early.IsZero():
		return "stays above " + release
	case at < 1:
		return "may be at " + release + " now"
	}
	text := fmt.Sprintf("%s in %s at the earliest", release, showMin(float64(int(at))))
	if o.GainMin >= 1 {
		text += fmt.Sprintf(", %s gained", showMin(math.Floor(at)-math.Floor(at-o.GainMin)))
	}
	switch {
	case o.Enough && h.Held:
		text += ", lasts the soak if you go on now"
	case o.Enough:
		text += ", lasts the soak"
	}
	return text
}
