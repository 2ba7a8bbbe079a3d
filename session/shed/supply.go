package shed

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

// DefaultKit is a usable starting point: taps at the temperatures of a usual
// household (common practice, no source), three tubs, one kettle, and the
// usual dose of about 5 mL for 115 g (common practice, no source).
func DefaultKit() Kit {
	return Kit{
		Units: measure.Metric, RoomC: 18, HotTapC: 51, ColdTapC: 12,
		Tubs: append([]Tub(nil), []Tub{ // not kept itself: Go writes code that compares two arrays of it
			{ID: "t1", Name: "North", CapacityL: 12, FillL: 8, Shape: cooling.Deep, Cover: cooling.Lid},
			{ID: "t2", Name: "South", CapacityL: 12, FillL: 8, Shape: cooling.Deep, Cover: cooling.Lid},
			{ID: "t3", Name: "Tray", CapacityL: 8, FillL: 5, Shape: cooling.Shallow, Cover: cooling.Film},
		}...),
		Kettle: Kettle{CapacityL: 1.7, PowerW: 2200},
		Scour:  Scour{Name: "scour", DoseMLPer100G: 4.5}, LeadMin: 5, UpH: 7, BedH: 22, JugL: 0.25,
		Tank: Tank{HeaterW: HeaterFor(measure.Metric)}, // what heats it, once its size is known
	}
}

// MostKettleLoads is the most boils that a bath is made from, for the first
// is cold before the last is poured; our own choice.
const MostKettleLoads = 3

// BoilingC is where the kettle boils at the kit's height, °C.
func (k *Kit) BoilingC() float64 { return cooling.BoilingC(k.AltitudeM) }

// KettleC is how hot water from a kettle that has just boiled comes into the tub, °C; NaN
// without a kettle.
func (k Kit) KettleC() float64 {
	if k.Kettle.CapacityL <= 0 {
		return math.NaN()
	}
	return k.BoiledC()
}

// BoiledC is how hot water that has just boiled comes into the tub, °C, from whatever it
// was boiled in.
func (k *Kit) BoiledC() float64 { return k.BoilingC() - cooling.PourCoolsC }

// KettleMarkL is what the kettle is filled and poured by, L: a mark of its own, or
// of a jug that is finer; 0 pours exactly. The jug's marks only round what is
// measured in the jug.
func (k *Kit) KettleMarkL() float64 { return min(k.JugL, JugFor(k.Units)) }

// KettleText shows water from the kettle.
func (k *Kit) KettleText(l float64) string { return k.Units.Pour(l, k.KettleMarkL()) }

// BoilText is water to boil as hands do it: "1.5 L", "3 kettles", "1 kettle + 1.5 L".
func (k *Kit) BoilText(l float64) string {
	full := math.Floor(l/k.Kettle.CapacityL + 1e-9)
	if !(k.Kettle.CapacityL > 0) || full < 1 || l <= k.Kettle.CapacityL*(1+1e-9) {
		return k.KettleText(l)
	}
	text := fmt.Sprintf("%.0f kettles", full)
	if full == 1 {
		text = "1 kettle"
	}
	if rest := l - full*k.Kettle.CapacityL; rest > max(0.02, k.KettleMarkL()/2) {
		text += " + " + k.KettleText(rest)
	}
	return text
}

// HotWater is the kit's heater as the account of hot water sees it.
func (k *Kit) HotWater() cooling.Tank {
	return cooling.Tank{VolumeL: k.Tank.VolumeL, SetC: k.HotTapC, ColdC: k.ColdTapC, HeaterW: k.Tank.HeaterW}
}

// JugFor is the usual mark of a measuring jug: a quarter litre, a US cup, or a quarter
// of an imperial pint.
func JugFor(u measure.System) float64 {
	switch {
	case u.USVolume():
		return measure.LPerUSCup
	case u.Inches():
		return measure.LPerImpPint / 4
	}
	return 0.25
}

// HeaterFor is the usual power of a tank's heater, W: 3000, and in a US tank 4500 at
// 240 V (both from memory).
func HeaterFor(u measure.System) float64 {
	if u.American() {
		return 4500
	}
	return 3000
}

// In is the kit with its figures in these units; a jug with the usual mark of its
// units gets the usual one of these, for a quarter litre is no number of cups, and
// so do kettle and heater of the usual power.
func (k Kit) In(u measure.System) Kit {
	if k.JugL == JugFor(k.Units) {
		k.JugL = JugFor(u)
	}
	if k.Kettle.PowerW == KettleFor(k.Units) {
		k.Kettle.PowerW = KettleFor(u)
	}
	if k.Tank.HeaterW == HeaterFor(k.Units) {
		k.Tank.HeaterW = HeaterFor(u)
	}
	k.Units = u
	return k
}

// UsualKit is DefaultKit in these units, its sizes and temperatures round in them, as the first start offers them.
func UsualKit(u measure.System) Kit {
	k := DefaultKit().In(u)
	for i, t := range k.Tubs {
		k.Tubs[i].CapacityL, k.Tubs[i].FillL = u.RoundVolumeL(t.CapacityL), u.RoundVolumeL(t.FillL)
	}
	for _, c := range []*float64{&k.RoomC, &k.HotTapC, &k.ColdTapC} {
		*c = u.RoundTempC(*c)
	}
	k.Kettle.CapacityL = u.RoundKettleL(k.Kettle.CapacityL)
	return k
}

// CheckAltitudeM checks the height above the sea.
func (k Kit) CheckAltitudeM(m float64) error {
	if !altitudeM.Contains(m) {
		return fmt.Errorf(k.Units.Spell("the height above the sea should be between %s and %s"), k.Units.Height(altitudeM.Min), k.Units.Height(altitudeM.Max))
	}
	return nil
}

