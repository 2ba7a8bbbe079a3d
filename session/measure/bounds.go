package measure

import (
	"errors"
	"math"
)

// slack is the relative error a value may gather on its way through another
// unit and back; it is far below what any of these can be measured to.
const slack = 1e-9

// Range is an inclusive pair of bounds, in the program's unit of the quantity.
type Range struct{ Min, Max float64 }

// Contains reports whether v lies within the bounds. A bound that came back
// from another unit a hair outside still counts; NaN never does.
func (r Range) Contains(v float64) bool {
	return v >= r.Min-slack*math.Abs(r.Min) && v <= r.Max+slack*math.Abs(r.Max)
}

// CheckTempC returns nil for a temperature in °C within r, else a sentence that
// names both bounds in the person's own unit.
func (s System) CheckTempC(c float64, r Range) error {
	return r.check(c, s.Degrees, tempDecimals, s.TempUnit())
}

// CheckVolumeL is CheckTempC for a volume in L.
func (s System) CheckVolumeL(l float64, r Range) error {
	m, ok := s.measures()
	if !ok {
		return r.check(l, per(1), volumeDecimals, "L")
	}
	return r.within(l, m.smallL/4, m.exact, func(decimals int) string { return figure(l/s.bareL(), decimals, "gal") })
}

// CheckMassG is CheckTempC for a mass in g.
func (s System) CheckMassG(g float64, r Range) error {
	if !s.Ounces() {
		return r.check(g, per(1), massDecimalsG, "g")
	}
	step := GPerOz / 10 // as a scale shows them
	if r.Min < step {
		step = GPerOz / 100
	}
	return r.within(g, step, s.MassTyped, func(decimals int) string { return figure(g/GPerOz, decimals, "oz") })
}

// CheckMinutes is CheckTempC for a time in min.
func CheckMinutes(min float64, r Range) error {
	if r.Contains(min) {
		return nil
	}
	return outside(Minutes(min), Minutes(r.Min), Minutes(r.Max), func(decimals int) string {
		return figure(min, decimals, "min")
	})
}

func per(size float64) func(float64) float64 {
	return func(v float64) float64 { return v / size }
}

// check is within for a figure with so many decimals and one unit.
func (r Range) check(v float64, own func(float64) float64, decimals int, unit string) error {
	if r.Contains(v) {
		return nil
	}
	r = Range{own(r.Min), own(r.Max)}
	finer := func(decimals int) string { return figure(own(v), decimals, unit) }
	return r.within(own(v), math.Pow10(-decimals), func(v float64) string { return figure(v, decimals, unit) }, finer)
}

// within shows the bounds rounded inwards to steps: a person who types the bound they
// were shown must not be refused again.
func (r Range) within(v, step float64, show func(float64) string, finer func(decimals int) string) error {
	if r.Contains(v) {
		return nil
	}
	low, high := r.Min/step, r.Max/step
	low = math.Ceil(low-slack*math.Abs(low)) * step
	high = math.Floor(high+slack*math.Abs(high)) * step
	if low > high {
		// Bounds closer than one step of the figure have no inward rounding.
		low, high = r.Min, r.Max
	}
	return outside(show(v), show(low), show(high), finer)
}

// outside shows the refused value with as many decimals as it takes to differ
// from both bounds: "40 °C is out of range, up to 40 °C" would help nobody.
func outside(value, low, high string, finer func(decimals int) string) error {
	for decimals := 1; decimals < 9 && (value == low || value == high); decimals++ {
		value = finer(decimals)
	}
	return errors.New(value + " is out of range: give between " + low + " and " + high)
}

// Between is the range from low to high, both in it.
func Between(low, high float64) Range { return Range{Min: low, Max: high} }
