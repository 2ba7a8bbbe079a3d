package coach

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// PromptAt is what the coach says of one tub.
func PromptAt(d session.Day, tub int, now time.Time) Prompt {
	return promptAt(d, tub, now, d.Heat(tub))
}

// promptAt is Prompt with the bath already fitted.
func promptAt(d session.Day, tub int, now time.Time, h session.HeatModel) Prompt {
	t := d.Tubs[tub]
	p := Prompt{Tub: tub, Act: d.NextAction(tub), DueAt: t.PhaseAt, Rank: Now, Held: t.Held()}
	switch p.Act {
	case shed.LoadNext:
		sayLoad(d, &p, d.NextFor(tub), now)
	case shed.FillTub:
		sayFill(d, &p, now)
	case shed.SinkIn:
		saySink(d, &p, now, h)
	case shed.Lift:
		saySoak(d, &p, now, h)
	case shed.DrainTub:
		sayDrain(d, &p, h)
	case shed.SpinFibre:
		p.Title = "spin"
		p.Caution = spinCaution(d.Plan.Kit.Units)
		p.Details = append(p.Details, howToSpin(d.FleeceOf(t.Batch)))
	case shed.RackFibre:
		b, _ := d.Batch(t.Batch)
		p.Title = "rack and label"
		place := d.RackPlace(b)
		lay := "turn out on " + place + " and spread it"
		if b.Form == shed.Locks {
			lay = "leave the locks in their layers on " + place
		}
		p.Details = []Line{{Text: lay}, {Of: OfLabel, Text: "tag: " + d.TagText(b, now)}}
	case shed.Wait, shed.FinishDay:
		if p.Title, p.Rank = "no batch waiting", Resting; t.Used.Name != "" {
			p.add("if you haven't emptied it yet: " + WaterGoes(&t.Used))
		}
	}
	if till, waits := d.FillWaits(tub, now); waits && !p.Stopped() {
		s, _ := d.NextBreak(now)
		p.waitTill(till, sayWaits(&d, s, t.Steps[t.At:], now, max(0, measure.MinutesBetween(now, p.DueAt))))
	} else if by := d.WetBy(tub, now); !by.IsZero() {
		p.limit(by, HangsWet)
		if !now.Before(by) {
			p.Count = Count{SinceWet, by}
		}
	} else if till := t.HangsTill(); !till.IsZero() && !now.Before(till) {
		p.add("hanging since " + d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(t.WetSince)) + ", no harm done")
	}
	// Set aside, unless harm is done meanwhile: that rings on hold too.
	if p.Held && p.Rank != Harm && (p.MustBy.IsZero() || now.Before(p.MustBy)) {
		p.Rank = Resting
	}
	p.Warned = p.Caution != Caution{} && warned(d, p)
	return p
}

// sayLoad says that a batch begins in a tub, instead of what was said of another.
func sayLoad(d session.Day, p *Prompt, b *shed.Batch, now time.Time) {
	p.Batch, p.Title, p.Doubt, p.Details = b.ID, "start batch "+b.ID, "", nil
	if !d.Plan.FitsIn(b, p.Tub) { // a larger tub will take it; the person may all the same
		p.Rank, p.Doubt = Resting, planner.SayTooFull(&d.Plan, b, p.Tub)
	}
	from := "into a basket for "
	if till := d.SoaksTill(b); !till.IsZero() {
		from = "out of the bin, drained, for "
		if p.DueAt.Before(till) {
			p.DueAt = till
		}
		if now.Before(till) {
			p.Rank, p.Doubt = Coming, b.ID+" soaks till "+d.Plan.Kit.Units.Moment(d.Plan.OnTheWall(till), "Mon 15:04")
		}
	}
	if !d.Plan.FitsIn(b, p.Tub) {
		p.Title = b.ID + " waits for a larger tub" // beside the deeds of others: nothing is to be done
		says := planner.SayTooFull(&d.Plan, b, p.Tub)
		ways := []Way{{Text: says}, {Text: "take some out, then ", Deed: EnterRaw}}
		if planner.OverfullG(&d.Plan, b, p.Tub) > 0 {
			ways = []Way{{Text: says + ", then ", Deed: EnterRaw}}
		}
		p.Details = append(p.Details, Line{Ways: ways, Must: true})
		return
	}
	animal := d.FleeceOf(b.ID).Animal
	if !b.Raw() {
		animal += " again"
	}
	p.add(fmt.Sprintf("%s, %s %s, %s%s", animal, d.Plan.Kit.Units.Mass(b.NowG()), b.Form, from, d.TubName(p.Tub)))
}

