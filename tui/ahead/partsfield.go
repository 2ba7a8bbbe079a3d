package ahead

import (
	"fmt"
	"strings"
	"unicode"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// partsField asks for the parts that a fleece was sorted into, with their weights.
func partsField(e *base.Env, f *shed.Fleece) *form.Field {
	u, was := e.Kit.Units, f.Parts
	return form.CheckedField("Sorted into parts", "such as shoulder "+u.Mass(u.RoundMassG(600))+", britch "+u.Mass(u.RoundMassG(250))+"; empty if it is one heap", PartWords(u, f.Parts), func(text string) error {
		parts, err := ReadParts(u, text)
		if err != nil {
			return err
		}
		if text == PartWords(u, was) { // not touched: nothing is rounded
			parts = was
		}
		trial := shed.Fleece{Animal: "this fleece", RawG: f.RawG, SkirtedG: f.SkirtedG, Parts: parts}
		if err := (shed.Kit{Units: u}).CheckParts(trial); err != nil {
			return err
		}
		f.Parts = parts
		return nil
	})
}

// PartWords is parts as ReadParts reads them: "shoulder 600 g, britch 250 g".
func PartWords(u measure.System, parts []shed.FleecePart) string {
	var out []string
	for _, p := range parts {
		out = append(out, p.Name+" "+u.MassTyped(p.RawG))
	}
	return strings.Join(out, ", ")
}

// ReadParts reads what PartWords writes. A comma between two digits is a decimal one.
func ReadParts(u measure.System, text string) ([]shed.FleecePart, error) {
	var out []shed.FleecePart
	for _, part := range splitParts(measure.CleanText(text, 1000)) {
		p, err := readPart(u, part)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// readPart reads one part: its name, then its weight, as much of the end as can
// be one ("1 lb 5 oz").
func readPart(u measure.System, text string) (shed.FleecePart, error) {
	words := strings.Fields(text)
	for at := 1; at < len(words); at++ {
		g, err := u.ParseMassG(strings.Join(words[at:], " "))
		if err != nil {
			continue
		}
		for i := 1; i < at; i++ { // a weight within the name: a comma is missing
			if strings.ContainsFunc(words[i], unicode.IsDigit) {
				return shed.FleecePart{}, fmt.Errorf("\"%s\": put a comma between parts, such as shoulder %s, britch %s", text, u.Mass(u.RoundMassG(600)), u.Mass(u.RoundMassG(250)))
			}
		}
		return shed.FleecePart{Name: strings.TrimRight(strings.Join(words[:at], " "), ":"), RawG: g}, nil
	}
	return shed.FleecePart{}, fmt.Errorf("\"%s\" isn't a part with its weight: type both, such as shoulder %s", text, u.Mass(u.RoundMassG(600)))
}

// splitParts parts a list at its commas and semicolons, but for a comma between
// two digits.
func splitParts(text string) []string {
	var out []string
	from := 0
	add := func(s string) {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	for i := 0; i < len(text); i++ {
		decimal := text[i] == ',' && i > 0 && i+1 < len(text) && isDigit(text[i-1]) && isDigit(text[i+1])
		if (text[i] == ',' || text[i] == ';') && !decimal {
			add(text[from:i])
			from = i + 1
		}
	}
	add(text[from:])
	return out
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
