package gear

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// The pages of the kit that a plan wants to know: the heater's tank, the rack,
// the prices.

// height is the height above the sea, in m or ft.
var height = form.Quantity{
	Unit: func(u measure.System) string {
		if u.Inches() {
			return "ft"
		}
		return "m"
	},
	Show: func(u measure.System, v float64) string {
		return strings.Fields(u.Height(v))[0]
	},
	Parse: measure.System.ParseHeightM,
	Round: nil,
}

// jugMark is the mark of a measuring jug, in L, US cups or pints.
var jugMark = form.Quantity{Unit: measure.System.JugUnit, Show: measure.System.MarkField, Parse: measure.System.ParseJugL, Round: nil}

// kettleSize is a kettle's, in the same.
var kettleSize = form.Quantity{Unit: measure.System.JugUnit, Show: measure.System.MarkField, Parse: measure.System.ParseJugL, Round: measure.System.RoundKettleL}

// powder is grams of scour for each 100 g.
var powder = form.Quantity{
	Unit: func(measure.System) string { return "% of the raw weight" },
	Show: func(_ measure.System, v float64) string { return form.PlainNumber(v) },
	Parse: func(u measure.System, s string) (float64, error) {
		return u.ParseNumber(strings.TrimSuffix(strings.TrimSpace(s), "%"), "3")
	},
	Round: nil,
}

// price is in the person's own money: for what, and what there is of that in US
// units by what there is in metric ones.
func price(metric, us string, more float64) form.Quantity {
	per := func(u measure.System) (string, float64) {
		if u.USVolume() {
			return us, more
		}
		return metric, 1
	}
	return form.Quantity{
		Unit: func(u measure.System) string { what, _ := per(u); return what },
		Show: func(u measure.System, v float64) string {
			_, n := per(u)
			return form.PlainNumber(draw.RoundTo(v*n, 1e-4))
		},
		Parse: func(u measure.System, s string) (float64, error) {
			_, n := per(u)
			v, err := u.ParseNumber(s, "0.35")
			return v / n, err
		},
		Round: nil,
	}
}

var (
	waterPrice = price("for a cubic metre (1000 L)", "for 1000 gal", measure.LPerUSGal)
	powerPrice = price("for a kWh", "for a kWh", 1)
	gasPrice   = price("for a kWh", "for a therm", measure.KWhPerTherm)
	scourPrice = price("for a litre", "for a gal", measure.LPerUSGal)
)

// TankPage asks for the tank of the hot tap.
func TankPage(k *shed.Kit) *form.Page {
	return &form.Page{Title: "Hot water tank", Fields: []*form.Field{
		form.NumberField(k.Units, form.Volume.OrNone(), "Tank", "what the heater stores, as on its plate; none if the hot tap never runs cool", &k.Tank.VolumeL, form.KitCheck(shed.Kit.CheckTankL)),
		usualIn(k, shed.HeaterFor, &k.Tank.HeaterW,
			form.NumberField(k.Units, form.Power, "Its heater", "says how soon it is hot again; kW or BTU/h will do", &k.Tank.HeaterW, form.KitCheck(shed.Kit.CheckTankW))),
	}, Leave: func() error { return k.AskTank() }}
}

func pricesPage(k *shed.Kit) *form.Page {
	return &form.Page{Title: "Prices", Fields: []*form.Field{
		form.WordsField("Your money", "its sign or letters; goes beside the sums", &k.Prices.MoneyWords, 8, ""),
		form.NumberField(k.Units, waterPrice.InMoney(&k.Prices), "Water", "0 leaves it out", &k.Prices.PerM3, form.KitCheck(shed.Kit.CheckPrice)),
		form.NumberField(k.Units, powerPrice.InMoney(&k.Prices), "Electricity", "heats tank and kettle; 0 leaves it out", &k.Prices.PerKWh, form.KitCheck(shed.Kit.CheckPrice)),
		form.NumberField(k.Units, gasPrice.InMoney(&k.Prices), "Gas", "if it heats the tank; 0 if electricity does", &k.Prices.PerKWhGas, form.KitCheck(shed.Kit.CheckPrice)),
		form.NumberField(k.Units, scourPrice.InMoney(&k.Prices), "Scour", "0 leaves it out", &k.Prices.PerLScour, form.KitCheck(shed.Kit.CheckPrice)),
	}}
}

