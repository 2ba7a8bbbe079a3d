package measure

import (
	"math"
	"strconv"
	"strings"
)

// measures are the vessels that volumes are told by: a small one, in quarters, and how
// many go into a gallon and into what lies between.
type measures struct {
	smallL         float64
	perGal, perMid float64 // perMid 0: there is nothing between
	one, many      string
	mLPerFlOz      float64
}

var (
	usMeasures  = measures{LPerUSCup, 16, 4, "cup", "cups", MLPerUSFlOz}
	impMeasures = measures{LPerImpPint, 8, 0, "pint", "pints", MLPerImpFlOz}
)

// measures are those of the person; ok is false where volumes are in litres.
func (s System) measures() (m measures, ok bool) {
	switch {
	case s&usVolume != 0:
		return usMeasures, true
	case s&impVolume != 0:
		return impMeasures, true
	}
	return m, false
}

// Volume shows a volume in L. Metric: "8 L", "5.5 L", "250 mL". US: "3 gal 2 qt" in
// whole quarts, below a gallon "7 1/4 cups", below a quarter of a cup "1.5 fl oz".
// Imperial: "1 gal 3 pints", "2 1/4 pints".
func (s System) Volume(l float64) string {
	if m, ok := s.measures(); ok {
		if n := math.Abs(l) / m.smallL; quarters(n) >= 4*m.perGal {
			l = math.Copysign(m.smallL*nearest(n, max(1, m.perMid)), l)
		}
		return m.exact(l)
	}
	if round(math.Abs(l)*1000, 0) < 1000 {
		return figure(l*1000, 0, "mL")
	}
	return figure(l, 1, "L")
}

// exact writes a volume in L to a quarter of the small measure, below one in tenths of a
// fluid ounce. Each switch falls where both sides round to the same, so a larger volume
// never reads as a smaller one.
func (m measures) exact(l float64) string {
	n, flOz := math.Abs(l)/m.smallL, l*1000/m.mLPerFlOz
	switch {
	case !finite(l):
		return unknown
	case round(math.Abs(flOz), 1) < round(250*m.smallL/m.mLPerFlOz, 1):
		return figure(flOz, 1, "fl oz")
	case l < 0:
		return "-" + m.gallons(n)
	}
	return m.gallons(n)
}

// smalls writes cups or pints to the quarter: "1/2 cup", "7 1/4 cups".
func (m measures) smalls(n float64) string {
	if q := quarters(n); q > 0 && q <= 4 {
		return quarterText(n) + " " + m.one
	}
	return quarterText(n) + " " + m.many
}

// gallons writes so many cups or pints, from a gallon as gallons, quarts and what is left
// to the quarter: "3 gal 2 qt", "2 gal 1 cup", "15 cups".
func (m measures) gallons(n float64) string {
	if n = quarters(n) / 4; n < m.perGal {
		return m.smalls(n)
	}
	gal := math.Floor(n / m.perGal)
	n -= gal * m.perGal
	parts := []string{figure(gal, 0, "gal")}
	if m.perMid > 0 {
		qt := math.Floor(n / m.perMid)
		if n -= qt * m.perMid; qt > 0 {
			parts = append(parts, figure(qt, 0, "qt"))
		}
	}
	if n > 0 {
		parts = append(parts, m.smalls(n))
	}
	return strings.Join(parts, " ")
}

// VolumeFine shows a volume in L as finely as it is worked out: "6.25 L", zeros included,
// or to a quarter of a cup or pint.
func (s System) VolumeFine(l float64) string {
	m, ok := s.measures()
	switch {
	case !finite(l):
		return unknown
	case ok:
		return m.exact(l)
	}
	return noMinusZero(strconv.FormatFloat(l, 'f', volumeDecimals, 64)) + " L"
}

// FinestL is the step of VolumeFine, L.
func (s System) FinestL() float64 {
	if m, ok := s.measures(); ok {
		return m.smallL / 4
	}
	return 0.01
}

// Pour shows a volume to be measured with a jug of marks of stepL, so that no
// mark is rounded away: "6.25 L", "7 cups", from a gallon "3 gal 2 qt", and where cups
// are not what the jug is marked in, "32 marks"; without a mark it is as fine as that is.
func (s System) Pour(l, stepL float64) string {
	m, ok := s.measures()
	switch marked := stepL > 0 && finite(stepL) && finite(l); {
	case !ok && (!marked || round(math.Abs(l)*1000, 0) < 1000):
		return s.Volume(l)
	case !ok:
		return figure(l, 2, "L")
	case !marked:
		return m.exact(l)
	case !m.marks(stepL):
		marks := math.Round(l / stepL)
		switch {
		case math.Abs(l/stepL-marks) > 0.01:
			return m.exact(l)
		case marks == 1:
			return "1 mark"
		}
		return decimal(marks, 0) + " marks"
	}
	return m.gallons(l / m.smallL)
}

// PourShownL is a volume as Pour shows it, L, for a sum of what is shown; one that is
// shown by the mark, or has none, is as it is.
func (s System) PourShownL(l, stepL float64) float64 {
	m, ok := s.measures()
	switch {
	case !(stepL > 0) || !finite(stepL) || !finite(l) || ok && !m.marks(stepL):
		return l
	case ok:
		return quarters(l/m.smallL) / 4 * m.smallL
	case round(math.Abs(l)*1000, 0) < 1000:
		return round(l*1000, 0) / 1000
	}
	shown, _ := strconv.ParseFloat(strconv.FormatFloat(l, 'f', 2, 64), 64)
	return shown
}

// Mark shows the mark of a measuring jug, in L: "250 mL", "1 cup", "1.5 fl oz".
func (s System) Mark(stepL float64) string {
	if m, ok := s.measures(); ok && !m.marks(stepL) {
		return figure(stepL*1000/m.mLPerFlOz, 1, "fl oz")
	}
	return s.Pour(stepL, stepL)
}

// marks says that a jug's mark is whole quarters of the small measure, to 0.2 %, which
// is finer than anyone reads a jug.
func (m measures) marks(stepL float64) bool {
	quarter := stepL / m.smallL * 4
	return math.Abs(quarter-math.Round(quarter)) <= 0.002*quarter
}