func sayFill(d session.Day, p *Prompt, now time.Time) {
	t, u := d.Tubs[p.Tub], d.Plan.Kit.Units
	if stop, ok := stopOf(d, p.Tub, now); ok {
		sayStop(d, p, stop, now)
		return
	}
	s, f := t.Step(), d.FillAgain(p.Tub, now)
	p.Title = "fill for the " + d.StepName(t.Batch, t.At, s.Name)
	comes := func(at time.Time, says string) {
		p.DueAt, p.Rank, p.Count = at, Coming, Count{ToDue, at}
		p.add(says)
	}
	b, _ := d.Batch(t.Batch)
	if s.Overnight() {
		if evening, morning := d.Plan.NightFrom(d.StartedAt, now, 0); evening.After(now) {
			comes(evening, "in the evening, from "+u.Clock(evening)+": it soaks until "+u.Moment(morning, "15:04 Mon"))
		}
	} else if wash, waits := d.WashWaits(b, now); waits {
		comes(wash, "washing begins at "+u.Moment(wash, "15:04 Mon"))
	}
	switch s.Water {
	case shed.FromCold:
		p.add(fmt.Sprintf("%s from the cold tap, as it comes", u.Pour(f.VolumeL, d.Plan.Kit.JugL)))
	case shed.FromHot, shed.Mixed:
		if f.Pour.HotL == f.VolumeL && s.Water == shed.FromHot {
			p.add(fmt.Sprintf("%s from the hot tap, about %s", u.Pour(f.VolumeL, d.Plan.Kit.JugL), u.Temp(f.WaterC)))
			break
		}
		bath, pour := wholeText(d.Plan.Kit, f)+" at "+u.Temp(f.WaterC), ": "+PourText(d.Plan.Kit, f)
		how := Line{Text: bath + SayUnder(u, f) + pour, Brief: bath + pour}
		if u.Temp(f.AfterC) != u.Temp(f.WaterC) {
			how = Line{Text: bath + ", " + u.Temp(f.AfterC) + " with the fleece in" + SayUnder(u, f) + pour, Brief: bath + pour}
		}
		p.Details = append(p.Details, how)
	}
	if f.DoseML > 0 {
		dose := Line{Text: "stir in " + d.Plan.Kit.DoseText(f.DoseML) + " " + orName(d.Plan.Kit.Scour)}
		why := shed.DoseWhy(d.FleeceOf(d.Tubs[p.Tub].Batch).Wax)
		if s.DosePart > 0 && s.DosePart != 1 { // of that, so that it is neither more nor less for the wax
			switch why = ""; s.DosePart {
			case 0.5:
				why = " (half the usual dose)"
			case 0.25:
				why = " (a quarter of the usual dose)"
			}
		}
		if why != "" {
			dose = Line{Text: dose.Text + why, Brief: dose.Text}
		}
		p.Details = append(p.Details, dose)
	}
	for i := range p.Details {
		p.Details[i].Must = true
	}
	if f.DoseML > 0 {
		p.add("stir without foam, before the fleece goes in")
	}
	ways := planner.ShortRemedies(f, &d.Plan.Kit)
	if f.Short() {
		short := "keep the soak short"
		if len(ways) > 0 {
			short += ", or use " + strings.Join(ways, ", or ")
		}
		p.add(short)
	} else if f.ShortC > session.FarUnderC && len(ways) > 0 {
		p.add("for " + u.Temp(f.WaterC+f.ShortC) + " use " + strings.Join(ways, ", or "))
	}
	sayTank(d, p, f, now)
	waitForKettle(d, p, f, now)
	sayFarFill(d, p, f, now)
	if at := t.At - 1; at >= 0 && at < len(t.Steps) && !s.HasRelease() && f.AfterC < t.Steps[at].ReleaseC && d.FleeceOf(t.Batch).Wax == shed.High { // common practice
		if sets := u.Temp(t.Steps[at].ReleaseC); u.Temp(f.AfterC) != sets {
			p.add("under " + sets + " the wax left in it sets: rinse hotter if you can")
		}
	}
	if cool := CoolStart(u, s, f); p.Kettle != KettleReady { // nothing is poured yet
		for i := range p.Details {
			p.Details[i].Must = false
		}
	} else if cool != "" {
		p.Doubt = d.TubName(p.Tub) + " would begin at " + cool
		if k, on := d.KettleOn(); on && k.IsFor(&t) && k.Cools(now) {
			p.Doubt += ": boil the kettle again"
		} else if len(ways) > 0 {
			p.Doubt += ": use " + strings.Join(ways, ", or ")
		}
	}
	if t.Used.Name != "" {
		p.first(Line{Text: "empty the tub first, " + WaterGoes(&t.Used), Must: true})
	}
	switch {
	case f.Pour.KettleL > 0:
		p.Caution = HotWaterCaution(u, f.HottestC).and(", kettle lid shut")
	case f.HottestC >= 45 && f.Pour.ColdL > 0:
		p.Caution = HotWaterCaution(u, f.HottestC).and(", cold water first")
	case f.HottestC >= 45:
		p.Caution = HotWaterCaution(u, f.HottestC)
	case !t.LastWet: // the first time the raw fleece is handled
		p.Caution = rawFleeceCaution
	}
}