// CheckJugL checks the mark of the measuring jug; 0 pours exactly.
func (k Kit) CheckJugL(l float64) error {
	if l > 0 && l < 0.05 {
		return fmt.Errorf(k.Units.Spell("a jug's mark of %s is finer than anyone pours: give one such as %s, or 0"), k.Units.Volume(l), k.Units.Volume(JugFor(k.Units)))
	}
	return k.volumeIn(k.Units.Spell("a jug's mark of"), l, jugL)
}

// CheckTankL checks the heater's tank; 0 says that it never runs out.
func (k Kit) CheckTankL(l float64) error { return k.volumeIn("a tank of", l, tankL) }

// CheckBinL checks the bin for the overnight presoak; 0: there is none.
func (k Kit) CheckBinL(l float64) error { return k.volumeIn("a bin of", l, tankL) }

// CheckTankW checks the heater's power.
func (k Kit) CheckTankW(w float64) error {
	return powerIn("heater", w, tankW, HeaterFor(k.Units))
}

// mostHeatH is how many hours a heater may take to heat its tank before its power
// is asked about: the slowest do it in a night.
const mostHeatH = 24

// AskTank asks about a tank whose heater is unlikely: one that stores water heats
// it too.
func (k Kit) AskTank() error {
	t := k.Tank
	const whPerLK = 1.16 // heat of water
	hours := t.VolumeL * (k.HotTapC - k.ColdTapC) * whPerLK / t.HeaterW
	switch {
	case t.VolumeL <= 0 || hours <= mostHeatH:
		return nil
	case t.HeaterW <= 0:
		return Unlikelyf("a tank of %s without a heater runs cold and stays cold; its plate says the watts or BTU/h, such as %.0f", k.Units.Volume(t.VolumeL), HeaterFor(k.Units))
	}
	return Unlikelyf("%s takes %.0f hours to heat %s; the plate says the watts or BTU/h, such as %.0f", measure.Power(t.HeaterW), hours, k.Units.Volume(t.VolumeL), HeaterFor(k.Units))
}

// CheckPrice checks one price.
func (k Kit) CheckPrice(v float64) error {
	if !price.Contains(v) {
		return fmt.Errorf("a price should be between 0 and %.0f; 0 leaves it out", price.Max)
	}
	return nil
}

// CheckPowder checks the dose of a powder, g for each 100 g; 0: it is a liquid.
func (k Kit) CheckPowder(g float64) error {
	if !doseML.Contains(g) {
		return fmt.Errorf("the dose of a powder should be between 0 and %s of the raw weight, such as 3; 0 if it is a liquid", k.Units.Percent(doseML.Max/100, 0))
	}
	return nil
}

// MostDoseML is the most scour, or powder in g, for one batch.
func MostDoseML() float64 { return doseML.Max * waxDose(High) * BatchG.Max / 100 }

// waxDose is by how much a fleece's wax changes the dose. Common practice has
// more scour for more wax, without a figure: these are our own.
func waxDose(wax Level) float64 {
	switch wax {
	case Low:
		return 0.8
	case High:
		return 1.25
	case Average:
	}
	return 1
}

// doseFor is the scour for one wash of so much raw fleece, mL, or g of a powder.
func (s Scour) doseFor(rawG float64, wax Level) float64 {
	if s.PowderGPer100G > 0 {
		return rawG / 100 * s.PowderGPer100G * waxDose(wax)
	}
	return rawG / 100 * s.DoseMLPer100G * waxDose(wax)
}

// DoseText shows an amount of scour: in mL and spoons, or cups, or the weight of a powder, to
// a tenth of a gram or a hundredth of an ounce.
func (k Kit) DoseText(amount float64) string {
	if k.Scour.PowderGPer100G > 0 {
		return k.Units.MassTyped(amount)
	}
	return k.Units.Dose(amount)
}

// DoseSumText shows what several washes take of the scour.
func (k *Kit) DoseSumText(amount float64) string {
	if k.Scour.PowderGPer100G > 0 {
		return k.Units.Mass(amount)
	}
	return k.Units.DoseSum(amount)
}

// DoseFor is the scour that is measured out for one wash of so much raw fleece, mL, or
// g of a powder: as DoseText shows it.
func (k *Kit) DoseFor(rawG float64, wax Level) float64 {
	amount := k.Scour.doseFor(rawG, wax)
	if k.Scour.PowderGPer100G > 0 {
		return k.Units.RoundMassFieldG(amount)
	}
	return k.Units.RoundDose(amount)
}

// DoseWhy says why a dose is not the kit's own; "" where it is.
func DoseWhy(wax Level) string {
	switch wax {
	case Low:
		return " (already a fifth down for little wax)"
	case High:
		return " (already a quarter up for heavy wax)"
	case Average:
	}
	return ""
}

// Bare is an amount of money as it was typed, without its sign or its letters.
func (p Prices) Bare(text string) string {
	sign := func(r rune) bool { return unicode.Is(unicode.Sc, r) || r == ' ' }
	text = strings.TrimFunc(text, sign)
	if own := strings.ToLower(p.MoneyWords); own != "" {
		text = strings.TrimSuffix(strings.TrimPrefix(strings.ToLower(text), own), own)
	}
	return strings.TrimFunc(text, sign)
}

// Money shows an amount: "1.20 EUR", "$1.20".
func (p Prices) Money(v float64) string {
	switch {
	case p.MoneyWords == "":
		return fmt.Sprintf("%.2f", v)
	case utf8.RuneCountInString(p.MoneyWords) == 1:
		return fmt.Sprintf("%s%.2f", p.MoneyWords, v)
	}
	return fmt.Sprintf("%.2f %s", v, p.MoneyWords)
}
