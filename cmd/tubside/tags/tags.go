// Package tags makes what is tied to a bag of washed fleece: tags on plain
// paper, sheets of labels, and the short code that finds a batch's record
// again.
//
// Lines are as large as fit. Where even 70 % is too large notes are cut, with a warning, and
// only then the rest shrinks: figures and code are never left out.
//
// Two traps of gopdf: its WriteTo swallows the errors of the writer, so the document is
// gathered first, and its MeasureTextWidth puts what it measures into the font subset, so
// widths are taken from the font. The Go font's licence wants its notice kept with the
// program; letters that it lacks become a box and a warning.
package tags

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// Tag is what one tag says. Empty texts and zero figures are left out, but for
// the dry weight, which gets room to be written in by hand.
type Tag struct {
	Code     string // "": its mark has none
	Fleece   string // the animal
	Farm     string
	Year     int // of clip
	Batch    string
	Mark     string // what its own card or bag calls it; "": the same
	Form     shed.Form
	Part     string // of the fleece
	Layers   int    // of locks; 0: not counted
	RawG     float64
	DryG     float64   // 0: not weighed yet
	WashedOn time.Time // in the zone it is to be shown in; zero: its wash is still to come
	Washes   string    // how often, and as what before; "": once
	Note     string
	More     []Detail // shown after the rest, on a label beside each other
	// Record is what has to be known later of its being printed, but for when.
	Record tag.Printed
}

// Detail is one more thing to say of a batch, such as its colour. The name is spelled
// as the paper's units have it, the value stands as it is.
type Detail struct{ Name, Value string }

// YieldPart is the dry weight by the raw weight, 0 if one of them is not known.
func (t *Tag) YieldPart() float64 {
	if t.DryG <= 0 || t.RawG <= 0 {
		return 0
	}
	return t.DryG / t.RawG
}

// FromDay makes the tags of what was washed on a day (Day.Washed), in that order.
// The date is that of Fate.WashedAt in zone, and none before the wash is lifted. A batch whose mark no code can name, which only a
// file from elsewhere has, gets no code.
//
// Errors: a day that no code can name, a sentence.
func FromDay(id shed.DayID, d session.Day, zone *time.Location) ([]Tag, error) {
	if _, err := tag.Code(id, "A1"); err != nil {
		return nil, err
	}
	var out []Tag
	for _, b := range d.Washed() {
		code, err := tag.Code(id, b.ID)
		if err != nil {
			code = ""
		}
		f, fate := d.FleeceOf(b.ID), d.Fate[b.ID]
		on := fate.WashedAt(d.EndedAt)
		if d.Running() && fate.LiftedAt.IsZero() && fate.RackedAt.IsZero() {
			on = time.Time{}
		}
		out = append(out, Tag{Washes: washes(d, &b), Code: code, Fleece: f.Animal, Farm: f.Farm, Year: f.Year, Batch: b.ID, Mark: b.Card.Mark, Form: b.Form, Part: b.Part, Layers: b.Layers,
			RawG: b.RawG, DryG: fate.DryG, WashedOn: on.In(zone), Note: f.Notes, More: details(&d, f, &b, &fate),
			Record: tag.PrintedAt(d, id, b.ID, time.Time{})})
	}
	return out, nil
}

// details are what the ledger and the rack know besides.
func details(d *session.Day, f *shed.Fleece, b *shed.Batch, fate *session.Fate) []Detail {
	out := []Detail{{"came out", fate.Out.String()}, {"colour", f.Colour}}
	if f.StapleMM > 0 {
		out = append(out, Detail{"staple", shed.StapleText(d.Plan.Kit.Units, f.StapleMM)})
	}
	if lies := d.Plan.Kit.Lies(fate.Tray, fate.Spots, b.Form); lies != "" && fate.DryG == 0 {
		out = append(out, Detail{"lies on", lies})
	}
	if fate.Out.Place != "" && fate.Out.Found&(session.BagEmpty|session.ThrownAway) == 0 {
		out = append(out, Detail{"kept", fate.Out.Place})
	}
	return out
}

// washes is how often a batch was washed, where that is more than once.
func washes(d session.Day, b *shed.Batch) string {
	n := d.Washes(b)
	if n < 2 {
		return ""
	}
	how := "washed " + session.Times(n)
	if first, err := tag.Code(b.Again.Day, b.Again.Batch); err == nil && !b.Raw() {
		how += ", before that"
		if b.Again.Batch != b.ID {
			how += " as " + b.Again.Batch + ","
		}
		how += " code " + first
	}
	return how
}

// clean makes every text safe to print: one line, no control codes.
func (t Tag) clean() Tag {
	const name, note = 80, 400
	t.Code, t.Batch = measure.CleanText(t.Code, name), measure.CleanText(t.Batch, name)
	t.Fleece, t.Farm = measure.CleanText(t.Fleece, name), measure.CleanText(t.Farm, name)
	t.Mark = measure.CleanText(t.Mark, name)
	t.Part, t.Washes = measure.CleanText(t.Part, name), measure.CleanText(t.Washes, name)
	t.Note = measure.CleanText(t.Note, note)
	more := make([]Detail, 0, len(t.More))
	for _, m := range t.More {
		m.Name, m.Value = measure.CleanText(m.Name, name), measure.CleanText(m.Value, note)
		if m.Value != "" {
			more = append(more, m)
		}
	}
	t.More = more
	return t
}

// The texts of a tag; both kinds of paper say the same.

func (t *Tag) origin() string {
	switch {
	case t.Year == 0:
		return t.Farm
	case t.Farm == "":
		return fmt.Sprintf("clip of %d", t.Year)
	}
	return fmt.Sprintf("%s, clip of %d", t.Farm, t.Year)
}

// Marked is the batch with its own mark behind it.
func (t *Tag) Marked() string {
	if t.Mark == "" {
		return t.Batch
	}
	return t.Batch + ", " + t.Mark
}

func (t Tag) batch() string {
	return shed.Batch{Form: t.Form, Part: t.Part, Layers: t.Layers}.What("batch " + t.Marked())
}

func (t *Tag) washed(u measure.System) string {
	if t.WashedOn.IsZero() {
		return ""
	}
	return "washed " + u.Moment(t.WashedOn, "2 Jan 2006")
}

func (t *Tag) code() string {
	if t.Code == "" {
		return ""
	}
	return "code " + t.Code
}

// weights are the figures, each of them to be kept on one line.
func (t *Tag) weights(u measure.System) []string {
	out := []string{"raw " + u.Mass(t.RawG)}
	if t.DryG <= 0 {
		return append(out, "dry ........ "+u.MassUnit())
	}
	out = append(out, "dry "+u.Mass(t.DryG))
	if y := t.YieldPart(); y > 0 {
		out = append(out, "yield "+u.Percent(y, 0))
	}
	return out
}

func (d Detail) text(u measure.System) string {
	if d.Name == "" {
		return d.Value
	}
	return u.Spell(d.Name) + ": " + d.Value
}
