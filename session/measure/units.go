// Package measure holds the quantities of a wash day: the units a person reads
// and types, the exact factors between them, and the cleaning of typed text
// before it reaches a terminal.
//
// Inside the program every quantity has one unit: temperature °C, volume L,
// mass g, a dose of scour mL, length m, time min, power W. US units exist at
// the border only: in what is shown and in what is typed.
//
// The package does no I/O and keeps no state.
package measure

import (
	"fmt"
	"strings"
)

// Factors between units, exact by definition. Source: NIST Special Publication
// 811 (2008), Guide for the Use of the International System of Units, appendix
// B, and the definitions it rests on: the pound (0.453 592 37 kg), the inch
// (2.54 cm), the US gallon of 231 cubic inches and the imperial gallon of
// 4.546 09 L. The smaller units are whole parts of these: 16 oz to the pound;
// 4 quarts, 8 pints, 16 cups, 128 fluid ounces, 768 teaspoons to the US gallon; 4
// quarts, 8 pints, 160 fluid ounces to the imperial one.
const (
	GPerLb float64 = 453.59237
	GPerOz float64 = 28.349523125 // avoirdupois

	LPerUSGal   float64 = 3.785411784
	LPerUSQuart float64 = 0.946352946
	LPerUSPint  float64 = 0.473176473
	LPerUSCup   float64 = 0.2365882365
	MLPerUSFlOz float64 = 29.5735295625
	MLPerUSTsp  float64 = 4.92892159375

	LPerImpGal   float64 = 4.54609
	LPerImpQuart float64 = 1.1365225
	LPerImpPint  float64 = 0.56826125
	MLPerImpFlOz float64 = 28.4130625

	// MLPerMetricTsp is the measuring spoon sold where people cook in grams.
	MLPerMetricTsp float64 = 5

	MPerInch float64 = 0.0254
	MPerFoot float64 = 0.3048

	// WPerBtuH is the power of one British thermal unit (IT) an hour, and KWhPerTherm the
	// heat of one US therm; to the digits of NIST SP 811, appendix B.8.
	WPerBtuH    float64 = 0.2930711
	KWhPerTherm float64 = 1.054804e8 / 3.6e6
)

// System is the set of units a person reads and types in: one choice for each of
// temperature, volume, weight, the clock, dates and the spelling. The zero value is
// Metric.
type System int

// What a System chooses; each bit or pair of bits is one question.
const (
	fahrenheit System = 1 << iota
	usVolume          // gallons, quarts and cups of the US
	impVolume         // imperial gallons and pints
	ounces
	clock12    // 2:30 pm
	monthFirst // Jun 13
	american   // spelling, commas, paper and sockets
	beyond
)

// The systems a person can begin with; each choice can be made apart.
const (
	Metric   System = 0
	US              = fahrenheit | usVolume | ounces | clock12 | monthFirst | american
	Imperial        = impVolume | ounces
)

// Twelve is Metric by a clock of twelve hours.
const Twelve = clock12

// Timed is s with the clock and the dates of o.
func (s System) Timed(o System) System {
	const times = clock12 | monthFirst
	return s&^times | o&times
}

// Bases are the units that one may begin with, by their words.
var Bases = [...]struct {
	Word string
	Of   System
}{{"metric", Metric}, {"US", US}, {"imperial", Imperial}}

// Aspect is one question that a System answers, with its answers as they are typed.
type Aspect struct {
	Name    string
	mask    System
	answers []answer
}

type answer struct {
	word, shown string
	of          System
}

// Aspects are all of them.
var Aspects = [...]Aspect{
	{"Temperatures", fahrenheit, []answer{{"C", "°C", 0}, {"F", "°F", fahrenheit}}},
	{"Volumes", usVolume | impVolume, []answer{{"L", "L", 0}, {"US gal", "US gal", usVolume}, {"imp gal", "imperial gal", impVolume}}},
	{"Weights", ounces, []answer{{"g", "g", 0}, {"oz", "oz", ounces}}},
	{"Times", clock12, []answer{{"24h", "14:30", 0}, {"12h", "2:30 pm", clock12}}},
	{"Dates", monthFirst, []answer{{"day-month", "25 Nov", 0}, {"month-day", "Nov 25", monthFirst}}},
	{"Spelling and paper", american, []answer{{"British", "British, A4", 0}, {"American", "American, Letter", american}}},
}