// scalesPage puts the names and steps of the scales right that weights were read on.
func scalesPage(k *shed.Kit, now time.Time) *form.Page {
	was, p := *k, &form.Page{Title: "Scales", About: "A name corrected here changes in the weights too."}
	to := slices.Clone(k.Scales)
	for i, s := range k.Scales {
		p.Fields = append(p.Fields, form.CheckedField(fmt.Sprintf("Scale %d and its step", i+1), form.ScaleSuch(k.Units), form.ScaleText(k.Units, s), func(text string) error {
			if text == form.ScaleText(k.Units, s) {
				to[i] = s
				return nil
			}
			read, err := form.ReadScale(shed.Kit{Units: k.Units}, text)
			if err == nil {
				to[i] = read
			}
			return err
		}))
	}
	p.Leave = func() error {
		k.Scales, k.Names = was.Scales, was.Names
		for i, s := range to {
			for j, o := range was.Scales {
				if i != j && s.Name == o.Name && to[j].Name != o.Name {
					return fmt.Errorf("%s was another scale's name until now: its weights would be taken for this one's; choose another", s.Name)
				}
			}
		}
		for i := len(to) - 1; i >= 0; i-- { // two that become one: the later goes
			*k = k.RenameScale(i, to[i], now)
		}
		return nil
	}
	return p
}

func rackPage(k *shed.Kit) *form.Page {
	old := k.Trays // what is half typed loses no mark
	trays := form.CheckedField("Trays, each with the batches it has room for", "such as: top 2, tower 1 with 4 layers (of locks, one over another); empty: not counted", TrayWords(k.Trays), func(text string) error {
		trays, err := ReadTrays(text, old)
		if err != nil {
			return err
		}
		trial := shed.DefaultKit()
		trial.Trays = trays
		if err := trial.Clean().Validate(); err != nil {
			return err
		}
		k.Trays = trial.Trays
		return nil
	})
	trays.Live = true
	return &form.Page{Title: "Drying rack", Fields: []*form.Field{trays}}
}

// TrayWords is trays as ReadTrays reads them: "top 2, tower 1 with 4 layers".
func TrayWords(trays []shed.Tray) string {
	var parts []string
	for _, t := range trays {
		text := fmt.Sprintf("%s %d", t.Name, t.Places)
		if t.Layers > 0 {
			text += " with " + base.Counted(t.Layers, "layer", "layers")
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, ", ")
}

// ReadTrays reads what TrayWords writes; a semicolon parts trays as a comma does.
// A tray keeps its mark as long as it keeps its name.
func ReadTrays(text string, old []shed.Tray) ([]shed.Tray, error) {
	var out []shed.Tray
	for part := range strings.SplitSeq(strings.ReplaceAll(measure.CleanText(text, 1000), ";", ","), ",") {
		words, layers := trayLayers(strings.Fields(part))
		if len(words) == 0 {
			continue
		}
		t := shed.Tray{Name: strings.Join(words, " "), Places: 1, Layers: layers}
		if n, err := strconv.Atoi(words[len(words)-1]); err == nil {
			if len(words) == 1 {
				return nil, fmt.Errorf("\"%s\" is a number without a name: put the tray's name first, such as top %d", words[0], n)
			}
			t.Name, t.Places = strings.Join(words[:len(words)-1], " "), n
		}
		if i := slices.IndexFunc(old, func(o shed.Tray) bool { return strings.EqualFold(o.Name, t.Name) }); i >= 0 {
			t.ID = old[i].ID
		} else if err := trayName(t.Name); err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	if len(out) == len(old) { // a tray that was only renamed stays the one on which things lie
		for i := range out {
			gone := !slices.ContainsFunc(out, func(t shed.Tray) bool { return t.ID == old[i].ID })
			if out[i].ID == "" && gone {
				out[i].ID = old[i].ID
			}
		}
	}
	return out, nil
}

// trayName asks about a name that has a number before another word: most
// likely two trays, or the room of one written first.
func trayName(name string) error {
	words := strings.Fields(name)
	for i, w := range words[:len(words)-1] {
		switch _, err := strconv.Atoi(w); {
		case err != nil:
		case i == 0:
			return fmt.Errorf("\"%s\" begins with a number: put the name first, then how many batches it has room for, such as %s %s", name, strings.Join(words[1:], " "), w)
		default:
			return fmt.Errorf("\"%s\" has a number in the middle: put a comma between trays, such as top 2, bottom 1", name)
		}
	}
	return nil
}

// trayLayers takes "with 4 layers" off the end of a tray's words.
func trayLayers(words []string) (rest []string, layers int) {
	n := len(words)
	if n < 2 || words[n-1] != "layers" && words[n-1] != "layer" {
		return words, 0
	}
	layers, err := strconv.Atoi(words[n-2])
	if err != nil {
		return words, 0
	}
	rest = words[:n-2]
	if n := len(rest); n > 0 && rest[n-1] == "with" {
		rest = rest[:n-1]
	}
	return rest, layers
}
