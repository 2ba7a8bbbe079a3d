package gear

import (
	"fmt"
	"math"
	"slices"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// The pages of the kit, for the first start and for changing a part of it.

// UnitsPages ask for the units: all at once, or on a second page each by itself. The clock
// stays as it is where only the figures change.
func UnitsPages(u *measure.System) (all *form.Field, apart *form.Page) {
	first := *u
	base := func() int { return baseOf(*u) }
	own, n := base() < 0, len(measure.Bases)
	all = form.AskedField("Units; the others may be typed too", "", false, func() int {
		if i := base(); i >= 0 && !own {
			return i
		}
		return n
	}, func(i int) {
		if i == n && !own {
			*u = first // not of those that the arrow went past
		}
		if own = i == n; own {
			return
		}
		if *u = measure.Bases[i].Of; first.American() || !u.American() {
			*u = u.Timed(first)
		}
	}, unitsWords(measure.Bases[0].Of), unitsWords(measure.Bases[1].Of), unitsWords(measure.Bases[2].Of), "each by itself")
	apart = &form.Page{Title: "Units", Hide: func() bool { return !own }}
	for _, a := range measure.Aspects {
		apart.Fields = append(apart.Fields, form.AskedField(a.Name, "", true, func() int { return a.Of(*u) }, func(i int) { *u = a.With(*u, i) }, a.Answers()...))
	}
	return all, apart
}

// WaterPage asks how warm room and taps are.
func WaterPage(k *shed.Kit) *form.Page {
	return &form.Page{Title: "Room and water", About: "The kit keeps these for later days too, until you change them.", Fields: []*form.Field{
		form.NumberField(k.Units, form.Temperature, "Room temperature", "tubs cool towards it", &k.RoomC, form.KitCheck(shed.Kit.AskRoomC)),
		form.NumberField(k.Units, form.Temperature, "Hot tap", "let it run, then hold a thermometer in a filled jug", &k.HotTapC,
			func(u measure.System, c float64) error { return shed.Kit{Units: u, RoomC: k.RoomC}.AskHotTapC(c) }),
		form.NumberField(k.Units, form.Temperature, "Cold tap", "to mix with, and for the presoak", &k.ColdTapC, form.KitCheck(shed.Kit.CheckColdTapC)),
	}, Leave: func() error {
		if k.ColdTapC >= k.HotTapC {
			return fmt.Errorf("the cold tap (%s) isn't colder than the hot tap (%s): swap them", k.Units.Temp(k.ColdTapC), k.Units.Temp(k.HotTapC))
		}
		return nil
	}}
}

// bathPart of a tub, to the rim, is its usual bath; common practice.
const bathPart = 2.0 / 3

// offeredBathL is the usual bath of a tub as a person would measure it, L: to half a litre,
// or to what US units are rounded to.
func offeredBathL(u measure.System, capacityL float64) float64 {
	l := capacityL * bathPart
	if !u.Inches() && l >= 2 {
		l = math.Round(2*l) / 2
	}
	return u.RoundVolumeL(l)
}

// FollowRims lets the usual bath of new tubs follow the size that is typed, and the
// sizes of the tubs after it, each until it is answered. It is called after each
// change; one of the units moves nothing.
func FollowRims(units *measure.System, tubs []*shed.Tub, pages []*form.Page) func() {
	was := *units
	sizes := make([]float64, len(tubs))
	for i, t := range tubs {
		sizes[i] = t.CapacityL
	}
	return func() {
		moves := *units == was
		was = *units
		for i, t := range tubs {
			if t.CapacityL == sizes[i] {
				continue
			}
			if sizes[i] = t.CapacityL; !moves {
				continue
			}
			pages[i].Fields[tubBathField].Offer(offeredBathL(*units, t.CapacityL))
			for j := i + 1; j < len(tubs); j++ {
				if size := pages[j].Fields[tubSizeField]; !size.Answered {
					size.Offer(t.CapacityL)
				}
			}
		}
	}
}

// Where size and bath stand on a tub's page.
const (
	tubSizeField = 1
	tubBathField = 2
)

// TubSizes are the fields of the size on the pages of some tubs.
func TubSizes(pages []*form.Page) (out []*form.Field) {
	for _, p := range pages {
		out = append(out, p.Fields[tubSizeField])
	}
	return out
}

// TubPage asks for a tub; others are those that its name must differ from.
func TubPage(k *shed.Kit, t *shed.Tub, title string, others func() []shed.Tub) *form.Page {
	name := form.WordsField("Name", "as you would call it across the shed, such as North or Blue", &t.Name, 40, "a tub has no name: give it one, such as North or Blue",
		func(text string) error { return shed.CheckTubName(text, others()) })
	return &form.Page{Title: title, Fields: []*form.Field{
		name,
		form.NumberField(k.Units, form.Volume, "Size, full to the rim", "a small tub cools sooner than a large one", &t.CapacityL, form.KitCheck(shed.Kit.CheckCapacityL)),
		form.NumberField(k.Units, form.Volume, "Usual bath", "water for one basket", &t.FillL, func(u measure.System, l float64) error {
			return shed.Kit{Units: u}.CheckBath(shed.Tub{Name: t.Name, CapacityL: t.CapacityL, FillL: l})
		}),
		form.ChoiceField("Shape", "a bucket is about as deep as it is wide; a tray is wide, shows more water and cools sooner", &t.Shape, true,
			form.Choice[cooling.Shape]{Value: cooling.Deep, Words: "deep, like a bucket"}, form.Choice[cooling.Shape]{Value: cooling.Shallow, Words: "shallow, like a tray"}),
		form.ChoiceField("Usual cover", "matters most in the wash bath: an open tub loses twice the heat or more", &t.Cover, true,
			form.Choice[cooling.Cover]{Value: cooling.Open, Words: "open"}, form.Choice[cooling.Cover]{Value: cooling.Lid, Words: "lid on the rim"},
			form.Choice[cooling.Cover]{Value: cooling.Film, Words: "floating bubble film"}, form.Choice[cooling.Cover]{Value: cooling.LidAndFilm, Words: "film and lid"}),
	}}
}

// KettlePage asks for kettle, height and jug.
func KettlePage(k *shed.Kit) *form.Page {
	return &form.Page{Title: k.Units.Spell("Kettle and jug"), Fields: []*form.Field{
		form.NumberField(k.Units, kettleSize, "Kettle", "gets the bath hotter than the tap; 0 if you have none", &k.Kettle.CapacityL, form.KitCheck(shed.Kit.AskKettleL)),
		usualIn(k, shed.KettleFor, &k.Kettle.PowerW,
			form.NumberField(k.Units, form.Power, "Its power", "printed on its base; says how soon it boils", &k.Kettle.PowerW, form.KitCheck(shed.Kit.CheckKettleW))),
		form.NumberField(k.Units, height, "Height above the sea", "the higher, the cooler water boils", &k.AltitudeM, form.KitCheck(shed.Kit.CheckAltitudeM)),
		jugField(k),
	}}
}

// jugField asks for the jug's mark.
func jugField(k *shed.Kit) *form.Field {
	return usualIn(k, shed.JugFor, &k.JugL,
		form.NumberField(k.Units, jugMark, "Smallest mark of your jug", "water is told in whole marks; 0 for exact figures", &k.JugL, form.KitCheck(shed.Kit.CheckJugL)))
}

// usualIn gives a figure that is the usual one of its units that of others with them:
// a quarter litre is no number of cups, and 2200 W are too much for a socket of 120 V.
func usualIn(k *shed.Kit, usual func(measure.System) float64, v *float64, x *form.Field) *form.Field {
	units, was := x.Units, k.Units
	x.Units = func(u measure.System) {
		if u != was && *v == usual(was) {
			x.Offer(usual(u))
		}
		was = u
		if units != nil {
			units(u)
		}
	}
	return x
}

// doseField asks for the dose, with the usual one beside it.
func doseField(k *shed.Kit) *form.Field {
	why := func(u measure.System) string {
		return "of a concentrated one about " + form.RateText(u, shed.DefaultKit().Scour.DoseMLPer100G)
	}
	x := form.NumberField(k.Units, form.Rate, "Dose", why(k.Units), &k.Scour.DoseMLPer100G, form.KitCheck(shed.Kit.CheckDose))
	units := x.Units
	x.Units = func(u measure.System) {
		x.Why = why(u)
		units(u)
	}
	return x
}

// ScourPage asks for the scour and its dose.
func ScourPage(k *shed.Kit) *form.Page {
	return &form.Page{Title: "Scour", Fields: []*form.Field{
		form.WordsField("What you scour with", "your own word for the washing agent", &k.Scour.Name, 40, ""),
		doseField(k),
		form.NumberField(k.Units, powder.OrNone(), "Dose of a powder", "only if yours is a powder; used instead", &k.Scour.PowderGPer100G, form.KitCheck(shed.Kit.CheckPowder)),
	}}
}

// LeadPage asks what the person needs: minutes to a tub, sleep, a bin for the night.
func LeadPage(k *shed.Kit) *form.Page {
	k.UpH, k.BedH = k.Waking()
	return &form.Page{Title: "Your way to the tubs", Fields: []*form.Field{
		form.NumberField(k.Units, form.Duration, "Time you need to reach a tub", "the alarm before the wax sets comes this much ahead", &k.LeadMin, form.KitCheck(shed.Kit.CheckLeadMin)),
		form.HourField(k.Units, "You are up from", "you aren't asked to weigh at night; a full hour, such as %s", &k.UpH, 7, 23),
		form.HourField(k.Units, "To bed at", "a full hour, such as %s, or one after midnight", &k.BedH, 22, 24),
		form.NumberField(k.Units, form.Volume.OrNone(), "Bin or bath for the overnight presoak", "takes a whole fleece at once; none if the tubs do it", &k.BinL, form.KitCheck(shed.Kit.CheckBinL)),
	}, Leave: func() error { return k.CheckWaking() }}
}

// NewTub is what a further tub begins as: like the last one, under a free name.
func NewTub(k shed.Kit) shed.Tub {
	t := shed.DefaultKit().Tubs[0]
	if n := len(k.Tubs); n > 0 {
		t = k.Tubs[n-1]
	}
	t.ID = ""
	for n := len(k.Tubs) + 1; ; n++ {
		t.Name = fmt.Sprintf("Tub %d", n)
		if !slices.ContainsFunc(k.Tubs, func(o shed.Tub) bool { return o.Name == t.Name }) {
			return t
		}
	}
}

// SaveKit keeps a kit, in the running day too.
func SaveKit(e *base.Env, k shed.Kit) error {
	k = k.Instead(e.Kit, e.Now).Clean()
	if err := k.Validate(); err != nil {
		return err
	}
	if err := e.TraysAreEmpty(k); err != nil {
		return err
	}
	running, today := e.Live.Day.Running(), k
	if running { // asked before anything is kept: a tub in use cannot go
		if now := e.Live.Day.Plan.Kit.Kettle; now.AsideL > 0 && k.Kettle == e.Kit.Kettle {
			today.Kettle = now // until it is said to be back
		}
		if _, err := session.Decide(e.Live.Day, session.ChangeKit{Kit: today}, e.Now); err != nil {
			return err
		}
	}
	if err := e.Keep(func() error { return e.Ledger.SaveKit(k) }); err != nil {
		return fmt.Errorf("the kit couldn't be saved: %w", err)
	}
	e.Kit = k
	if running {
		if err := e.Live.Do(session.ChangeKit{Kit: today}, e.Now); err != nil {
			return err
		}
	}
	e.PutRight()
	return nil
}
