package measure

import (
	"strconv"
	"strings"
)

const (
	// typedRunes is the longest text taken for a quantity.
	typedRunes = 64
	// digitsInNumber keeps whole numbers within what a float64 holds without loss.
	// Decimals that a program printed to the last bit do no harm.
	digitsInNumber = 15
)

// part is one number with the unit written after it, "" where none is.
type part struct {
	value float64
	whole bool // written without decimals or a fraction
	plus  bool // another one is added to it: "1/4 cup + 1/2 tbsp"
	unit  string
}

// scan splits cleaned text into numbers and units. A problem is the part of an
// error sentence that follows the quoted text; "" with no parts means that the
// text does not begin with a number. Exponents, hexadecimal figures and the
// words for infinity find no meaning here, because a number is only digits
// with at most one decimal mark, or a fraction.
func scan(text string, us bool) (parts []part, problem string) {
	runes := []rune(text)
	for i := 0; i < len(runes); {
		if runes[i] == ' ' {
			i++
			continue
		}
		if !numberAt(runes, i) {
			return nil, "" // reached at the very beginning only
		}
		var p part
		if p, i, problem = scanNumber(runes, i, us); problem != "" {
			return nil, problem
		}
		start := i
		for i < len(runes) && !numberAt(runes, i) {
			i++
		}
		between := string(runes[start:i])
		p.unit, p.plus = unitKey(between), strings.ContainsRune(between, '+')
		parts = append(parts, p)
	}
	return parts, ""
}

// unitKey brings the ways to write one unit together: lower case, no points,
// single spaces, no comma or plus after it.
func unitKey(unit string) string {
	unit = strings.ReplaceAll(strings.ToLower(unit), ".", "")
	unit = strings.ReplaceAll(unit, "ℓ", "l")
	return strings.Join(strings.Fields(strings.TrimRight(strings.TrimSpace(unit), ",+ ")), " ")
}

func digitAt(runes []rune, i int) bool {
	return i < len(runes) && runes[i] >= '0' && runes[i] <= '9'
}

func decimalMark(r rune) bool { return r == '.' || r == ',' }

func minus(r rune) bool { return r == '-' || r == '−' }

// numberAt reports whether a number begins at i: a digit, a fraction sign, or a
// decimal mark or minus sign that belongs to what follows it.
func numberAt(runes []rune, i int) bool {
	if i >= len(runes) {
		return false
	}
	r := runes[i]
	switch {
	case digitAt(runes, i), fractionSign(r) > 0:
		return true
	case minus(r):
		return i+1 < len(runes) && !minus(runes[i+1]) && numberAt(runes, i+1)
	case decimalMark(r):
		return digitAt(runes, i+1)
	}
	return false
}

// fractionSign gives the value of a fraction written as one character.
func fractionSign(r rune) float64 {
	switch r {
	case '¼':
		return 0.25
	case '½':
		return 0.5
	case '¾':
		return 0.75
	}
	return 0
}

// scanNumber reads the number at i and returns the index after it.
func scanNumber(runes []rune, i int, us bool) (p part, next int, problem string) {
	sign := 1.0
	if minus(runes[i]) {
		sign = -1
		i++
	}
	p, i, problem = scanPlain(runes, i, us)
	// Adding zero turns -0 into 0.
	p.value = sign*p.value + 0
	return p, i, problem
}

// scanPlain reads an unsigned number: "8", "8.5", "8,5", ".5", "½", "1½", "1/2"
// or "1 1/2". In US units a comma before three digits parts thousands.
func scanPlain(runes []rune, i int, us bool) (p part, next int, problem string) {
	if f := fractionSign(runes[i]); f > 0 {
		return part{value: f}, i + 1, ""
	}
	whole := readDigits(runes, i)
	i += len(whole)
	grouped := false
	for us && i < len(runes) && runes[i] == ',' {
		three := readDigits(runes, i+1)
		if len(three) != 3 || !grouped && !thousands(whole, three) {
			break
		}
		whole, grouped = whole+three, true
		i += 1 + len(three)
	}
	decimals := ""
	if i < len(runes) && decimalMark(runes[i]) && digitAt(runes, i+1) {
		mark := runes[i]
		if grouped && mark == ',' {
			return p, i, "has a comma too many: write it such as 1,500 or 1500.5"
		}
		decimals = readDigits(runes, i+1)
		i += 1 + len(decimals)
		if i < len(runes) && decimalMark(runes[i]) && digitAt(runes, i+1) {
			return p, i, "has more than one decimal mark: write it with one, such as 1500.5"
		}
		if mark == ',' && thousands(whole, decimals) {
			return p, i, "can be read two ways: write " + whole + decimals + " or " + whole + "." + strings.TrimRight(decimals, "0")
		}
	}
	if len(strings.TrimLeft(whole, "0")) > digitsInNumber {
		return p, i, "has too many digits"
	}
	value, err := strconv.ParseFloat("0"+whole+"."+decimals+"0", 64)
	if err != nil {
		return p, i, "is not a number"
	}
	p = part{value: value, whole: decimals == ""}
	if !p.whole {
		return p, i, ""
	}
	return addFraction(runes, i, p)
}

// addFraction takes the fraction that follows the whole number p, or of which
// p is the upper part.
func addFraction(runes []rune, i int, p part) (part, int, string) {
	if i < len(runes) && runes[i] == '/' {
		below := readDigits(runes, i+1)
		value, ok := ratio(p.value, below)
		if !ok {
			return p, i, "has a fraction that is not one: write it such as 1/2"
		}
		return part{value: value}, i + 1 + len(below), ""
	}
	j := i
	if j < len(runes) && runes[j] == ' ' {
		j++
	}
	if j < len(runes) && fractionSign(runes[j]) > 0 {
		return part{value: p.value + fractionSign(runes[j])}, j + 1, ""
	}
	above := readDigits(runes, j)
	slash := j + len(above)
	if j == i || above == "" || slash >= len(runes) || runes[slash] != '/' {
		return p, i, ""
	}
	below := readDigits(runes, slash+1)
	upper, _ := strconv.ParseFloat(above, 64)
	value, ok := ratio(upper, below)
	if !ok || value >= 1 {
		return p, i, "has a fraction that is not one: write it such as 1 1/2"
	}
	return part{value: p.value + value}, slash + 1 + len(below), ""
}

// ratio divides by the number the digits below give; two digits at most, as on
// any measuring cup.
func ratio(upper float64, below string) (float64, bool) {
	if len(below) > 2 {
		return 0, false
	}
	lower, err := strconv.ParseFloat(below, 64)
	if err != nil || lower == 0 || upper > 99 {
		return 0, false
	}
	return upper / lower, true
}

func readDigits(runes []rune, i int) string {
	j := i
	for digitAt(runes, j) {
		j++
	}
	return string(runes[i:j])
}

// thousands reports whether "whole,decimals" is how many people write
// thousands. Reading 1,500 g as a gram and a half, or 1,250 kg as a tonne and
// a quarter, would spoil a recipe without a word.
func thousands(whole, decimals string) bool {
	return len(decimals) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}
