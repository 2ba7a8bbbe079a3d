package lookback

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Said is a finding in words. Bad says that it is a fault, Good that it went well by a thermometer.
type Said struct {
	Text      string
	Bad, Good bool
}

// Say puts findings into a person's words and units; clock shows a time of day.
func Say(found []Finding, u measure.System, clock func(time.Time) string) []Said {
	var out []Said
	for len(found) > 0 {
		n := 1
		for n < len(found) && found[0].alike(&found[n]) {
			n++
		}
		out = append(out, Said{say(found[:n], u, clock), found[0].Kind < Unread, found[0].Kind == Warm && found[0].Washes == 0})
		found = found[n:]
	}
	return out
}

// alike says that two findings are told in one sentence: the same fault of the same step
// at two batches, for which the same is to be done.
func (f *Finding) alike(g *Finding) bool {
	return f.Kind == g.Kind && f.Kept.For == g.Kept.For && f.KeptAt == g.KeptAt && f.PutOffMin > 0 == (g.PutOffMin > 0) && (f.Kind != BegunCool || f.Min > 0 == (g.Min > 0)) && slices.Contains([]Kind{BegunCool, Hung, CutShort, LeftOut, TooLong}, f.Kind) && f.Bath.Step.Name == g.Bath.Step.Name && f.Before.Step.Name == g.Before.Step.Name
}

// fewBatches are named, of more there is their number.
const fewBatches = 5

