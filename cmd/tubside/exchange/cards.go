package exchange

import (
	"bufio"
	"encoding"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// CardReader reads a table of earlier washes: the table that WriteCSV writes, or one of a
// person's own under the same heads.
type CardReader struct {
	Units measure.System // of weights and lengths under heads without a unit, and of days in figures
	Zone  *time.Location
	Now   time.Time
}

// What a cell of the table is, by where it goes.
type (
	aName   struct{ into *string }
	aNote   struct{ into *string }
	aCode   struct{ into *string }
	aWeight struct{ into *float64 }
	aLength struct{ into *float64 }
	aPer100 struct{ into *float64 }
	aDay    struct{ into *time.Time }
	aCount  struct {
		into      *int
		low, high int
	}
	notTaken struct{} // it follows from others, or from the record
)

// needed are the columns without which a line says nothing.
var needed = []string{"washed_on", "animal", "raw"}

// unitOf parts the unit that the name of a column ends in from it; u is the person's own
// without one.
func unitOf(head string, own measure.System) (base string, u measure.System, has bool) {
	for unit, u := range map[string]measure.System{"_g": measure.Metric, "_mm": measure.Metric, "_oz": measure.US, "_in": measure.US} {
		if base, has := strings.CutSuffix(head, unit); has {
			return base, u, true
		}
	}
	return head, own, false
}

// place is where a column goes in a card; nil for one that is not known.
func place(c *ledger.Card, head string) any {
	base, _, has := unitOf(head, measure.Metric)
	b, f := &c.Batch, &c.Fleece
	switch base {
	case "raw":
		return aWeight{&b.RawG}
	case "dry", "dry_before": // one of them is empty
		return aWeight{&c.DryG}
	case "fleece_raw":
		return aWeight{&f.RawG}
	case "fleece_skirted":
		return aWeight{&f.SkirtedG}
	case "raw_scale_step":
		return aWeight{&b.RawScale.StepG}
	case "dry_scale_step":
		return aWeight{&c.Scale.StepG}
	case "staple":
		return aLength{&f.StapleMM}
	case "first_wet", "after_presoak":
		return notTaken{}
	}
	if has {
		return nil
	}
	switch base {
	case "washed_on":
		return aDay{&c.On}
	case "bagged_at":
		return aDay{&c.DryAt}
	case "day":
		return aName{&c.Day}
	case "batch", "mark": // the table has both, and the mark behind
		return aName{&b.Card.Mark}
	case "fleece":
		return aName{&f.ID}
	case "animal":
		return aName{&f.Animal}
	case "farm":
		return aName{&f.Farm}
	case "colour":
		return aName{&f.Colour}
	case "raw_scale":
		return aName{&b.RawScale.Name}
	case "dry_scale":
		return aName{&c.Scale.Name}
	case "part":
		return aName{&b.Part}
	case "tub":
		return aName{&b.Card.Tub}
	case "method":
		return aName{&c.Method}
	case "place":
		return aName{&c.Out.Place}
	case "went_on_from":
		return aNote{&b.FromStep}
	case "fleece_notes":
		return aNote{&f.Notes}
	case "came_out_words":
		return aNote{&c.Out.Note}
	case "note":
		return aNote{&c.Note}
	case "code":
		return aCode{&c.Code}
	case "washed_again_from":
		return aCode{&c.Again}
	case "clip_year", "year":
		return aCount{&f.Year, 1950, 2200}
	case "locks_layers":
		return aCount{&b.Layers, 1, 20}
	case "washes":
		return aCount{&b.Card.Washes, 1, shed.MaxWashes}
	case "humidity_percent":
		return aPer100{&c.RH}
	case "type":
		return &f.Type
	case "wax":
		return &f.Wax
	case "felting":
		return &f.Felting
	case "form":
		return &b.Form
	case "presoak":
		return &b.Presoak
	case "came_out":
		return &c.Out.Found
	case "yield_percent", "tray", "racked_at", "tray_layers", "entered_later":
		return notTaken{}
	}
	return nil
}

// take takes a cell to its place.
func (r CardReader) take(c *ledger.Card, head, text string) (err error) {
	_, u, _ := unitOf(head, r.Units)
	plain := func(into *string, most int) error {
		if len([]rune(text)) > most {
			return fmt.Errorf("it is longer than %d characters: shorten it", most)
		}
		*into = measure.CleanText(text, most)
		return nil
	}
	switch x := place(c, head).(type) {
	case aName:
		return plain(x.into, shed.MaxName)
	case aNote:
		return plain(x.into, shed.MaxNote)
	case aCode:
		day, batch, err := tag.Parse(text)
		if err == nil {
			*x.into, err = tag.Code(day, batch)
		}
		return err
	case aWeight:
		*x.into, err = u.ParseMassG(text)
	case aLength:
		*x.into, err = u.ParseStapleMM(text)
	case aPer100:
		*x.into, err = u.ParsePercent(text)
	case aCount:
		n, err := u.ParseCount(text, fmt.Sprint(x.low))
		if err == nil && (n < uint64(x.low) || n > uint64(x.high)) {
			err = fmt.Errorf("it should be from %d to %d", x.low, x.high)
		}
		*x.into = int(min(n, uint64(x.high)))
		return err
	case aDay:
		at, err := time.Parse(time.RFC3339, text)
		if err != nil {
			at, err = r.Units.ParseDay(text, r.Now.In(r.Zone))
			if on, _ := r.Units.ReadDay(text); err == nil && on.Year() == 0 { // an old card is seldom of the last such day
				err = errors.New("the year is missing: write it such as " + r.Units.Moment(at, "2 Jan 2006"))
			}
		}
		if err == nil {
			err = ledger.CheckOn(at, r.Now)
		}
		if *x.into = at; x.into == &c.On { // a card has no hours
			at = at.In(r.Zone)
			c.On = time.Date(at.Year(), at.Month(), at.Day(), 12, 0, 0, 0, r.Zone)
		}
		return err
	case encoding.TextUnmarshaler:
		return x.UnmarshalText([]byte(text))
	}
	return err
}

// What a table of cards may have at most: a lifetime of washes has less.
const (
	mostCards     = 20_000
	mostCardBytes = 16 << 20
)

// Cards reads a table. All that is bad is told by line, column and what would be right; then the
// cards are there to find what else is, and should not be kept.
//
// Errors: a file that is no such table, or what in returns, a sentence each.
func (r CardReader) Cards(in io.Reader) (cards []ledger.Card, bad []ledger.CardError, err error) {
	limited := &io.LimitedReader{R: in, N: mostCardBytes + 1}
	buffered := bufio.NewReader(limited)
	if mark, err := buffered.Peek(3); err == nil && string(mark) == "\ufeff" { // some spreadsheets put it there
		_, _ = buffered.Discard(len(mark)) // it is in the buffer
	}
	t := csv.NewReader(buffered)
	t.FieldsPerRecord, t.ReuseRecord = -1, true
	if head, _ := buffered.Peek(200); !strings.Contains(firstLine(string(head)), ",") && strings.Contains(firstLine(string(head)), ";") {
		t.Comma = ';' // where the comma is for decimals
	}
	head, err := t.Read()
	if err != nil {
		return nil, nil, tornTable(err)
	}
	heads := slices.Clone(head)
	byBase, bad := r.checkHeads(heads)
	sound := len(bad) == 0
	for {
		cells, err := t.Read()
		switch {
		case limited.N <= 0:
			return nil, nil, fmt.Errorf("the table is larger than %d MB: split it in two", mostCardBytes>>20)
		case errors.Is(err, io.EOF):
			if len(cards)+len(bad) == 0 {
				err = errors.New("the table has its heads alone, and no wash")
				return nil, nil, err
			}
			if !sound { // each line would lack the same
				cards = nil
			}
			return cards, bad, nil
		case err != nil:
			return nil, nil, tornTable(err)
		case len(cards) >= mostCards:
			return nil, nil, fmt.Errorf("the table has more than %d lines: split it", mostCards)
		}
		line, _ := t.FieldPos(0)
		if len(cells) != len(heads) {
			bad = append(bad, ledger.CardError{Line: line, Column: "all", Err: fmt.Errorf("it has %s, and the heads %d: quote a cell with a comma in it", measure.Counted(len(cells), "cell", "cells"), len(heads))})
			continue
		}
		c, wrong := r.card(line, heads, cells)
		c.Heads = byBase
		cards, bad = append(cards, c), append(bad, wrong...)
	}
}

func firstLine(text string) string {
	line, _, _ := strings.Cut(text, "\n")
	return line
}

func tornTable(err error) error {
	var at *csv.ParseError
	switch {
	case errors.Is(err, io.EOF):
		return errors.New("the file is empty: a table begins with its heads, such as washed_on,animal,raw_g,dry_g")
	case errors.As(err, &at):
		return fmt.Errorf("line %d is no line of a table (%w): a quote is missing, or one too many", at.Line, at.Err)
	}
	return fmt.Errorf("the table cannot be read: %w", err)
}

// checkHeads cleans the names of the columns, gives each by what it holds, and tells which are
// not known, missing or twice.
func (r CardReader) checkHeads(heads []string) (byBase map[string]string, bad []ledger.CardError) {
	byBase = map[string]string{}
	tell := func(column, format string, args ...any) {
		bad = append(bad, ledger.CardError{Line: 1, Column: column, Err: fmt.Errorf(format, args...)})
	}
	for i, h := range heads {
		h = strings.ToLower(strings.ReplaceAll(measure.CleanText(h, 40), " ", "_"))
		heads[i] = h
		base, _, _ := unitOf(h, r.Units)
		switch {
		case h == "":
			tell(fmt.Sprintf("column %d", i+1), "it has no name: name it, or take it out")
		case place(new(ledger.Card), h) == nil:
			if near := nearest(h); near != "" {
				tell(h, "there is no such column: name it %s, or take it out", near)
			} else {
				tell(h, "there is no such column: take it out, or name it as one of %s", takenHeads())
			}
		case byBase[base] != "":
			tell(h, "there are two columns for %s: leave one", base)
		}
		byBase[base] = h
	}
	for _, n := range needed {
		if byBase[n] == "" {
			tell(n, "the column is missing: each wash needs washed_on, animal and raw_g")
		}
	}
	return byBase, bad
}

// takenHeads lists the columns that a card takes.
func takenHeads() string {
	return strings.Join(slices.DeleteFunc(append(Columns(), "note"), func(head string) bool {
		return place(new(ledger.Card), head) == notTaken{}
	}), ", ")
}

// nearest is the column that a mistyped name is one slip away from; "" for none. Of those with
// a unit it guesses none, for the figures may be in another.
func nearest(head string) string {
	for _, n := range append(Columns(), "note") {
		if _, _, has := unitOf(n, measure.Metric); has || len(n) < 4 {
			continue
		}
		i := 0
		for i < min(len(n), len(head)) && n[i] == head[i] {
			i++
		}
		a, b := n[i:], head[i:] // a letter too few, too many, another, or two the wrong way round
		if a != "" && a[1:] == b || b != "" && a == b[1:] || a != "" && b != "" && a[1:] == b[1:] ||
			len(a) > 1 && len(b) > 1 && a[0] == b[1] && a[1] == b[0] && a[2:] == b[2:] {
			return n
		}
	}
	return ""
}

var errEmpty = errors.New("it is empty, and each wash needs it")

// card reads a line. What it has to have and lacks is made up, so that the rest can be looked at.
func (r CardReader) card(line int, heads, cells []string) (c ledger.Card, bad []ledger.CardError) {
	c = ledger.Card{Line: line, Batch: shed.Batch{Form: shed.FormUnsaid}}
	for i, h := range heads {
		cell := strings.TrimSpace(cells[i])
		cell = strings.TrimPrefix(cell, "'") // it keeps a spreadsheet from reckoning
		var err error
		base, _, _ := unitOf(h, r.Units)
		if cell != "" {
			err = r.take(&c, h, cell)
		} else if slices.Contains(needed, base) {
			err = errEmpty
		}
		if err == nil {
			continue
		}
		bad = append(bad, ledger.CardError{Line: line, Column: h, Err: err})
		switch base {
		case "washed_on":
			c.On = time.Time{}
		case "animal":
			c.Fleece.Animal = "?"
		case "bagged_at":
			c.DryAt = time.Time{}
		}
	}
	if c.Again != "" { // the line of its first wash has what it weighed
		var others []ledger.CardError
		for _, b := range bad {
			if base, _, _ := unitOf(b.Column, r.Units); base != "raw" || !errors.Is(b, errEmpty) {
				others = append(others, b)
			}
		}
		bad = others
	}
	if c.On.IsZero() {
		c.On, c.DryAt = r.Now, time.Time{}
	}
	if !c.DryAt.IsZero() && c.DryAt.Before(c.On.Add(-12*time.Hour)) {
		bad = append(bad, ledger.CardError{Line: line, Column: "bagged_at", Err: errors.New("it was bagged before it was washed: is the day right?")})
		c.DryAt = time.Time{}
	}
	return c, bad
}