// Answers are the answers as the person reads them, in order.
func (a Aspect) Answers() []string {
	out := make([]string, len(a.answers))
	for i, x := range a.answers {
		out[i] = x.shown
	}
	return out
}

// Of is which of the answers s gives.
func (a Aspect) Of(s System) int {
	for i, x := range a.answers {
		if s&a.mask == x.of {
			return i
		}
	}
	return -1
}

// With is s with the answer i.
func (a Aspect) With(s System, i int) System { return s&^a.mask | a.answers[i].of }

func (s System) valid() bool {
	return s >= 0 && s < beyond && s&(usVolume|impVolume) != usVolume|impVolume
}

// Fahrenheit says that temperatures are in °F.
func (s System) Fahrenheit() bool { return s&fahrenheit != 0 }

// Ounces says that weights are in pounds and ounces.
func (s System) Ounces() bool { return s&ounces != 0 }

// USVolume says that volumes are in US gallons, quarts and cups.
func (s System) USVolume() bool { return s&usVolume != 0 }

// Inches says that volumes are in gallons, and lengths with them in inches and feet.
func (s System) Inches() bool { return s&(usVolume|impVolume) != 0 }

// American says that spelling, paper and sockets are those of the US.
func (s System) American() bool { return s&american != 0 }

// String returns the words kept in a file: "metric", "us", "imperial", or the nearest
// of these and what differs, as "us, C, g".
func (s System) String() string {
	if !s.valid() {
		return fmt.Sprintf("System(%d)", int(s))
	}
	var best []string
	for _, b := range Bases {
		words := []string{strings.ToLower(b.Word)}
		for _, a := range Aspects {
			if i := a.Of(s); i != a.Of(b.Of) {
				words = append(words, a.answers[i].word)
			}
		}
		if best == nil || len(words) < len(best) {
			best = words
		}
	}
	return strings.Join(best, ", ")
}

// ParseSystem reads what String writes, in either case: metric, us or imperial, and
// after commas what differs. Its error is a sentence for the person.
func ParseSystem(text string) (s System, err error) {
	base, rest, _ := strings.Cut(text, ",")
	known := false
	for _, b := range Bases {
		if strings.EqualFold(strings.TrimSpace(base), b.Word) {
			s, known = b.Of, true
		}
	}
	if !known {
		return Metric, fmt.Errorf("%s is not a system of units: give metric, us or imperial", quote(base))
	}
	for word := range strings.SplitSeq(rest, ",") {
		if word = strings.TrimSpace(word); word == "" {
			continue
		}
		known = false
		var all []string
		for _, a := range Aspects {
			for i, x := range a.answers {
				if all = append(all, x.word); strings.EqualFold(word, x.word) {
					s, known = a.With(s, i), true
				}
			}
		}
		if !known {
			return Metric, fmt.Errorf("%s is not a choice of units: give one of %s", quote(word), strings.Join(all, ", "))
		}
	}
	return s, nil
}

// MarshalText writes the words String returns. It refuses a value that is no
// system, so that a file never holds what cannot be read back.
func (s System) MarshalText() ([]byte, error) {
	if !s.valid() {
		return nil, fmt.Errorf("%d is not a system of units", int(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads what MarshalText writes; on an error s is unchanged.
func (s *System) UnmarshalText(text []byte) error {
	got, err := ParseSystem(string(text))
	if err != nil {
		return err
	}
	*s = got
	return nil
}

// CToF turns a temperature in °C into °F.
func CToF(c float64) float64 { return c*9/5 + 32 }

// FToC turns a temperature in °F into °C. Multiplying by 5 before dividing by
// 9 keeps whole pairs such as 104 °F and 40 °C free of rounding; dividing by
// 1.8, which has no exact binary form, would not promise that.
func FToC(f float64) float64 { return (f - 32) * 5 / 9 }

// DeltaFToC turns a difference in °F into one in °C: 1 °F is 5/9 °C.
func DeltaFToC(df float64) float64 { return df * 5 / 9 }

// DeltaCToF turns a difference in °C into one in °F.
func DeltaCToF(dc float64) float64 { return dc * 9 / 5 }