// sayStop says not to fill a bath that cannot wash, and what would do instead.
// Where it is a matter of waiting it comes later, and other tubs have their turn.
func sayStop(d session.Day, p *Prompt, stop fillStop, now time.Time) {
	p.Title, p.Doubt, p.stops = stop.title, stop.doubt, true
	p.Details = []Line{{Ways: plainWays(stop.ways), Must: true}, {Text: "it would be " + stop.why}} // the deed first, where there is room for one
	if measure.Finite(stop.waitMin) {
		p.DueAt, p.Rank = now.Add(measure.Lasting(stop.waitMin)), Coming
	}
	if t := d.Tubs[p.Tub]; t.LastWet {
		p.add("the fleece may drip meanwhile")
	}
	p.Caution = boilingCaution
}

func saySink(d session.Day, p *Prompt, now time.Time, h session.HeatModel) {
	t, u := d.Tubs[p.Tub], d.Plan.Kit.Units
	b, _ := d.Batch(t.Batch)
	s := t.Step()
	p.Title = "lower the fleece in"
	press := "press it under with the upturned basket; "
	if d.FleeceOf(t.Batch).Felting == shed.High {
		press = "it felts easily: press it under once, don't stir; "
	}
	keep := press + session.CoverPhrase(d.Plan.Kit.Tubs[p.Tub].Cover)
	if b.Form == shed.Locks {
		keep = "lower the basket slowly, an empty one on top to hold the layers; " + session.CoverPhrase(d.Plan.Kit.Tubs[p.Tub].Cover)
	}
	soaks := "soaks " + measure.Minutes(t.Bath.SoakMin)
	if s.Overnight() {
		soaks = "soaks until " + u.Moment(d.Plan.OnTheWall(now.Add(measure.Lasting(d.SoaksMin(p.Tub, now)))), "15:04 Mon")
	}
	p.add(keep, soaks)
	tempC, _ := h.At(now)
	switch {
	case d.TooCool(p.Tub, tempC):
		wantC := d.WantedToSinkC(p.Tub)
		first := Line{Text: "the bath is down to about " + u.Temp(tempC), Must: true}
		if t.Bath.FillC < s.LowestSinkC { // it never was hotter
			first.Text = "the bath is only about " + u.Temp(tempC)
		}
		if stop, ok := freshStop(d, p.Tub, now); ok {
			first.Ways = []Way{{Deed: Refill, Then: ": then " + strings.Join(stop.ways, ", or ")}}
		} else if r, ok := d.Remedy(p.Tub, tempC, wantC); ok && r.TempC >= s.LowestSinkC-0.5 {
			pour := sayTopUp(&d, r, now)
			first.Ways, first.Brief = []Way{{Text: "first " + pour.text + pour.short + pour.inBrackets()}}, "first "+pour.text
		} else if ok {
			first.Text += ", and one kettle isn't enough"
			first.Ways = []Way{freshFill}
		} else {
			first.Ways = []Way{{Text: "top up with hot water to " + u.Temp(wantC) + " first"}, freshFill}
		}
		p.first(first)
		p.Rank, p.Doubt = Harm, fmt.Sprintf("%s's bath is about %s, too cool to begin", d.TubName(p.Tub), u.Temp(tempC))
	case d.AskFar(p.Tub, tempC, now):
		sayFarSink(d, p, tempC, now)
	case s.LowestSinkC > 0 && measure.Finite(tempC):
		early := h.Crossing(s.LowestSinkC).Early
		if p.limit(early, TooCool); !early.IsZero() && !now.Before(early) && now.Sub(t.Bath.FilledAt) >= readStands && !justRead(t.Bath, now) {
			p.first(Line{Text: "it may be too cool to start by now, about " + u.Temp(tempC), Ways: []Way{{Deed: TakeTemp, Then: " first"}}, Must: true})
		}
	}
	sayUnread(&d, p)
	if tempC >= 45 {
		p.Caution = HotWaterCaution(u, tempC)
	}
}

