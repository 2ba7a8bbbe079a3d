package lookback

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// String is its mark in files; Say has it in a sentence.
func (s Sureness) String() string { return [...]string{"a hint so far", "fairly sure", "sure"}[s] }

// waxWords are fleeces by their wax.
var waxWords = map[shed.Level]string{shed.Low: "low-wax", shed.Average: "medium-wax", shed.High: "heavy-wax"}

// coverOn is a cover that is to lie on a tub.
var coverOn = map[cooling.Cover]string{cooling.Lid: "a lid", cooling.Film: "film"}

// Say is the change, and why with how sure that is, in a person's words and units.
func (a *Advice) Say(u measure.System) (what, why string) {
	what, why = a.say(u)
	return what, why + [...]string{" Just a hint so far.", " A fair sign.", " A clear sign."}[a.Sure]
}

// Brief is the change without what is set now.
func (a *Advice) Brief(u measure.System) string {
	what, _ := a.say(u)
	brief, _, _ := strings.Cut(what, ",")
	return brief
}

func (a Advice) say(u measure.System) (what, why string) {
	mins := func(m float64) string { return measure.Minutes(math.Round(m)) }
	span, on := between(a, mins), ""
	if a.Days > 1 {
		on = fmt.Sprintf(" on %d days", a.Days)
	}
	of := func(one, more string) string {
		if a.Of == 1 {
			return "the one " + one
		}
		return fmt.Sprintf("%d of %s", a.Times, measure.Counted(a.Of, one, more))
	}
	washes, batches := of("wash", "washes"), of("batch", "batches")
	tap := fmt.Sprintf("The hot tap was %s cooler than the kit says in %s, by readings as the fleece went in or before", between(a, func(c float64) string { return u.TempApart(0, c) }), of("fill", "fills")+on)
	switch a.Change {
	case ReachTub:
		return fmt.Sprintf("Time you need to reach a tub: %s, not %s", mins(a.To), mins(a.From)),
			fmt.Sprintf("You came late to %s%s, by %s. Alarms would come %s earlier.", of("lift", "lifts"), on, span, mins(a.To-a.From))
	case HotterStart:
		return fmt.Sprintf("Start the %s at %s, not %s", a.Step, u.Temp(a.To), u.Temp(a.From)),
			fmt.Sprintf("It came down to %s before its soak was over in %s, started as planned and covered.", u.Temp(a.ReleaseC), washes+on)
	case ShorterSoak:
		return fmt.Sprintf("Soak the %s for %s, not %s", a.Step, mins(a.To), mins(a.From)),
			fmt.Sprintf("It came down to %s after %s in %s, and a hotter start wouldn't help.", u.Temp(a.ReleaseC), mins(a.Least), washes+on)
	case LongerSoak:
		return fmt.Sprintf("Soak the %s for %s, not %s", a.Step, mins(a.To), mins(a.From)),
			fmt.Sprintf("%s%s came out still waxy, lifted %s or more above %s.", batches, on, u.TempApart(a.ReleaseC+a.Least, a.ReleaseC), u.Temp(a.ReleaseC))
	case SecondWash:
		return fmt.Sprintf("Wash %s fleece twice", waxWords[a.Wax]),
			fmt.Sprintf("After one wash %s came out still waxy, after two %d of %d clean.", batches, a.Clean, a.CleanOf)
	case PutCover:
		return fmt.Sprintf("Put %s on %s", coverOn[a.Cover], a.TubName),
			fmt.Sprintf("Open, it came down to %s before its soak was over in %s. Covered it would have lasted %s longer, as it cools.", u.Temp(a.ReleaseC), washes+on, span)
	case FewerTubs:
		return fmt.Sprintf("Wash in %s, not %.0f: leave %s out", measure.Counted(int(a.To), "tub", "tubs"), a.From, a.TubName),
			fmt.Sprintf("%s%s stayed in past the longest soak: they waited %s while you were at another tub.", washes, on, span)
	case EarlyReading:
		return fmt.Sprintf("Read the %s within %s", a.Step, mins(a.To)),
			fmt.Sprintf("In %s%s the first reading came after %s or more and was at least %s off the forecast.", washes, on, mins(a.From), u.TempApart(0, a.Least))
	case BoilAsked:
		return fmt.Sprintf("Boil %s before you fill for the %s", u.Volume(a.To), a.Step),
			fmt.Sprintf("%s%s had %s less boiling water than asked for, and started at %s at the coolest; it needs %s.", washes, on, between(a, u.Volume), u.Temp(a.BeganC), u.Temp(a.StartC))
	case MoreBoiling:
		enough := ""
		if a.BathL > 0 {
			enough = fmt.Sprintf(" There was enough for a bath of %s.", u.Volume(a.BathL))
		}
		return fmt.Sprintf("Have %s boiling for the %s, in kettles or pans", u.Volume(a.To), a.Step),
			fmt.Sprintf("With all the hot water there was it started at %s at the coolest in %s; it needs %s.", u.Temp(a.BeganC), washes+on, u.Temp(a.StartC)) + enough
	case AwaitTank:
		return fmt.Sprintf("Wait for the tank before you fill for the %s", a.Step),
			fmt.Sprintf("%s%s started at %s at the coolest, with the hot tap down to %s; it needs %s. The tank would have had enough %s later.", washes, on, u.Temp(a.BeganC), u.Temp(a.From), u.Temp(a.StartC), span)
	case TapAsRead:
		return fmt.Sprintf("Hot tap in the kit: %s, not %s", u.Temp(a.To), u.Temp(a.From)), tap + ". With the right figure you are told to boil enough."
	case TankSize:
		what = "Tank in the kit: " + u.Volume(a.To)
		if a.From > 0 {
			what += ", not " + u.Volume(a.From)
		}
		return what, tap + ", but not at first. A tank of that size had run out. With it in the kit you are told to wait, or to boil more."
	case SecondKettle:
		return u.Spell("Boil a second kettle on another circuit, or a pan on the hob"),
			fmt.Sprintf("%s%s waited %s for water to boil, and the kettle had no time to go on sooner.", of("fill", "fills"), on, span)
	case HandsMinutes:
		return fmt.Sprintf("Plan %s to %s, not %s", minTenths(a.To), a.Act.Shown(), minTenths(a.From)),
			fmt.Sprintf("It took about that long %s%s, where nothing else held you up. Later plans allow for it by themselves.", of("time", "times"), on)
	}
	return "", ""
}

