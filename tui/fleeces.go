package tui

import (
	"fmt"
	"strconv"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// saveFleece cleans, checks and keeps a fleece.
func saveFleece(e *env, f shed.Fleece) (shed.Fleece, error) {
	f = f.Clean()
	if err := f.Validate(); err != nil {
		return f, err
	}
	if f.ChangedAt = e.now; f.ID == "" {
		f.MadeAt = e.now
	}
	var saved shed.Fleece
	if err := e.keep(func() (err error) { saved, err = e.Ledger.SaveFleece(f); return err }); err != nil {
		return f, fmt.Errorf("the fleece could not be saved: %w", err)
	}
	e.record.putFleece(saved)
	e.putRight()
	return saved, nil
}

// fleecePages asks for a fleece.
func fleecePages(e *env, f *shed.Fleece) []*page {
	return []*page{
		{title: "Whose clip", fields: []*field{
			wordsField("Animal", "name, or a number such as ewe 12", &f.Animal, 40, "the fleece has no animal's name: give one, or a number such as ewe 12"),
			wordsField("Farm", "for the tag; may be left empty", &f.Farm, 40, ""),
			yearField(&f.Year),
			numberField(e.kit.Units, weight, "Raw weight, the whole fleece", "as it was bought, unwashed", &f.RawG, kitCheck(shed.Kit.CheckFleeceG)),
			numberField(e.kit.Units, weight.orNone(), "Raw weight after skirting", "what there is to wash; none if it was not weighed again", &f.SkirtedG, func(u measure.System, g float64) error {
				if g > f.RawG {
					return fmt.Errorf("%s after skirting is more than the %s before it: swap them, or weigh again", u.Mass(g), u.Mass(f.RawG))
				}
				return shed.Kit{Units: u}.CheckSkirtedG(g)
			}),
			partsField(e, f),
		}, leave: func() error { return f.AskTwin(e.record.fleeces) }},
		{title: "What it is like", fields: []*field{
			choiceField("Type", "fine fleece is springy and takes more room in the basket; longwool drapes", &f.Type, true, named(shed.FleeceTypes()...)...),
			choiceField("Wax", "a fleece with much wax is washed twice", &f.Wax, true, named(shed.Levels()...)...),
			choiceField("Tendency to felt", "the higher, the less it may be moved in the water", &f.Felting, true, named(shed.Levels()...)...),
			numberField(e.kit.Units, staple.orNone(), "Staple length", "of a lock, unstretched; none if not measured", &f.StapleMM, kitCheck(shed.Kit.CheckStapleMM)),
			wordsField(e.kit.Units.Spell("Colour"), "such as white, moorit, silver grey; may be left empty", &f.Colour, 40, ""),
			wordsField("Notes", "stains, tips, what it is for; may be left empty", &f.Notes, 400, ""),
		}},
	}
}

// staple is the length of a lock, in mm or in.
var staple = quantity{
	func(u measure.System) string {
		if u == measure.US {
			return "in"
		}
		return "mm"
	},
	func(u measure.System, mm float64) string {
		if u == measure.US {
			return plainNumber(roundTo(mm/mmPerInch, 0.1))
		}
		return plainNumber(roundTo(mm, 1))
	},
	measure.System.ParseStapleMM,
	nil,
}

const mmPerInch = 25.4

// yearField asks for the year of the clip; empty is not known.
func yearField(year *int) *field {
	text := ""
	if *year != 0 {
		text = strconv.Itoa(*year)
	}
	check := func(s string) error {
		s = measure.CleanText(s, 20)
		if s == "" {
			*year = 0
			return nil
		}
		v, err := strconv.Atoi(s)
		if err != nil || v < 1950 || v > 2200 {
			return fmt.Errorf("\"%s\" cannot be the year of clip: give four digits such as 2026, or nothing", s)
		}
		*year = v
		return nil
	}
	return checkedField("Year of clip", "four digits", text, check)
}

// empty says on an empty screen what it is for and which key begins.
func (f *frame) empty(head []string, what, why, begin string) []string {
	t := f.e.Theme
	gap := []string{""}
	return whole(f.room(), para{head, 0}, para{gap, 3}, para{told(t.Next, " "+what, f.w), 0}, para{told(t.Text, why, f.w), 1}, para{gap, 2}, para{told(t.Key, begin, f.w), 0})
}
