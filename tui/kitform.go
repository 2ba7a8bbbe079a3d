package tui

import (
	"fmt"
	"slices"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// The pages of the kit, for the first start and for changing a part of it.

func unitsField(u *measure.System) *field {
	return choiceField("Units", "all figures are shown in these; you may always type the others", u, false,
		choice[measure.System]{measure.Metric, unitsWords(measure.Metric)}, choice[measure.System]{measure.US, unitsWords(measure.US)})
}

func waterPage(k *shed.Kit) *page {
	return &page{title: "Room and water", about: "The kit keeps these, for the days to come too, until they are changed.", fields: []*field{
		numberField(k.Units, temperature, "Room temperature", "tubs cool towards it", &k.RoomC, kitCheck(shed.Kit.AskRoomC)),
		numberField(k.Units, temperature, "Hot tap", "let it run, then hold a thermometer in a filled jug", &k.HotTapC,
			func(u measure.System, c float64) error { return shed.Kit{Units: u, RoomC: k.RoomC}.AskHotTapC(c) }),
		numberField(k.Units, temperature, "Cold tap", "to mix with, and for the presoak", &k.ColdTapC, kitCheck(shed.Kit.CheckColdTapC)),
	}, leave: func() error {
		if k.ColdTapC >= k.HotTapC {
			return fmt.Errorf("the cold tap (%s) is not colder than the hot tap (%s): swap them", k.Units.Temp(k.ColdTapC), k.Units.Temp(k.HotTapC))
		}
		return nil
	}}
}

// bathPart of a tub, to the rim, is its usual bath; common practice.
const bathPart = 2.0 / 3

// followRims lets the usual bath of new tubs follow the size that is typed, and the
// sizes of the tubs after it, each until it is typed itself. It is called after each
// change; one of the units moves nothing.
func followRims(units *measure.System, tubs []*shed.Tub, pages []*page) func() {
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
			pages[i].fields[tubBathField].offer(units.RoundVolumeL(t.CapacityL * bathPart))
			for j := i + 1; j < len(tubs); j++ {
				pages[j].fields[tubSizeField].offer(t.CapacityL)
			}
		}
	}
}

// Where they stand on a tub's page.
const (
	tubSizeField = 1
	tubBathField = 2
)

// tubPage asks for a tub; others are those that its name must differ from.
func tubPage(k *shed.Kit, t *shed.Tub, title string, others func() []shed.Tub) *page {
	name := wordsField("Name", "as you would call it across the shed, such as North or Blue", &t.Name, 40, "a tub has no name: give it one, such as North or Blue",
		func(text string) error { return shed.CheckTubName(text, others()) })
	return &page{title: title, fields: []*field{
		name,
		numberField(k.Units, volume, "Size, full to the rim", "a small tub cools sooner than a large one", &t.CapacityL, kitCheck(shed.Kit.CheckCapacityL)),
		numberField(k.Units, volume, "Usual bath", "water for one basket", &t.FillL, func(u measure.System, l float64) error {
			return shed.Kit{Units: u}.CheckBath(shed.Tub{Name: t.Name, CapacityL: t.CapacityL, FillL: l})
		}),
		choiceField("Shape", "a bucket is about as deep as it is wide; a tray is wide, shows more water and cools sooner", &t.Shape, true,
			choice[cooling.Shape]{cooling.Deep, "deep, like a bucket"}, choice[cooling.Shape]{cooling.Shallow, "shallow, like a tray"}),
		choiceField("Usual cover", "matters most in the wash bath: an open tub loses twice the heat or more", &t.Cover, true,
			choice[cooling.Cover]{cooling.Open, "open"}, choice[cooling.Cover]{cooling.Lid, "lid on the rim"},
			choice[cooling.Cover]{cooling.Film, "floating bubble film"}, choice[cooling.Cover]{cooling.LidAndFilm, "film and lid"}),
	}}
}