// between shows the least, and the most where that is another.
func between(a Advice, show func(float64) string) string {
	least, most := show(a.Least), show(a.Most)
	if most != least {
		return least + " to " + most
	}
	return least
}

// InKit is the kit with the change; ok is false where it is none of the kit, or its tub is gone.
func (a Advice) InKit(k shed.Kit) (kit shed.Kit, ok bool) {
	i := slices.IndexFunc(k.Tubs, func(t shed.Tub) bool { return t.ID == a.Tub })
	switch {
	case a.Change == ReachTub:
		k.LeadMin = a.To
		return k, true
	case a.Change == TapAsRead:
		k.HotTapC = a.To
		return k, true
	case a.Change == TankSize:
		k.Tank.VolumeL = a.To
		return k, true
	case a.Change == PutCover && i >= 0:
		k.Tubs = slices.Clone(k.Tubs)
		k.Tubs[i].Cover = a.Cover
		return k, true
	case a.Change == FewerTubs && i >= 0 && len(k.Tubs) > 1:
		k.Tubs = slices.Delete(slices.Clone(k.Tubs), i, i+1)
		return k, true
	}
	return k, false
}

// Stands says that a change is still to be made: the kit, or the method of that mark by which
// the days were washed, is as it was then, and no method has been made with it.
func (a Advice) Stands(k shed.Kit, methods []shed.Method, of string) bool {
	if a.Place() == TheMethod {
		return a.standsIn(methods, of)
	}
	i := slices.IndexFunc(k.Tubs, func(t shed.Tub) bool { return t.ID == a.Tub })
	return !(a.Change == ReachTub && k.LeadMin != a.From || a.Change == TapAsRead && k.HotTapC != a.From || a.Change == TankSize && k.Tank.VolumeL != a.From ||
		a.Change == FewerTubs && i < 0 || a.Change == PutCover && (i < 0 || k.Tubs[i].Cover != cooling.Open))
}

func (a Advice) standsIn(methods []shed.Method, of string) bool {
	step := func(m shed.Method, name string, is func(shed.Step) bool) bool {
		return slices.ContainsFunc(m.Steps, func(s shed.Step) bool { return s.Name == name && is(s) })
	}
	has := func(m shed.Method, v float64) bool {
		return step(m, a.Step, func(s shed.Step) bool {
			return a.Change == HotterStart && s.AimC == v || (a.Change == ShorterSoak || a.Change == LongerSoak) && s.SoakMin == v
		})
	}
	stands := false
	for _, m := range methods {
		switch {
		case a.Change != SecondWash && m.ID == of:
			stands = has(m, a.From)
		case a.Change != SecondWash:
			if of == shed.BuiltInMethodID && has(m, a.To) {
				return false
			}
		case m.ID == of && step(m, a.Step, func(s shed.Step) bool { return a.Wax != shed.High || !s.TwiceForHighWax }):
			stands = true
		case step(m, "second "+a.Step, func(s shed.Step) bool { return s.HasRelease() }):
			return false
		}
	}
	return stands
}

// InMethod is the method with the change; ok is false where it is none of the method, or its step
// is gone.
func (a Advice) InMethod(m shed.Method) (method shed.Method, ok bool) {
	i := slices.IndexFunc(m.Steps, func(s shed.Step) bool { return s.Name == a.Step })
	if a.Place() != TheMethod || i < 0 {
		return m, false
	}
	m.Steps = slices.Clone(m.Steps)
	s := &m.Steps[i]
	switch {
	case a.Change == HotterStart:
		s.AimC = a.To
	case a.Change != SecondWash:
		s.SoakMin = a.To
	case a.Wax == shed.High:
		s.TwiceForHighWax = true
	default: // for whatever fleece it is chosen
		second := *s
		s.TwiceForHighWax, second.TwiceForHighWax = false, false
		s.Name, second.Name = "first "+s.Name, "second "+second.Name
		m.Steps = append(m.Steps[:i+1:i+1], append([]shed.Step{second}, m.Steps[i+1:]...)...)
	}
	return m, true
}

// Anew says that the change makes a method beside the one that was used: other fleeces keep that.
func (a Advice) Anew() bool { return a.Change == SecondWash && a.Wax != shed.High }
