package measure

import "strings"

// unitSize looks up a unit, in the form unitKey gives, and returns its size in
// the program's unit. Where the word is one that must not be guessed, problem
// is the rest of an error sentence. A size of 0 without a problem is an unknown
// unit.
type unitSize func(s System, unit string) (size float64, problem string)

func timeUnit(_ System, unit string) (float64, string) {
	switch unit {
	case "s", "sec", "secs", "second", "seconds":
		return 1.0 / 60, ""
	case "m", "min", "mins", "minute", "minutes":
		return 1, ""
	case "h", "hr", "hrs", "hour", "hours":
		return minPerHour, ""
	case "d", "day", "days":
		return 24 * minPerHour, ""
	}
	return 0, ""
}

func powerUnit(_ System, unit string) (float64, string) {
	switch unit {
	case "w", "watt", "watts":
		return 1, ""
	case "kw", "kilowatt", "kilowatts":
		return 1000, ""
	case "btu/h", "btu/hr", "btuh", "btu", "btus", "btu per hour":
		return WPerBtuH, "" // printed on a heater
	}
	return 0, ""
}

// lengthUnit gives sizes in m.
func lengthUnit(_ System, unit string) (float64, string) {
	switch unit {
	case "mm", "millimetre", "millimetres", "millimeter", "millimeters":
		return 0.001, ""
	case "cm", "centimetre", "centimetres", "centimeter", "centimeters":
		return 0.01, ""
	case "m", "metre", "metres", "meter", "meters":
		return 1, ""
	case "in", "ins", "inch", "inches", `"`, "″", "”", "''", "’’", "′′":
		return MPerInch, ""
	case "ft", "feet", "foot", "'", "′", "’":
		return MPerFoot, ""
	}
	return 0, ""
}

func massUnit(_ System, unit string) (float64, string) {
	switch unit {
	case "g", "gram", "grams", "gramme", "grammes":
		return 1, ""
	case "kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes":
		return 1000, ""
	case "oz", "ounce", "ounces":
		return GPerOz, ""
	case "lb", "lbs", "pound", "pounds":
		return GPerLb, ""
	}
	return 0, ""
}

// volumeUnit gives sizes in L.
func volumeUnit(s System, unit string) (float64, string) {
	mL, problem := doseUnit(s, unit)
	return mL / 1000, problem
}

// doseUnit gives sizes in mL. In litres a gallon, pint, quart or fluid ounce counts
// only with its owner, for the two gallons differ by a fifth; in gallons they are the
// person's own. A cup or a tablespoon counts only where it is the US one.
func doseUnit(s System, unit string) (float64, string) {
	switch unit {
	case "ml", "mls", "milliliter", "milliliters", "millilitre", "millilitres":
		return 1, ""
	case "cl", "centiliter", "centiliters", "centilitre", "centilitres":
		return 10, ""
	case "dl", "deciliter", "deciliters", "decilitre", "decilitres":
		return 100, ""
	case "l", "liter", "liters", "litre", "litres":
		return 1000, ""
	case "tsp", "tsps", "teaspoon", "teaspoons":
		if s.USVolume() {
			return MLPerUSTsp, ""
		}
		return MLPerMetricTsp, ""
	case "metric tsp", "metric teaspoon", "metric teaspoons":
		return MLPerMetricTsp, ""
	case "us tsp", "us teaspoon", "us teaspoons":
		return MLPerUSTsp, ""
	case "us cup", "us cups":
		return 1000 * LPerUSCup, ""
	case "cup", "cups":
		if s.USVolume() {
			return 1000 * LPerUSCup, ""
		}
		return 0, "is in a unit of more than one size: say mL, L or US cups"
	case "tbsp", "tbsps", "tablespoon", "tablespoons":
		if s.USVolume() {
			return 3 * MLPerUSTsp, ""
		}
		return 0, "is in a unit of more than one size: say mL, L or US fl oz"
	}
	owner, noun := splitOwner(unit)
	var us, imp float64
	var whose string
	switch noun {
	case "gal", "gals", "gallon", "gallons":
		us, imp = 1000*LPerUSGal, 1000*LPerImpGal
		whose = "say whose gallon: US gal (3.785 L) or imp gal (4.546 L)"
	case "qt", "qts", "quart", "quarts":
		us, imp = 1000*LPerUSQuart, 1000*LPerImpQuart
		whose = "say whose quart: US qt (0.946 L) or imp qt (1.137 L)"
	case "pt", "pts", "pint", "pints":
		us, imp = 1000*LPerUSPint, 1000*LPerImpPint
		whose = "say whose pint: US pt (0.473 L) or imp pt (0.568 L)"
	case "fl oz", "floz", "fluid oz", "fluid ounce", "fluid ounces":
		us, imp = MLPerUSFlOz, MLPerImpFlOz
		whose = "say whose fluid ounce: US fl oz (29.57 mL) or imp fl oz (28.41 mL)"
	case "oz", "ounce", "ounces":
		return 0, "is in a unit of weight: say US fl oz or imp fl oz"
	default:
		return 0, ""
	}
	switch {
	case owner == "us", owner == "" && s.USVolume(): // as the screen has it
		return us, ""
	case owner == "imp", owner == "" && s&impVolume != 0:
		return imp, ""
	}
	return 0, "has more than one size, " + whose
}

// splitOwner parts "us gal" into "us" and "gal"; "imp" stands for imperial
// however it is written.
func splitOwner(unit string) (owner, noun string) {
	for _, o := range []struct{ prefix, owner string }{
		{"us", "us"}, {"imperial", "imp"}, {"imp", "imp"}, {"uk", "imp"},
	} {
		if rest, ok := strings.CutPrefix(unit, o.prefix); ok {
			return o.owner, strings.TrimSpace(rest)
		}
	}
	return "", unit
}

// tempScale returns 'C' or 'F' for a unit of temperature, the system's own for
// none or a bare degree sign, and 0 for anything else.
func tempScale(s System, unit string) rune {
	unit = strings.NewReplacer("℃", "c", "℉", "f", "°", "", "º", "", "˚", "").Replace(unit)
	unit = strings.TrimSpace(unit)
	for _, word := range []string{"degrees", "degree", "degs", "deg"} {
		if rest, ok := strings.CutPrefix(unit, word); ok {
			unit = strings.TrimSpace(rest)
			break
		}
	}
	switch unit {
	case "":
		if s.Fahrenheit() {
			return 'F'
		}
		return 'C'
	case "c", "celsius", "centigrade":
		return 'C'
	case "f", "fahrenheit":
		return 'F'
	}
	return 0
}
