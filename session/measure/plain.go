package measure

import (
	"errors"
	"math"
	"strings"
)

// Heights above the sea beyond these are a slip of the finger.
const (
	minTypedM = -1000
	maxTypedM = 10_000
	// maxTypedDeltaC is the largest difference of temperatures that is read.
	maxTypedDeltaC  = 100
	maxTypedNumber  = 1e9
	maxTypedPercent = 1000
)

// single reads one number with its unit, which may be left out.
func (k kind) single(s System, text string) (part, error) {
	parts, err := k.parts(s, text)
	if err != nil {
		return part{}, err
	}
	if len(parts) != 1 {
		return part{}, k.notOne(text)
	}
	return parts[0], nil
}

// ParseHeightM reads a height above the sea and returns it in m: "250", "250 m",
// "900 ft", "-2". A bare number is in m or ft. Every error is a sentence for the
// person.
func (s System) ParseHeightM(text string) (float64, error) {
	k := kind{name: "a height", example: pick(s.Inches(), "250 m", "900 ft")}
	p, err := k.single(s, text)
	if err != nil {
		return 0, err
	}
	size := pick(s.Inches(), 1, MPerFoot)
	if p.unit != "" {
		if size, _ = lengthUnit(s, p.unit); size == 0 {
			return 0, k.unknownUnit(text)
		}
	}
	m := p.value * size
	if m < minTypedM || m > maxTypedM {
		return 0, errors.New(quote(text) + " isn't a height on land: give " + k.name + " such as " + k.example)
	}
	return m, nil
}

// ParseStapleMM reads the length of a lock and returns it in mm: "95", "9.5 cm", "3 3/4
// in", `7"`. A bare number is in mm or in. Below zero or above 10 km is refused. Every
// error is a sentence for the person.
func (s System) ParseStapleMM(text string) (float64, error) {
	m, err := kind{
		name: "a length", example: pick(s.Inches(), "95 mm", "3 3/4 in"),
		bare: pick(s.Inches(), 0.001, MPerInch), size: lengthUnit, max: maxTypedM, maxText: s.Length(maxTypedM),
	}.parse(s, text)
	return math.Round(m*1e4) / 10, err // to 0.1 mm: nobody measures finer
}

// ParseTempDeltaC reads a difference of temperatures and returns it in °C: the
// degrees count, not where the scale begins. Every error is a sentence for the
// person.
func (s System) ParseTempDeltaC(text string) (float64, error) {
	k := kind{name: "a number of degrees", example: pick(s.Fahrenheit(), "3 °C", "5 °F")}
	p, err := k.single(s, text)
	if err != nil {
		return 0, err
	}
	dc := p.value
	switch tempScale(s, p.unit) {
	case 'C':
	case 'F':
		dc = DeltaFToC(dc)
	default:
		return 0, k.unknownUnit(text)
	}
	if dc < -maxTypedDeltaC || dc > maxTypedDeltaC {
		return 0, errors.New(quote(text) + " is too many degrees: give a number such as " + k.example)
	}
	return dc, nil
}

// ParsePercent reads per cent and returns them as a part of one: "55", "55 %".
// Below 0 or far above 100 is refused. Every error is a sentence for the person.
func (s System) ParsePercent(text string) (float64, error) {
	k := kind{name: s.Spell("a number of per cent"), example: "55"}
	p, err := k.single(s, text)
	if err != nil {
		return 0, err
	}
	if p.unit != "" && p.unit != "%" && p.unit != "per cent" && p.unit != "percent" {
		return 0, k.unknownUnit(text)
	}
	if p.value < 0 || p.value > maxTypedPercent {
		return 0, errors.New(quote(text) + s.Spell(" is out of range: give per cent such as 55"))
	}
	return p.value / 100, nil
}

// ParseNumber reads a number without a unit, such as an amount of money; below
// zero or far too much is refused. Every error is a sentence for the person.
func (s System) ParseNumber(text, example string) (float64, error) {
	k := kind{name: "a number", example: example}
	p, err := k.single(s, text)
	switch {
	case err != nil:
		return 0, err
	case p.unit != "":
		return 0, errors.New(quote(text) + " has a unit: give a number alone, such as " + example)
	case p.value < 0:
		return 0, errors.New(quote(text) + " is below zero: give a number such as " + example)
	case p.value > maxTypedNumber:
		return 0, errors.New(quote(text) + " is too large: give a number such as " + example)
	}
	return p.value, nil
}

// ParseCount reads a whole number from 0 on. Every error is a sentence for the
// person.
func (s System) ParseCount(text, example string) (uint64, error) {
	v, err := s.ParseNumber(text, example)
	if err != nil {
		return 0, err
	}
	if v != float64(uint64(v)) || strings.ContainsAny(text, "./½¼¾") {
		return 0, errors.New(quote(text) + " isn't a whole number: give one such as " + example)
	}
	return uint64(v), nil
}
