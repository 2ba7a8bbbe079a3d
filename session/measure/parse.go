package measure

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"
)

const minPerHour = 60

// The most a wash day can need, and some way beyond. What lies further out is
// a slip of the finger, and refusing it here keeps every later sum finite.
const (
	minTypedC   = -60
	maxTypedC   = 200
	maxTypedL   = 10_000
	maxTypedG   = 1_000_000
	maxTypedML  = 100_000
	maxTypedMin = 31 * 24 * 60
	maxTypedW   = 100_000
)

// kind is what a parser knows of the quantity it reads.
type kind struct {
	name    string  // with its article, for a sentence
	example string  // what would be right, in the person's own system
	bare    float64 // size of a bare number, in the program's unit
	size    unitSize
	max     float64 // in the program's unit
	maxText string  // max as the person reads it
}

// ParseTempC reads a temperature and returns it in °C: "63", "63.5", "63,5",
// "150F", "150 °F", "65 c". A bare number is in the system's own degrees. Below
// -60 °C or above 200 °C is refused. Every error is a sentence for the person.
func (s System) ParseTempC(text string) (float64, error) {
	k := kind{name: "a temperature", example: pick(s.Fahrenheit(), "63 °C", "145 °F")}
	parts, err := k.parts(s, text)
	if err != nil {
		return 0, err
	}
	if len(parts) != 1 {
		return 0, k.notOne(text)
	}
	c := parts[0].value
	switch tempScale(s, parts[0].unit) {
	case 'C':
	case 'F':
		c = FToC(c)
	default:
		return 0, k.unknownUnit(text)
	}
	if c < minTypedC || c > maxTypedC {
		return 0, errors.New(quote(text) + " is beyond any weather or kettle: give a temperature between " +
			s.Temp(0) + " and " + s.Temp(100)) // as water has it
	}
	return c, nil
}

// ParseVolumeL reads a volume and returns it in L: "8", "8,5 L", "250 mL", "2 US
// gal", "1 imp gal". A bare number is in L or the person's gallons. A gallon, quart, pint
// or fluid ounce is the person's own, unless it says whose it is; where volumes are in
// litres those that do not are refused. So is an ounce, anything below zero or above 10 000
// L. Every error is a sentence for the person.
func (s System) ParseVolumeL(text string) (float64, error) {
	return kind{
		name: "a volume", example: pick(s.Inches(), "8 L", "2 gal"),
		bare: s.bareL(), size: volumeUnit, max: maxTypedL, maxText: s.Volume(maxTypedL),
	}.parse(s, text)
}

// ParseJugL is ParseVolumeL for what is poured from a jug or kettle: a bare number is in
// L, US cups or pints.
func (s System) ParseJugL(text string) (float64, error) {
	if s.Inches() && !strings.ContainsFunc(text, unicode.IsLetter) && strings.TrimSpace(text) != "" {
		text += " " + s.JugUnit()
	}
	return s.ParseVolumeL(text)
}

// ParseMassG reads a mass and returns it in g: "225", "0.5 kg", "8 oz", "1 lb 4
// oz", "1 lb 4". A bare number is in g or oz; an ounce here is the avoirdupois ounce.
// Below zero or above 1000 kg is refused. Every error is a sentence for the
// person.
func (s System) ParseMassG(text string) (float64, error) {
	return kind{
		name: "a weight", example: pick(s.Ounces(), "225 g or 1.2 kg", "8 oz or 1 lb 4 oz"),
		bare: s.bareG(), size: massUnit, max: maxTypedG, maxText: s.Mass(maxTypedG),
	}.parse(s, text)
}

// ParseDoseML reads a dose and returns it in mL: "10", "10 mL", "2 tsp", "1 1/2
// tsp", "½ tsp". A bare number is in mL or US tsp; a teaspoon is the metric one
// of 5 mL in metric and the US one in US. It takes the units of a volume, and
// refuses what ParseVolumeL refuses, and more than 100 L. Every error is a
// sentence for the person.
func (s System) ParseDoseML(text string) (float64, error) {
	return kind{
		name: "a dose", example: pick(s.USVolume(), "10 mL", "2 tsp"),
		bare: s.bareML(), size: doseUnit, max: maxTypedML, maxText: s.Volume(maxTypedML / 1000),
	}.parse(s, text)
}

// ParseMinutes reads a time and returns it in min: "15", "15 min", "45 s", "1
// h", "1h30", "1 h 30 min", and "1:30" for an hour and a half. A bare number is
// in minutes. Below zero or above 31 days is refused. Every error is a sentence
// for the person.
func (s System) ParseMinutes(text string) (float64, error) {
	k := kind{
		name: "a time", example: "15, 1 h 30 min or 1:30",
		bare: 1, size: timeUnit, max: maxTypedMin, maxText: "31 days",
	}
	if !strings.Contains(text, ":") {
		return k.parse(s, text)
	}
	clean, err := k.clean(text)
	if err != nil {
		return 0, err
	}
	min, ok := clock(strings.TrimSuffix(unitKey(clean), " h"))
	switch {
	case !ok:
		return 0, errors.New(quote(text) + " isn't hours and minutes: give a time such as 1:30 for 1 h 30 min")
	case min > k.max:
		return 0, k.tooLarge(text)
	}
	return min, nil
}

