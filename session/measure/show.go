package measure

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// unknown stands where a figure is not a finite number: a person must never
// read NaN as a temperature.
const unknown = "unknown"

// Temp shows a temperature in °C: "63 °C", "145 °F". Whole degrees.
func (s System) Temp(c float64) string {
	return figure(s.Degrees(c), 0, s.TempUnit())
}

// TempWhole is Temp without its unit.
func (s System) TempWhole(c float64) string {
	if f := s.Degrees(c); finite(f) {
		return decimal(f, 0)
	}
	return unknown
}

// TempUp shows a temperature in °C as the next whole degree above it.
func (s System) TempUp(c float64) string {
	return figure(math.Ceil(s.Degrees(c)-1e-6), 0, s.TempUnit())
}

// TempFine shows a temperature in °C as finely as it is worked out, to a tenth with its
// zero or a whole degree Fahrenheit: "63.0 °C", "145 °F".
func (s System) TempFine(c float64) string {
	f := s.Degrees(c)
	switch {
	case !finite(f):
		return unknown
	case s.Fahrenheit():
		return s.Temp(c)
	}
	return noMinusZero(strconv.FormatFloat(f, 'f', 1, 64)) + " " + s.TempUnit()
}

// TempRead shows a reading in °C as a thermometer has it: "63 °C", "64.5 °C".
func (s System) TempRead(c float64) string { return figure(s.Degrees(c), 1, s.TempUnit()) }

// TempDelta shows a difference of temperatures in °C, to one decimal: "1.5 °C",
// "2.7 °F".
func (s System) TempDelta(c float64) string {
	if s.Fahrenheit() {
		c = DeltaCToF(c)
	}
	return figure(c, 1, s.TempUnit())
}

// TempMiss is TempDelta beside temperatures that TempFine shows: in °F in whole degrees.
func (s System) TempMiss(c float64) string {
	switch f := math.Round(DeltaCToF(c)); {
	case !s.Fahrenheit() || !finite(c):
		return s.TempDelta(c)
	case f < 1:
		return "under 1 °F"
	default:
		return figure(f, 0, s.TempUnit())
	}
}

// TempBy is TempDelta in whole degrees, 1 at the least.
func (s System) TempBy(c float64) string {
	if s.Fahrenheit() {
		c = DeltaCToF(c)
	}
	return figure(max(1, c), 0, s.TempUnit())
}

// TempApart shows how far apart two temperatures in °C read, as Temp shows them.
func (s System) TempApart(aC, bC float64) string {
	return figure(math.Abs(math.RoundToEven(s.Degrees(aC))-math.RoundToEven(s.Degrees(bC))), 0, s.TempUnit())
}

// spoonfuls is the largest dose anyone would count in teaspoons of 5 mL.
const spoonfuls = 12

// Teaspoons in the larger US measures of a dose.
const tspPerTbsp, tspPerQuarterCup, tspPerCup = 3, 12, 48

// Dose shows a dose in mL. Metric: "10 mL (2 tsp)" with teaspoons of 5 mL, left out
// where they are too few or too many to count. US, in US spoons and cups to the
// quarter: "2 tsp", from a tablespoon "1 1/2 tbsp" or "1 tbsp + 2 tsp", from a quarter
// of a cup "2 cups + 2 1/4 tbsp".
func (s System) Dose(mL float64) string {
	if !finite(mL) {
		return unknown
	}
	if s.USVolume() {
		tsp := roundTsp(math.Abs(mL) / MLPerUSTsp)
		if tsp == 0 && mL > 0 {
			return "under 1/8 tsp"
		}
		if mL < 0 && tsp > 0 {
			return "-" + spoons(tsp)
		}
		return spoons(tsp)
	}
	q, decimals := quarters(mL/MLPerMetricTsp), 0
	switch {
	case math.Abs(mL) < 100 && math.Abs(mL-q/4*MLPerMetricTsp) < 1e-9: // as spoons measure it
		decimals = 2
	case round(math.Abs(mL), 1) < 10:
		decimals = 1
	}
	text := figure(mL, decimals, "mL")
	if q > 0 && q <= spoonfuls*4 {
		text += " (" + quarterText(q/4) + " tsp)"
	}
	return text
}

