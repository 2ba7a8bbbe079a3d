package ahead

import (
	"fmt"
	"strconv"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// SaveFleece cleans, checks and keeps a fleece.
func SaveFleece(e *base.Env, f shed.Fleece) (shed.Fleece, error) {
	f = f.Clean()
	if err := f.Validate(); err != nil {
		return f, err
	}
	if f.ChangedAt = e.Now; f.ID == "" {
		f.MadeAt = e.Now
	}
	var saved shed.Fleece
	if err := e.Keep(func() (err error) { saved, err = e.Ledger.SaveFleece(f); return err }); err != nil {
		return f, fmt.Errorf("the fleece couldn't be saved: %w", err)
	}
	e.Record.PutFleece(saved)
	e.PutRight()
	return saved, nil
}

// FleecePages asks for a fleece.
func FleecePages(e *base.Env, f *shed.Fleece) []*form.Page {
	return []*form.Page{
		{Title: "Which sheep", Fields: []*form.Field{
			form.WordsField("Animal", "name, or a number such as ewe 12", &f.Animal, 40, "the fleece needs a sheep's name, or a number such as ewe 12"),
			form.WordsField("Farm", "for the tag; may be left empty", &f.Farm, 40, ""),
			yearField(&f.Year),
			form.NumberField(e.Kit.Units, form.Weight, "Raw weight, the whole fleece", "as it was bought, unwashed", &f.RawG, form.KitCheck(shed.Kit.AskFleeceG)),
			form.NumberField(e.Kit.Units, form.Weight.OrNone(), "Raw weight after skirting", "what there is to wash with dung, matted ends and second cuts out; none if it was not weighed again", &f.SkirtedG, func(u measure.System, g float64) error {
				if g > f.RawG {
					return fmt.Errorf("%s after skirting is more than the %s before it: swap them, or weigh again", u.Mass(g), u.Mass(f.RawG))
				}
				return shed.Kit{Units: u}.AskSkirtedG(g, f.RawG)
			}),
			partsField(e, f),
		}, Leave: func() error { return f.AskTwin(e.Record.Fleeces) }},
		{Title: "What it is like", Fields: []*form.Field{
			form.ChoiceField("Type", "fine fleece is springy and takes more room in the basket; longwool drapes", &f.Type, true, form.Named(shed.FleeceTypes()...)...),
			form.ChoiceField("Wax", "a waxy fleece is washed twice", &f.Wax, true, form.Named(shed.Levels()...)...),
			form.ChoiceField("Tendency to felt", "high: no dunking, stirring or long spin, and no jump from hot to cold", &f.Felting, true, form.Named(shed.Levels()...)...),
			form.NumberField(e.Kit.Units, staple.OrNone(), "Staple length", "of a lock, unstretched; none if not measured", &f.StapleMM, form.KitCheck(shed.Kit.CheckStapleMM)),
			form.WordsField(e.Kit.Units.Spell("Colour"), "such as white, moorit, silver grey; may be left empty", &f.Colour, 40, ""),
			form.WordsField("Notes", "stains, tips, what it is for; may be left empty", &f.Notes, 400, ""),
		}},
	}
}

// LifePage asks where a fleece that is kept already is from, and what became of it; x is what the record has of it.
func LifePage(e *base.Env, f *shed.Fleece, x *ledger.Entry) *form.Page {
	return &form.Page{Title: "Where from, where to", Hide: func() bool { return f.ID == "" }, Fields: []*form.Field{
		form.WordsField("Breed", "as the farm calls it; Right takes the name that is shown; may be left empty", &f.Breed, 40, "").Offers(shed.Breeds()),
		form.WordsField("Shorn", "the day, as you write it; may be left empty", &f.Shorn, 40, "").AsDay(e.Kit.Units, time.Time{}),
		form.NumberField(e.Kit.Units, money.InMoney(&e.Kit.Prices).OrNone(), "Paid for it", "none if it was nothing", &f.Paid, form.KitCheck(shed.Kit.CheckPrice)),
		form.ChoiceField("The raw rest", "thrown out or given away, it isn't left to wash", &f.Rest, true, form.Named(shed.RestsOf()...)...),
		usesField(e, f, x),
	}}
}

// staple is the length of a lock, in mm or in.
var staple = form.Quantity{
	Unit: func(u measure.System) string {
		if u.Inches() {
			return "in"
		}
		return "mm"
	},
	Show:  measure.System.StapleField,
	Parse: measure.System.ParseStapleMM,
	Round: nil,
}

// money is an amount in the kit's money.
var money = form.Quantity{
	Unit:  func(measure.System) string { return "in your money" },
	Show:  func(_ measure.System, v float64) string { return form.PlainNumber(v) },
	Parse: func(u measure.System, text string) (float64, error) { return u.ParseNumber(text, "35") },
	Round: nil,
}

// yearField asks for the year of the clip; empty is not known.
func yearField(year *int) *form.Field {
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
			return fmt.Errorf("\"%s\" isn't a year: type four digits such as 2026, or nothing", s)
		}
		*year = v
		return nil
	}
	return form.CheckedField("Year shorn", "four digits", text, check)
}
