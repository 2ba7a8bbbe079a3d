package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// printCard writes the card of a fleece.
func (t *tagging) printCard(o *options, sys system) error {
	paper, err := t.grid()
	if err != nil {
		return err
	}
	var c tags.Card
	err = reading(o.file(), func(s *store.Store) error {
		c, err = t.cardOf(s)
		return err
	})
	if err != nil {
		return err
	}
	c.Paper, c.Made = paper, time.Now()
	write := func(w io.Writer) error {
		warnings, err := c.Write(w)
		sys.warn(warnings)
		return err
	}
	if t.card == "-" {
		return write(sys.out)
	}
	if err := intoNewFile(t.card, write); err != nil {
		return err
	}
	_, err = fmt.Fprintf(sys.out, "The card of %s is in %s\n", harmless(c.Title), harmless(t.card))
	return err
}

// cardOf is what is known of a fleece that was washed: what went in, what came out, how it
// was washed.
func (t *tagging) cardOf(s *store.Store) (tags.Card, error) {
	found, err := t.byFleece(s) // or why not
	if err != nil {
		return tags.Card{}, err
	}
	known, err := s.Fleeces()
	if err != nil {
		return tags.Card{}, err
	}
	days := map[shed.DayID]session.Day{}
	for _, x := range found {
		if _, have := days[x.Record.Day]; !have {
			if days[x.Record.Day], err = t.replay(s, x.Record.Day); err != nil {
				return tags.Card{}, err
			}
		}
	}
	d := days[found[0].Record.Day]
	f := d.FleeceOf(found[0].Batch)
	if i := slices.IndexFunc(known, func(k shed.Fleece) bool { return k.ID == f.ID }); i >= 0 {
		f = &known[i]
	}
	return t.cardWith(f, found, days)
}

func (t *tagging) cardWith(f *shed.Fleece, found []tags.Tag, days map[shed.DayID]session.Day) (tags.Card, error) {
	u := t.units
	c := tags.Card{Title: f.Animal, Under: f.Farm, Head: []string{"code", "washed", "batch", "raw", "dry", "yield", "came out"},
		Foot: "A temperature with ~ is an estimate. Wool weighs more in a damp room than in a dry one. Written by tubside."}
	if on := f.ShornOn(); on != "" && f.Farm != "" {
		c.Under += ", shorn " + on
	} else if on != "" {
		c.Under = "shorn " + on
	}
	in, out := tags.CardPart{Heading: "What went in"}, tags.CardPart{Heading: "What came out"}
	row := func(p *tags.CardPart, label, text string) {
		if text != "" {
			p.Lines = append(p.Lines, [2]string{u.Spell(label), text})
		}
	}
	row(&in, "fleece", fmt.Sprintf("%s, %s wax", f.Type, f.Wax))
	row(&in, "breed", f.Breed)
	row(&in, "colour", f.Colour)
	if f.StapleMM > 0 {
		row(&in, "staple", shed.StapleText(u, f.StapleMM))
	}
	raw := u.Mass(f.RawG) + " raw"
	if f.SkirtedG > 0 {
		raw += ", " + u.Mass(f.SkirtedG) + " skirted"
	}
	if f.RawG > 0 {
		row(&in, "whole fleece", raw)
	}
	row(&in, "notes", f.Notes)
	var rows []ledger.BatchRow
	var washedG, weighedG, dryG float64
	weighed, washed := 0, 0
	var before ledger.BatchesBefore
	for _, x := range found {
		day := days[x.Record.Day]
		if b, _ := day.Batch(x.Batch); !b.Raw() && ledger.StateOf(day, x.Batch) > ledger.Presoaked {
			before = append(before, b.Again)
		}
	}
	said := map[session.Found]int{}
	for _, x := range found {
		day := days[x.Record.Day]
		r := ledger.RowOf(day, x.Batch)
		came := r.Out.String()
		if before.Has(x.Record.Day, x.Batch) { // its later wash counts in its place
			if came != "" {
				came += "; "
			}
			came += "washed again"
		} else {
			rows, washed = append(rows, r), washed+1
			washedG += x.RawG
			if x.DryG > 0 {
				weighedG, dryG, weighed = weighedG+x.RawG, dryG+x.DryG, weighed+1
			}
			for one := session.Found(1); one <= r.Out.Found; one <<= 1 {
				if r.Out.Found&one != 0 {
					said[one]++
				}
			}
		}
		dry := "-"
		if x.DryG > 0 {
			dry = u.Mass(x.DryG)
		}
		on := "-"
		if !x.WashedOn.IsZero() {
			on = u.Moment(x.WashedOn, "2 Jan 2006")
		}
		b, _ := day.Batch(x.Batch)
		c.Rows = append(c.Rows, []string{x.Code, on, b.What(x.Marked()) + day.WashedMore(b), u.Mass(x.RawG), dry, lookback.YieldText(u, x.RawG, x.DryG), cmp.Or(came, "-")})
	}
	row(&in, "washed of it", fmt.Sprintf("%s raw, in %s", u.Mass(washedG), measure.Counted(washed, "batch", "batches")))
	if weighed > 0 {
		text := fmt.Sprintf("%s dry of %s raw", u.Mass(dryG), u.Mass(weighedG))
		if weighed < washed {
			text += fmt.Sprintf(", %d of %d batches weighed", weighed, washed)
		}
		row(&out, "weight", text)
	}
	if y, ok, err := ledger.YieldOf(rows, f.Type, u); err == nil && ok {
		row(&out, "yield", fmt.Sprintf("%s as weighed, %s at %s regain", u.Percent(y.AsWeighed.Likely, 1), u.Percent(y.AtStandard.Likely, 1), u.Percent(y.StandardRegain, 0)))
	}
	row(&out, "came out", foundText(said, washed))
	if len(out.Lines) == 0 {
		row(&out, "weight", "nothing weighed dry yet")
	}
	c.Parts = []tags.CardPart{in, out, {Heading: "How it was washed", Lines: t.howWashed(found, days)}}
	return c, nil
}

