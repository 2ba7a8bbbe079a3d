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
)

// System is the set of units a person reads and types in. The zero value is
// Metric; a value that is neither counts as Metric when showing and parsing.
type System int

// The two systems a person can choose.
const (
	Metric System = iota
	US
)

// String returns "metric" or "us", the words kept in a file.
func (s System) String() string {
	switch s {
	case Metric:
		return "metric"
	case US:
		return "us"
	default:
		return fmt.Sprintf("System(%d)", int(s))
	}
}

// ParseSystem reads "metric" or "us" in either case. Its error is a sentence
// for the person.
func ParseSystem(text string) (System, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "metric":
		return Metric, nil
	case "us":
		return US, nil
	}
	return Metric, fmt.Errorf("%s is not a system of units: give metric or us", quote(text))
}

// MarshalText writes the word String returns. It refuses a value that is
// neither system, so that a file never holds what cannot be read back.
func (s System) MarshalText() ([]byte, error) {
	if s != Metric && s != US {
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