// readStands is how long what was read needs no other reading; our own choice.
const readStands = 3 * time.Minute

func justRead(b session.Bath, now time.Time) bool {
	n := len(b.Readings)
	return n > 0 && now.Sub(b.Readings[n-1].At) < readStands
}

func saySoak(d session.Day, p *Prompt, now time.Time, h session.HeatModel) {
	t, u := d.Tubs[p.Tub], d.Plan.Kit.Units
	b, _ := d.Batch(t.Batch)
	s := t.Step()
	p.Title = "lift and drain"
	how := "press gently to drain, never rub or wring"
	if b.Form == shed.Locks {
		how = "raise slowly and let it drip; never press locks"
	}
	p.add(how, WaterGoes(s))
	release := d.Release(p.Tub, h)
	p.DueAt, p.Rank = t.SoakEndAt(now), Coming
	till, waits := d.LiftWaits(p.Tub, release, now)
	if waits {
		p.DueAt = till
		s, _ := d.NextBreak(t.SoakEndAt(now))
		if s.Has(till) && now.Before(s.To) {
			p.first(Line{Text: "come back for it in your " + d.Plan.SayAway(s) + ": it can't soak longer"})
		} else if now.Before(till) {
			p.first(Line{Text: d.Plan.SayOver(s)})
		}
	}
	p.limit(t.LongestAt(), LongestSoak)
	if !p.MustBy.IsZero() && p.MustBy.Before(p.DueAt) { // a hold has moved the end past the longest soak
		p.DueAt = p.MustBy
	}
	sayRelease(d, p, now, release)
	if p.Rank == Coming && !p.DueAt.After(now) {
		p.Rank = Now
	}
	longest := t.LongestAt()
	switch {
	case release.Below(now):
		p.Rank, p.Count = Harm, Count{SinceBelow, release.Likely}
		p.Details = append([]Line{
			{Text: "lift now, or add hot water at the side"},
			{Text: t.Batch + " will want washing again"},
			{Text: "never pour onto the fleece: raise it first"},
		}, p.Details...)
		if e, ok := d.LastDeed(); ok { // it may be what was typed, and not the bath
			if r, reading := e.(session.ReadingTaken); reading && r.Tub == p.Tub {
				p.Details = append(p.Details[:2:2], append([]Line{{Text: "if " + u.TempRead(r.TempC) + " was mistyped", Ways: []Way{{Deed: TakeBack}}}}, p.Details[2:]...)...)
			}
		}
	case p.Rank == Harm && now.Before(release.Early):
		p.Count = Count{ToRelease, release.Early}
	case p.Rank == Harm:
		p.Count = Count{MayBeBelow, release.Early}
	case !longest.IsZero() && !now.Before(longest):
		p.Count = Count{SinceLongest, longest}
	case p.DueAt.After(now):
		p.Count = Count{ToDue, p.DueAt}
	default:
		p.Count = Count{SinceSoak, t.SoakEndAt(now)}
	}
	if p.Rank == Coming && !waits {
		meanwhile := "leave the fleece alone till then"
		if s.SoakMin <= s.Kind.Facts().DunkMin {
			meanwhile = "dunk and press it a few times meanwhile"
			switch {
			case d.FleeceOf(t.Batch).Felting == shed.High:
				meanwhile = "it felts easily: press it under once, no dunking"
			case b.Form == shed.Locks:
				meanwhile = "raise and lower the basket a few times meanwhile"
			}
		}
		p.first(Line{Text: meanwhile})
	}
	if text, aheadMin := kettleAhead(d, p.Tub, now, h); text != "" && measure.MinutesBetween(now, p.DueAt) <= aheadMin {
		if p.Rank == Coming {
			p.first(Line{Text: text})
		} else {
			p.add(text)
		}
	}
	if text, again := Misfilled(d, p.Tub, h); text != "" && p.Rank == Coming {
		p.first(Line{Text: text, Ways: []Way{{Deed: TakeTemp, Then: " once more at " + u.Clock(d.Plan.OnTheWall(again))}}})
	}
	sayOpen(d, p)
	sayUnread(&d, p)
}