func kettlePage(k *shed.Kit) *page {
	return &page{title: k.Units.Spell("Kettle and jug"), fields: []*field{
		numberField(k.Units, kettleSize, "Kettle", "brings the bath above the hot tap; 0 if you have none", &k.Kettle.CapacityL, kitCheck(shed.Kit.CheckKettleL)),
		usualIn(k, shed.KettleFor, &k.Kettle.PowerW,
			numberField(k.Units, power, "Its power", "printed on its base; says how soon it boils", &k.Kettle.PowerW, kitCheck(shed.Kit.CheckKettleW))),
		numberField(k.Units, height, "Height above the sea", "the higher, the cooler water boils", &k.AltitudeM, kitCheck(shed.Kit.CheckAltitudeM)),
		jugField(k),
	}}
}

// jugField asks for the jug's mark.
func jugField(k *shed.Kit) *field {
	return usualIn(k, shed.JugFor, &k.JugL,
		numberField(k.Units, jugMark, "Mark of your measuring jug", "water is given in whole marks of it; 0 gives it exactly", &k.JugL, kitCheck(shed.Kit.CheckJugL)))
}

// usualIn gives a figure that is the usual one of its units that of others with them:
// a quarter litre is no number of cups, and 2200 W are too much for a socket of 120 V.
func usualIn(k *shed.Kit, usual func(measure.System) float64, v *float64, x *field) *field {
	units, was := x.units, k.Units
	x.units = func(u measure.System) {
		if u != was && *v == usual(was) {
			x.offer(usual(u))
		}
		was = u
		if units != nil {
			units(u)
		}
	}
	return x
}

// doseField asks for the dose, with the usual one beside it.
func doseField(k *shed.Kit) *field {
	why := func(u measure.System) string {
		return "of a concentrated one about " + rateText(u, shed.DefaultKit().Scour.DoseMLPer100G)
	}
	x := numberField(k.Units, rate, "Dose", why(k.Units), &k.Scour.DoseMLPer100G, kitCheck(shed.Kit.CheckDose))
	units := x.units
	x.units = func(u measure.System) {
		x.why = why(u)
		units(u)
	}
	return x
}

func scourPage(k *shed.Kit) *page {
	return &page{title: "Scour", fields: []*field{
		wordsField("What you scour with", "your own word for the washing agent", &k.Scour.Name, 40, ""),
		doseField(k),
		numberField(k.Units, powder.orNone(), "Dose of a powder", "only if yours is one; it counts then", &k.Scour.PowderGPer100G, kitCheck(shed.Kit.CheckPowder)),
	}}
}

func leadPage(k *shed.Kit) *page {
	k.UpH, k.BedH = k.Waking()
	return &page{title: "Your way to the tubs", fields: []*field{
		numberField(k.Units, duration, "Time you need to reach a tub", "the alarm before the wax sets comes this much ahead", &k.LeadMin, kitCheck(shed.Kit.CheckLeadMin)),
		hourField("You are up from", "nobody asks you to weigh at night; a full hour, such as 7 or 7 am", &k.UpH, 23),
		hourField("To bed at", "a full hour, such as 22 or 10 pm; 1 is after midnight", &k.BedH, 24),
		numberField(k.Units, volume.orNone(), "Bin or bath for the overnight presoak", "takes a whole fleece at once; none if the tubs do it", &k.BinL, kitCheck(shed.Kit.CheckBinL)),
	}, leave: func() error { return k.CheckWaking() }}
}

// newTub is what a further tub begins as: like the last one, under a free name.
func newTub(k shed.Kit) shed.Tub {
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

// saveKit keeps a kit, in the running day too.
func saveKit(e *env, k shed.Kit) error {
	k = k.Instead(e.kit, e.now).Clean()
	if err := k.Validate(); err != nil {
		return err
	}
	if err := e.traysAreEmpty(k); err != nil {
		return err
	}
	running := e.live.day.Running()
	if running { // asked before anything is kept: a tub in use cannot go
		if _, err := session.Decide(e.live.day, session.ChangeKit{Kit: k}, e.now); err != nil {
			return err
		}
	}
	if err := e.keep(func() error { return e.Ledger.SaveKit(k) }); err != nil {
		return fmt.Errorf("the kit could not be saved: %w", err)
	}
	e.kit = k
	if running {
		if err := e.live.do(session.ChangeKit{Kit: k}, e.now); err != nil {
			return err
		}
	}
	e.putRight()
	return nil
}