// clock reads "h:mm". Minutes need both digits: "1:3" could be either of two
// times.
func clock(text string) (min float64, ok bool) {
	hours, minutes, _ := strings.Cut(text, ":")
	if len(hours) < 1 || len(hours) > 3 || len(minutes) != 2 {
		return 0, false
	}
	for _, r := range hours + minutes {
		if r < '0' || r > '9' {
			return 0, false
		}
	}
	whole := 0
	for _, r := range hours {
		whole = whole*10 + int(r-'0')
	}
	rest := int(minutes[0]-'0')*10 + int(minutes[1]-'0')
	return float64(whole*minPerHour + rest), rest < minPerHour
}

// ParsePowerW reads the power of a kettle or heater and returns it in W:
// "2200", "2.2 kW". A bare number is in W, below LeastPowerW in kW as it is printed. Below zero or
// above 100 kW is refused. Every error is a sentence for the person.
func (s System) ParsePowerW(text string) (float64, error) {
	k := kind{
		name: "a power", example: pick(s.American(), "2200 or 2.2 kW", "1500 or 1.5 kW"),
		bare: 1, size: powerUnit, max: maxTypedW, maxText: "100 kW",
	}
	w, err := k.parse(s, text)
	if parts, _ := k.parts(s, text); err == nil && w < LeastPowerW && parts[0].unit == "" {
		w *= 1000
	}
	return w, err
}

// LeastPowerW is less than what any kettle or heater has, W.
const LeastPowerW = 100

// parse adds up the parts of text in the program's unit.
func (k kind) parse(s System, text string) (float64, error) {
	parts, err := k.parts(s, text)
	if err != nil {
		return 0, err
	}
	sum, before := 0.0, 0.0
	for i, p := range parts {
		size, problem := k.bare, ""
		switch {
		case p.unit != "":
			size, problem = k.size(s, p.unit)
		case i > 0:
			size = k.below(s, parts[i-1].unit)
		}
		switch {
		case problem != "":
			return 0, errors.New(quote(text) + " " + problem)
		case p.unit == "" && (i < len(parts)-1 || size == 0):
			return 0, k.notOne(text) // it stands for nothing
		case size == 0:
			return 0, k.unknownUnit(text)
		case p.value < 0:
			return 0, errors.New(quote(text) + " is below zero: give " + k.name + " such as " + k.example)
		case i == 0:
		case p.value*size >= before || !parts[i-1].whole && !parts[i-1].plus:
			// "1 lb 20 oz" and "1.5 h 30" are slips more often than sums.
			return 0, k.notOne(text)
		}
		sum += p.value * size
		before = size
	}
	if sum > k.max {
		return 0, k.tooLarge(text)
	}
	return sum, nil
}

// below is the size of a bare number after a unit, as in "2 lb 12" or "1 h 30"; 0 where
// it could be of more than one.
func (k kind) below(s System, unit string) float64 {
	after, _ := k.size(s, unit)
	for _, pair := range [...][2]string{{"lb", "oz"}, {"us gal", "us qt"}, {"imp gal", "imp pt"}, {"ft", "in"}, {"h", "min"}, {"min", "s"}} {
		if large, _ := k.size(s, pair[0]); large > 0 && large == after {
			small, _ := k.size(s, pair[1])
			return small
		}
	}
	return 0
}

// parts cleans and splits text; at least one part comes back without an error.
func (k kind) parts(s System, text string) ([]part, error) {
	clean, err := k.clean(text)
	if err != nil {
		return nil, err
	}
	parts, problem := scan(clean, s.American())
	switch {
	case problem != "":
		return nil, errors.New(quote(text) + " " + problem)
	case len(parts) == 0:
		return nil, errors.New(quote(text) + " is not " + k.name + ": give a number such as " + k.example)
	}
	return parts, nil
}

// clean refuses nothing at all and far too much. It works on what the person
// can see: the invisible takes no part in the meaning.
func (k kind) clean(text string) (string, error) {
	clean := CleanText(text, typedRunes+1)
	switch {
	case clean == "":
		return "", errors.New("type " + k.name + " such as " + k.example)
	case utf8.RuneCountInString(clean) > typedRunes:
		return "", errors.New(quote(text) + " is too long for " + k.name + ": give a number such as " + k.example)
	}
	return clean, nil
}

func (k kind) unknownUnit(text string) error {
	return errors.New(quote(text) + " has a unit that doesn't fit " + k.name + ": give a number such as " + k.example)
}

func (k kind) notOne(text string) error {
	return errors.New(quote(text) + " isn't one number: type " + k.name + " such as " + k.example)
}

func (k kind) tooLarge(text string) error {
	return errors.New(quote(text) + " is too large: give " + k.name + " up to " + k.maxText)
}