// foundText says how many of so many batches came out in which way.
func foundText(said map[session.Found]int, of int) string {
	var parts []string
	for one := session.FoundClean; one <= session.Brittle; one <<= 1 {
		switch n := said[one]; {
		case n == of:
			parts = append(parts, one.String())
			if of > 1 {
				parts[len(parts)-1] += fmt.Sprintf(" (all %d)", of)
			}
		case n > 0:
			parts = append(parts, fmt.Sprintf("%s (%d of %d)", one, n, of))
		}
	}
	return strings.Join(parts, ", ")
}

// span gathers a figure from its least to its most.
type span struct{ low, high float64 }

func (s *span) add(v float64) {
	if measure.Finite(v) {
		s.low, s.high = min(s.low, v), max(s.high, v)
	}
}

// text shows it; "" where there was none.
func (s span) text(show func(float64) string) string {
	switch {
	case s.low > s.high:
		return ""
	case show(s.low) == show(s.high):
		return show(s.low)
	}
	return show(s.low) + " to " + show(s.high)
}

// bathsOf is what the baths of one step were like.
type bathsOf struct {
	name             string
	inC, outC, lasts span
	guessed          bool     // one at least was not read
	skipped          []string // the codes of batches that went without
}

// sortedIn is the place of a step among those of a fleece's batches, behind the one before it.
func sortedIn(steps []*bathsOf, name string, behind int) ([]*bathsOf, int) {
	if i := slices.IndexFunc(steps, func(s *bathsOf) bool { return s.name == name }); i >= 0 {
		return steps, i
	}
	none := span{math.Inf(1), math.Inf(-1)}
	return append(steps[:behind+1:behind+1], append([]*bathsOf{{name: name, inC: none, outC: none, lasts: none}}, steps[behind+1:]...)...), behind + 1
}

// howWashed is a line for each step of the fleece's batches, in the order of their way.
func (t *tagging) howWashed(found []tags.Tag, days map[shed.DayID]session.Day) (out [][2]string) {
	var steps []*bathsOf
	var methods []string
	for _, x := range found {
		day := days[x.Record.Day]
		if name := day.Plan.Method.Name; name != "" && !slices.Contains(methods, name) { // an old wash has none
			methods = append(methods, name)
		}
		i := -1
		for _, r := range ledger.ReviewOf(day).Batches {
			for _, b := range r.Baths {
				if b.Batch != x.Batch || b.SunkAt.IsZero() && !b.LeftOut() {
					continue
				}
				if steps, i = sortedIn(steps, b.Step.Name, i); b.LeftOut() {
					steps[i].skipped = append(steps[i].skipped, cmp.Or(x.Code, x.Batch))
				}
			}
		}
		for _, b := range lookback.Baths(day) {
			if b.Batch != x.Batch || b.SunkAt.IsZero() {
				continue
			}
			s := steps[slices.IndexFunc(steps, func(s *bathsOf) bool { return s.name == b.Step.Name })]
			s.inC.add(b.In.TempC)
			s.outC.add(b.Lift.TempC)
			s.lasts.add(lookback.ShownMin(lookback.Stretch{From: b.SunkAt, To: b.LiftedAt}))
			s.guessed = s.guessed || !b.In.Read || !b.Lift.Read
		}
	}
	if len(methods) > 0 {
		out = append(out, [2]string{"method", strings.Join(methods, "; ")})
	}
	for _, s := range steps {
		about := ""
		if s.guessed {
			about = "~"
		}
		temp := func(v float64) string { return about + t.units.Temp(v) }
		var parts []string
		for _, p := range []struct{ before, text string }{{"in at ", s.inC.text(temp)}, {"out at ", s.outC.text(temp)}, {"for ", s.lasts.text(minutesText)}} {
			if p.text != "" {
				parts = append(parts, p.before+p.text)
			}
		}
		if len(s.skipped) > 0 {
			parts = append(parts, "skipped for "+strings.Join(s.skipped, ", "))
		}
		out = append(out, [2]string{s.name, strings.Join(parts, ", ")})
	}
	return out
}

func minutesText(m float64) string { return measure.Minutes(math.Round(m)) }