// quarterTbsp is in teaspoons.
const quarterTbsp = tspPerTbsp / 4.0

// roundTsp is a dose as finely as it is measured: to a quarter of a teaspoon, from a
// quarter of a cup to a quarter of a tablespoon.
func roundTsp(tsp float64) float64 {
	rounded := quarters(tsp) / 4
	if rounded >= tspPerQuarterCup {
		rounded = nearest(tsp, quarterTbsp)
	}
	return rounded
}

// spoons writes a rounded dose.
func spoons(tsp float64) string {
	if tsp < tspPerTbsp {
		return quarterText(tsp) + " tsp"
	}
	var parts []string
	rest := math.Mod(tsp, tspPerQuarterCup)
	if cups := (tsp - rest) / tspPerCup; cups > 0 {
		parts = append(parts, usMeasures.smalls(cups))
	}
	odd := math.Mod(rest, tspPerTbsp)
	if math.Mod(odd, quarterTbsp) == 0 {
		odd = 0
	}
	if tbsp := (rest - odd) / tspPerTbsp; tbsp > 0 {
		parts = append(parts, quarterText(tbsp)+" tbsp")
	}
	if odd > 0 {
		parts = append(parts, quarterText(odd)+" tsp")
	}
	return strings.Join(parts, " + ")
}

// RoundDose is a dose in mL as it is measured out: in quarters of a teaspoon where
// they can be counted, in US units by spoons and cups. Dose shows it exactly, and what
// is added up is what was shown.
func (s System) RoundDose(mL float64) float64 {
	switch tsp := roundTsp(mL / MLPerUSTsp); {
	case s.USVolume() && tsp > 0:
		return tsp * MLPerUSTsp
	case s.USVolume():
		return mL
	}
	switch q := quarters(mL / MLPerMetricTsp); {
	case q > 0 && q <= spoonfuls*4:
		return q / 4 * MLPerMetricTsp
	case round(math.Abs(mL), 1) < 10:
		return round(mL, 1)
	}
	return round(mL, 0)
}

func quarters(tsp float64) float64 { return math.Round(tsp * 4) }

// quarterText writes a number as measuring spoons and cups are marked: "1/4", "2",
// "2 1/2".
func quarterText(v float64) string { return fraction(v, 4) }

// fraction writes a number in whole halves, quarters or eighths, as many as parts says.
func fraction(v, parts float64) string {
	n, sign := math.Round(v*parts), ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, above := decimal(math.Floor(n/parts), 0), math.Mod(n, parts)
	for above > 0 && math.Mod(above, 2) == 0 {
		above, parts = above/2, parts/2
	}
	switch {
	case above == 0:
		return sign + whole
	case whole == "0":
		whole = ""
	default:
		whole += " "
	}
	return sign + whole + decimal(above, 0) + "/" + decimal(parts, 0)
}

// Mass shows a mass in g. Metric: "2.5 g" below 10 g, "225 g", "1.25 kg" from
// 1000 g. US: "7.9 oz", "2 lb 3.1 oz" from a pound, and as a scale of quarters, eighths or
// twentieths of an ounce has it: "5.25 oz".
func (s System) Mass(g float64) string { return s.massTo(g, 0) }

// MassApart shows masses in g as Mass does, but with up to three more decimals where aG
// and bG differ and would read the same.
func (s System) MassApart(aG, bG float64) func(g float64) string {
	more := 0
	for more < 3 && aG != bG && s.massTo(aG, more) == s.massTo(bG, more) {
		more++
	}
	return func(g float64) string { return s.massTo(g, more) }
}