// batches names those of findings: "A1, A2 and B1", "A1, A2, A3, A4, A5 and 3 more".
func batches(found []Finding) string {
	var names []string
	for _, f := range found {
		if !slices.Contains(names, f.Bath.Batch) {
			names = append(names, f.Bath.Batch)
		}
	}
	if n := len(names) - fewBatches; n > 1 {
		names = append(names[:fewBatches:fewBatches], fmt.Sprintf("%d more", n))
	}
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// say puts findings that are alike, or one, into a sentence.
func say(found []Finding, u measure.System, clock func(time.Time) string) string {
	f := &found[0]
	x, mins := &f.Bath, func(m float64) string { return measure.Minutes(math.Round(m)) }
	most, least := f.Min, f.Min
	for _, g := range found {
		most, least = max(most, g.Min), min(least, g.Min)
	}
	upTo, downTo := "", ""
	if mins(most) != mins(least) {
		upTo, downTo = "up to ", " at the shortest"
	}
	switch f.Kind {
	case CameOut:
		return f.sayOut(u)
	case Below:
		return f.sayBelow(u, clock)
	case BegunCool:
		coolest := f
		for i := range found {
			if g := &found[i]; g.FromC < coolest.FromC {
				coolest = g
			}
		}
		atMost := ""
		if len(found) > 1 {
			atMost = " at the coolest"
		}
		next := "boil all it asks for, wait for the tank, or fill less"
		if coolest.Min > 0 {
			atMost += ", after it had stood for " + mins(coolest.Min)
			next = "lower the fleece in sooner"
		}
		return fmt.Sprintf("The %s of %s started at %s%s; it needs %s, or less wax comes out. Next time %s.", x.Step.Name, batches(found), u.Temp(coolest.FromC), atMost, u.Temp(f.ToC), next)
	case Hung:
		to := "the " + x.Step.Name
		if x.Step.Name == f.Before.Step.Name {
			to = "the same again"
		}
		text := fmt.Sprintf("%s hung %s%s between the %s and %s: ", batches(found), upTo, mins(most), f.Before.Step.Name, to)
		if waits := mins(f.PutOffMin); f.PutOffMin == 0 {
			text += "out of the water fleece cools, and wax sets."
		} else if text += "the wash waited for your break"; len(found) > 1 || waits == mins(f.Min) {
			text += "."
		} else {
			text += " for " + waits + " of it."
		}
		if i := slices.IndexFunc(found, func(g Finding) bool { return g.AloneMin > g.Kept.ForMin }); i >= 0 {
			whose, g := "The", &found[i]
			if len(found) > 1 {
				whose = g.Bath.Batch + "'s"
			}
			return text + fmt.Sprintf(" %s alarm rang at %s but nobody came for %s.", whose, clock(g.Rang.RaisedAt), mins(g.AloneMin))
		}
		if f.PutOffMin > 0 {
			return text
		}
		if f.Kept.ForMin > 0 {
			return text + sayKept(found)
		}
		if again := x.StepIndex <= f.Before.StepIndex; again && x.Step.HasRelease() { // nobody knew of it at the lift
			return text + " Next time get its water as soon as you find it waxy."
		} else if again {
			return text + " Next time get its water at once."
		}
		return text + " Next time have its water ready when you lift."
	case TooFar:
		word, next := "cooler", "warmer"
		if f.ToC > f.FromC {
			word, next = "hotter", "cooler"
		}
		return fmt.Sprintf("%s's %s was %s %s than the bath before; the method allows %s, and more may felt it. Next time mix it %s.",
			x.Batch, x.Step.Name, u.TempApart(f.FromC, f.ToC), word, u.TempApart(0, x.Step.MaxGapC), next)
	case CutShort:
		return fmt.Sprintf("The %s of %s was cut short, to %s%s; the least is %s: %s may be left.", x.Step.Name, batches(found), mins(least), downTo, mins(x.Step.ShortestMin), f.left())
	case LeftOut:
		return fmt.Sprintf("The %s of %s was skipped: %s may be left.", x.Step.Name, batches(found), f.left())
	case TooLong:
		return fmt.Sprintf("The %s of %s lasted %s%s; the longest is %s.", x.Step.Name, batches(found), upTo, mins(most), mins(x.Step.LongestMin))
	case Unread:
		switch {
		case f.Of == 1:
			return "The wash had no reading: its temperature is an estimate."
		case f.Washes == 1:
			return fmt.Sprintf("1 of %d washes had no reading: its temperature is an estimate.", f.Of)
		}
		return fmt.Sprintf("%d of %d washes had no reading: their temperatures are estimates.", f.Washes, f.Of)
	case Warm:
		every, by := "Every wash", "at least"
		switch {
		case f.Washes == f.Of:
			every = "No wash had a reading. By estimate every one"
		case f.Washes > 0:
			every = "By readings and estimates every wash"
		}
		if f.Washes > 0 {
			by = "about"
		}
		return fmt.Sprintf("%s stayed above its lift-by temperature, by %s %s (%s, %s).", every, by, u.TempApart(f.LowC, x.Step.ReleaseC), x.TubName, x.Batch)
	}
	return ""
}

// sayKept is what kept the water of fleece that hung, and what would have helped.
func sayKept(found []Finding) string {
	f, most := &found[0], 0.0
	for _, g := range found {
		most = max(most, g.Kept.ForMin)
	}
	again, next := f.Bath.StepIndex <= f.Before.StepIndex, "" // nobody knew of it at the lift
	what := [...]string{ForKettle: "Its water had to boil", ForTank: "The tank was heating up", ForWarmth: "Its water was too cool", ForYou: "You were at " + f.KeptAt, OnHold: "It was on hold", PutOff: ""}[f.Kept.For]
	switch {
	case f.Kept.For == ForKettle && f.KeptAt != "":
		what = "The kettle was on for " + f.KeptAt
		next = "start the tubs further apart, or boil on a second kettle on another circuit"
	case f.Kept.For == ForKettle && !again:
		next = "put the kettle on sooner"
	case f.Kept.For == ForYou:
		next = "start the tubs further apart"
	case f.Kept.For == ForTank || f.Kept.For == ForWarmth:
		next = "boil more of its water"
	}
	text := fmt.Sprintf(" %s for %s of it.", what, rounded(most))
	if next != "" {
		text += " Next time " + next + "."
	}
	return text
}

// left is what a bath takes out, and without it may be left.
func (f *Finding) left() string {
	switch s := f.Bath.Step; {
	case s.HasRelease():
		return "wax"
	case s.Kind.Facts().NoHotter:
		return "scour"
	}
	return "soil"
}

// sayOut: how a batch came out, beside the temperatures and minutes of its washes.
func (f *Finding) sayOut(u measure.System) string {
	temp := func(readC, forecastC float64) string {
		switch {
		case measure.Finite(readC):
			return u.TempRead(readC)
		case measure.Finite(forecastC):
			return "about " + u.Temp(forecastC)
		}
		return "an unknown temperature"
	}
	out := f.Out
	out.Found &^= session.BagEmpty
	text := f.Bath.Batch + " came out " + out.String() + "."
	var washes []string
	for i, x := range f.Baths {
		went := "its " + x.Step.Name + " went"
		if i > 0 && f.Baths[i-1].StepIndex == x.StepIndex {
			went = "then again"
		}
		washes = append(washes, fmt.Sprintf("%s from %s to %s in %s", went, temp(x.SinkReadC, x.SinkForecastC), temp(x.LiftReadC, x.LiftForecastC), rounded(ShownMin(Stretch{x.SunkAt, x.LiftedAt}))))
	}
	if len(washes) == 0 {
		return text
	}
	washes[0] = "Its" + washes[0][len("its"):]
	return text + " " + strings.Join(washes, ", ") + "."
}

// sayBelow: what happened, why, what would have helped, what to do with the batch.
func (f *Finding) sayBelow(u measure.System, clock func(time.Time) string) string {
	x, low := &f.Bath, "about "+u.Temp(f.LowC)
	if f.LowRead {
		low = u.TempRead(f.LowC)
	}
	text := fmt.Sprintf("%s was about %s below %s with %s in, from %s, down to %s", x.TubName, measure.Minutes(max(1, math.Round(f.Min))), u.Temp(x.Step.ReleaseC), x.Batch, clock(f.DownAt), low)
	var why, next []string
	if f.OffMin > 0 {
		why = append(why, fmt.Sprintf("its cover was off for %s from %s", measure.Minutes(math.Round(f.OffMin)), clock(f.OffAt)))
		next = append(next, "leave the cover on")
	}
	if f.AloneMin > 0 {
		ring := "the alarm rang"
		if f.Rang.Kind == session.NotLifted { // not for the cooling
			ring = "its soak was over, the alarm rang"
		}
		why = append(why, fmt.Sprintf("%s at %s but nobody came for %s", ring, clock(f.Rang.RaisedAt), measure.Minutes(math.Round(f.AloneMin))))
	}
	if len(why) > 0 {
		text += ": " + strings.Join(why, ", and ")
	}
	if lasts := math.Floor(measure.MinutesBetween(x.SunkAt, f.DownAt)); lasts >= 1 {
		if x.Step.LongestMin > 0 {
			lasts = min(lasts, x.Step.LongestMin)
		}
		next = append(next, fmt.Sprintf("lift within %s", measure.Minutes(lasts)))
	}
	if f.HotterC > 0 {
		next = append(next, fmt.Sprintf("start %s hotter", u.TempApart(0, math.Ceil(f.HotterC))))
	}
	text += ". "
	if len(next) > 0 {
		text += "Next time " + strings.Join(next, ", or ") + ". "
	}
	switch {
	case f.WashedAgain:
		return text + x.Batch + " was washed again."
	case f.Out.Found&session.StillWaxy != 0:
		return text + "Wash " + x.Batch + " again."
	case f.Out.Found&session.FoundClean != 0:
		return text + x.Batch + " came out clean all the same."
	}
	return text + "Feel " + x.Batch + " for wax: if sticky, wash it again."
}

// Who names what waited: its tub, or the batch that waited for one.
func (w Wait) Who(d session.Day) string {
	if w.For == ForTub {
		return w.Batch
	}
	return d.TubName(w.Tub)
}

// waitedTo is what a tub waited for that waited for a deed.
var waitedTo = map[shed.Action]string{shed.LoadNext: "for its next batch", shed.FillTub: "to be filled", shed.SinkIn: "for its fleece", shed.Lift: "to be lifted",
	shed.DrainTub: "to be emptied", shed.SpinFibre: "to be spin-dried", shed.RackFibre: "to go on the rack"}

// What says what it waited for, and why where that is another thing; of the cause that took but
// a part of it, how much.
func (w Wait) What(d session.Day) string {
	to, part := waitedTo[w.Act], ""
	if of := rounded(w.ForMin); of != rounded(w.Min()) {
		part = " for " + of + " of it"
	}
	switch w.For {
	case ForYou:
		return to + ": you were at " + d.TubName(w.AtTub) + part
	case ForNobody:
		if part == "" && !w.Never {
			return to + ": you came late"
		}
		return to + ": nobody came" + part
	case ForTub:
		return "for a tub"
	case ForKettle:
		if w.AtTub >= 0 {
			return to + ": the kettle was on for " + d.TubName(w.AtTub) + part
		}
		return to + ": its kettle boiled" + part
	case ForTank:
		return to + ": the tank heated up" + part
	case ForWarmth:
		return to + ": its water was too cool" + part
	case ForSpin:
		return to + ": it was " + d.TubName(w.AtTub) + "'s turn in the spin dryer" + part
	case OnHold:
		return to + ": on hold" + part
	case ForBreak:
		return to + ": you had a break" + part
	case PutOff:
		return to + ": it waited for your break" + part
	case ForQuiet:
		return to + ": quiet hours" + part
	}
	return ""
}