// misfillAgain is how long after a reading that speaks of the fill the next one tells how fast the bath
// cools; our own choice.
const misfillAgain = 5 * time.Minute

// Misfilled says that by its one reading a bath was filled other than was told, rather than that it
// cools so fast or so slowly, and when to read it again.
func Misfilled(d session.Day, tub int, h session.HeatModel) (text string, again time.Time) {
	b, by := d.Tubs[tub].Bath, h.Fit.MisfillC()
	if len(b.Readings) != 1 || by == 0 {
		return "", time.Time{}
	}
	text = "the fill was probably cooler than "
	if by > 0 {
		text = "the fill was probably hotter than "
	}
	if b.FillRead {
		return text + "you said", b.Readings[0].At.Add(misfillAgain)
	}
	return text + "reckoned", b.Readings[0].At.Add(misfillAgain)
}

// sayUnread asks for a reading of a bath in which there is more or less than was reckoned with: what went in was warmer
// or cooler, nobody knows by how much.
func sayUnread(d *session.Day, p *Prompt) {
	if b := &d.Tubs[p.Tub].Bath; b.Unread && b.Step.HasRelease() {
		p.first(Line{Text: "filled otherwise than reckoned", Ways: []Way{{Deed: TakeTemp, Then: ", it may be warmer or cooler"}}, Must: true})
	}
}

// sayOpen says first that a wash lies without the cover that its tub usually has; where
// it is to be lifted now that goes before.
func sayOpen(d session.Day, p *Prompt) {
	since, usual := d.Tubs[p.Tub].OpenSince(), d.Plan.Kit.Tubs[p.Tub].Cover
	if p.Rank != Coming || since.IsZero() || usual == cooling.Open || !d.Tubs[p.Tub].Bath.Step.HasRelease() {
		return
	}
	p.first(Line{Text: "open since " + d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(since)) + ", cooling faster",
		Ways: []Way{{Text: session.CoverPhrase(usual) + ", then ", Deed: TellCover}}, Must: true})
}

// sayRelease brings a lift forward to before the bath may come down to its
// release temperature.
func sayRelease(d session.Day, p *Prompt, now time.Time, c session.Crossing) {
	if c.Early.IsZero() {
		return
	}
	p.limit(c.Early, WaxSets)
	warn, _ := d.LiftBy(p.Tub, c, now)
	if !warn.After(now) {
		p.Rank = Harm
	}
	if warn.Before(p.DueAt) { // the bath will not last the soak: come sooner
		p.DueAt = warn
	}
}

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
	if _, washed := t.WashBehind(); washed && facts.Waxy && !washAhead(t) && len(p.Details) > 0 && !Speaks(p.Details, WashAgain) {
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
func drains(s *shed.Step) Line {
	brief := "water outdoors"
	if s.DrainTo == shed.Sink {
		brief = ""
	}
	return Line{Text: WaterGoes(s), Brief: brief, Must: true}
}

// WaterGoes says where the water of a step is emptied.
func WaterGoes(s *shed.Step) string {
	if s.DrainTo == shed.Sink {
		return "this water may go down the sink"
	}
	return s.Kind.Facts().Outdoors
}