// massTo shows a mass to so many decimals more than usual.
func (s System) massTo(g float64, more int) string {
	if !finite(g) {
		return unknown
	}
	if s.Ounces() {
		if more == 0 && (wholeSteps(g, 8) || wholeSteps(g, 20)) {
			more = 2
		}
		return pounds(g, more)
	}
	switch {
	case round(math.Abs(g), 1) < 10:
		return figure(g, 1+more, "g")
	case round(math.Abs(g), 0) < 1000:
		if more == 0 && math.Abs(g-nearest(g, 0.1)) <= 1e-6 { // as a scale of tenths or halves shows it
			more = 1
		}
		return figure(g, more, "g")
	}
	return figure(g/1000, 2+more, "kg")
}

// wholeSteps says that a mass is so many steps of a scale that has parts of them in an ounce;
// what is worked out hardly ever is. The step of a scale is kept to 0.001 g.
func wholeSteps(g, parts float64) bool {
	return math.Abs(g-nearest(g, GPerOz/parts)) <= 0.0005
}

// WrittenStepG is the step that masses in g were written down in, where it is in ounces: to
// halves, quarters, tenths or eighths; 0 if it was not.
func WrittenStepG(masses ...float64) float64 {
	for _, parts := range []float64{2, 4, 10, 8} {
		if !slices.ContainsFunc(masses, func(g float64) bool { return !wholeSteps(g, parts) }) {
			return GPerOz / parts
		}
	}
	return 0
}

// MassSpread shows masses in g of a forecast from low to high as finely as that bears, in
// ounces: to whole ones, halves or quarters.
func (s System) MassSpread(lowG, highG float64) func(g float64) string {
	wideOz := (highG - lowG) / GPerOz
	return func(g float64) string {
		switch {
		case !s.Ounces() || wideOz < 0.5:
		case wideOz < 1:
			g = nearest(g, GPerOz/4)
		case wideOz < 4:
			g = nearest(g, GPerOz/2)
		default:
			g = nearest(g, GPerOz)
		}
		return s.Mass(g)
	}
}

// Step shows the step of a scale: "1 g", "0.125 oz". It is finer than Mass, for an
// eighth of an ounce is not a tenth.
func (s System) Step(g float64) string { return figure(g/s.bareG(), 3, s.MassUnit()) }

// pounds rounds to tenths of an ounce first, or finer by so many decimals, so that
// "16 oz" and "1 lb 16 oz" never appear.
func pounds(g float64, more int) string {
	const ozPerLb = 16
	sign, part := "", math.Pow10(1+more)
	parts := math.Round(math.Abs(g) / GPerOz * part)
	if g < 0 && parts > 0 {
		sign = "-"
	}
	if parts < ozPerLb*part {
		return sign + figure(parts/part, 1+more, "oz")
	}
	text := sign + figure(math.Floor(parts/(ozPerLb*part)), 0, "lb")
	if rest := math.Mod(parts, ozPerLb*part); rest > 0 {
		text += " " + figure(rest/part, 1+more, "oz")
	}
	return text
}

// Length shows a length in m. Metric: "3 mm" below a centimetre, "25.5 cm",
// "1.25 m". US: "0.12 in" below an inch, "9.8 in", "3 ft 3.4 in" from two feet.
func (s System) Length(m float64) string {
	if !finite(m) {
		return unknown
	}
	if s.Inches() {
		return feet(m)
	}
	switch {
	case round(math.Abs(m)*1000, 1) < 10:
		return figure(m*1000, 1, "mm")
	case round(math.Abs(m)*100, 1) < 100:
		return figure(m*100, 1, "cm")
	}
	return figure(m, 2, "m")
}

// Height shows a height above the sea in m, to whole metres or feet.
func (s System) Height(m float64) string {
	if s.Inches() {
		return figure(m/MPerFoot, 0, "ft")
	}
	return figure(m, 0, "m")
}

func feet(m float64) string {
	in := m / MPerInch
	if round(math.Abs(in), 2) < 1 {
		return figure(in, 2, "in")
	}
	tenths := math.Round(math.Abs(in) * 10)
	sign := ""
	if m < 0 {
		sign = "-"
	}
	if tenths < 240 {
		return sign + figure(tenths/10, 1, "in")
	}
	text := sign + figure(math.Floor(tenths/120), 0, "ft")
	if rest := math.Mod(tenths, 120); rest > 0 {
		text += " " + figure(rest/10, 1, "in")
	}
	return text
}

// Minutes shows a time in min: "45 s", "1 min 30 s", "15 min", "1 h 30 min",
// "12 h", "2 days 3 h". Seconds show below ten minutes only.
func Minutes(min float64) string {
	if !finite(min) {
		return unknown
	}
	sign := ""
	seconds := math.Round(math.Abs(min) * 60)
	if min < 0 && seconds > 0 {
		sign = "-"
	}
	if seconds > 0 && seconds < 600 {
		return sign + twoUnits(seconds, "min", "s")
	}
	whole := math.Round(math.Abs(min))
	if whole < dayMin {
		return sign + twoUnits(whole, "h", "min")
	}
	hours := math.Round(whole / 60)
	days, rest := math.Floor(hours/24), math.Mod(hours, 24)
	text := figure(days, 0, "days")
	if days == 1 {
		text = figure(days, 0, "day")
	}
	if rest > 0 {
		text += " " + figure(rest, 0, "h")
	}
	return sign + text
}

const dayMin = 24 * 60.0

// twoUnits splits n small units, sixty to the large one, and leaves out a part
// that is zero.
func twoUnits(n float64, large, small string) string {
	whole, rest := math.Floor(n/60), math.Mod(n, 60)
	switch {
	case whole == 0:
		return figure(rest, 0, small)
	case rest == 0:
		return figure(whole, 0, large)
	}
	return figure(whole, 0, large) + " " + figure(rest, 0, small)
}

// Power shows a power in W: "800 W", "2.2 kW" from 1000 W.
func Power(w float64) string {
	if b := decimal(inBtuH(w), 0); b != "0" {
		if n := len(b) - 3; n > 0 {
			b = b[:n] + "," + b[n:]
		}
		return b + " BTU/h"
	}
	if round(math.Abs(w), 0) < 1000 {
		return figure(w, 0, "W")
	}
	return figure(w/1000, 2, "kW")
}

// PowerField is Power as one types it, W with their unit left out: "2200", "40000 BTU/h".
func PowerField(w float64) string {
	if b := inBtuH(w); b > 0 {
		return decimal(b, 0) + " BTU/h"
	}
	return decimal(w, 0)
}

// inBtuH is a power in W as a gas heater's plate has it, 0 where it isn't whole in that unit alone.
func inBtuH(w float64) float64 {
	b := math.Round(w / WPerBtuH)
	if !(math.Abs(w-b*WPerBtuH) < 1e-6) || math.Abs(w-math.Round(w)) < 1e-6 {
		return 0
	}
	return b
}

// Degrees gives a temperature in °C in the system's own degrees.
func (s System) Degrees(c float64) float64 {
	if s.Fahrenheit() {
		return CToF(c)
	}
	return c
}

// figure writes v to at most the given decimals with its unit.
func figure(v float64, decimals int, unit string) string {
	if !finite(v) {
		return unknown
	}
	return decimal(v, decimals) + " " + unit
}

// decimal writes a finite v to at most the given decimals, without trailing
// zeros and never as "-0".
func decimal(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return noMinusZero(text)
}

func noMinusZero(text string) string {
	if strings.HasPrefix(text, "-") && strings.Trim(text, "-0.") == "" {
		return text[1:]
	}
	return text
}

// round gives v as it will read at the given decimals. Units are chosen on the
// rounded value, so that 999.9 g reads "1 kg" and not "1000 g".
func round(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(v*scale) / scale
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
