package exchange

import (
	"bufio"
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

// cardColumn takes a cell into a card.
type cardColumn func(CardReader, *ledger.Card, string) error

// words takes a cell that is a word of a list.
func words[T any, P interface {
	*T
	UnmarshalText(text []byte) error
}](into func(*ledger.Card) P) cardColumn {
	return func(_ CardReader, c *ledger.Card, text string) error { return into(c).UnmarshalText([]byte(text)) }
}

func text(most int, into func(*ledger.Card) *string) cardColumn {
	return func(_ CardReader, c *ledger.Card, text string) error {
		if len([]rune(text)) > most {
			return fmt.Errorf("it is longer than %d characters: shorten it", most)
		}
		*into(c) = measure.CleanText(text, most)
		return nil
	}
}

func mark(into func(*ledger.Card) *string) cardColumn {
	return func(_ CardReader, c *ledger.Card, text string) error {
		day, batch, err := tag.Parse(text)
		if err == nil {
			*into(c), err = tag.Code(day, batch)
		}
		return err
	}
}

func count(low, high int, into func(*ledger.Card) *int) cardColumn {
	return func(r CardReader, c *ledger.Card, text string) error {
		n, err := r.Units.ParseCount(text, fmt.Sprint(low))
		if err == nil && (n < uint64(low) || n > uint64(high)) {
			err = fmt.Errorf("it should be from %d to %d", low, high)
		}
		*into(c) = int(min(n, uint64(high)))
		return err
	}
}

// measured takes a figure in the units that its column has.
func measured(u func(CardReader) measure.System, parse func(measure.System, string) (float64, error), into func(*ledger.Card) *float64) cardColumn {
	return func(r CardReader, c *ledger.Card, text string) error {
		v, err := parse(u(r), text)
		*into(c) = v
		return err
	}
}

var (
	inOwn    = func(r CardReader) measure.System { return r.Units }
	inMetric = func(CardReader) measure.System { return measure.Metric }
	inUS     = func(CardReader) measure.System { return measure.US }
)

// needed are the columns without which a line says nothing.
var needed = []string{"washed_on", "animal", "raw_g"}

// cardColumns are the columns that are read; nil is left alone, for it follows from others or
// from the record.
var cardColumns = func() map[string]cardColumn {
	all := map[string]cardColumn{
		"washed_on": func(r CardReader, c *ledger.Card, text string) (err error) {
			if c.On, err = r.Units.ParseDay(text, r.Zone); err == nil {
				err = ledger.CheckOn(c.On, r.Now)
			}
			return err
		},
		"day":               text(20, func(c *ledger.Card) *string { return &c.Day }),
		"code":              mark(func(c *ledger.Card) *string { return &c.Code }),
		"batch":             text(shed.MaxName, func(c *ledger.Card) *string { return &c.Batch.Card.Mark }),
		"fleece":            text(shed.MaxName, func(c *ledger.Card) *string { return &c.Fleece.ID }),
		"animal":            text(shed.MaxName, func(c *ledger.Card) *string { return &c.Fleece.Animal }),
		"farm":              text(shed.MaxName, func(c *ledger.Card) *string { return &c.Fleece.Farm }),
		"clip_year":         count(1950, 2200, func(c *ledger.Card) *int { return &c.Fleece.Year }),
		"type":              words(func(c *ledger.Card) *shed.FleeceType { return &c.Fleece.Type }),
		"wax":               words(func(c *ledger.Card) *shed.Level { return &c.Fleece.Wax }),
		"felting":           words(func(c *ledger.Card) *shed.Level { return &c.Fleece.Felting }),
		"form":              words(func(c *ledger.Card) *shed.Form { return &c.Batch.Form }),
		"presoak":           words(func(c *ledger.Card) *shed.PresoakChoice { return &c.Batch.Presoak }),
		"fleece_notes":      text(shed.MaxNote, func(c *ledger.Card) *string { return &c.Fleece.Notes }),
		"colour":            text(shed.MaxName, func(c *ledger.Card) *string { return &c.Fleece.Colour }),
		"raw_scale":         text(shed.MaxName, func(c *ledger.Card) *string { return &c.Batch.RawScale.Name }),
		"dry_scale":         text(shed.MaxName, func(c *ledger.Card) *string { return &c.Scale.Name }),
		"part":              text(shed.MaxName, func(c *ledger.Card) *string { return &c.Batch.Part }),
		"locks_layers":      count(1, 20, func(c *ledger.Card) *int { return &c.Batch.Layers }),
		"washes":            count(1, shed.MaxWashes, func(c *ledger.Card) *int { return &c.Batch.Card.Washes }),
		"tub":               text(shed.MaxName, func(c *ledger.Card) *string { return &c.Batch.Card.Tub }),
		"method":            text(shed.MaxName, func(c *ledger.Card) *string { return &c.Method }),
		"note":              text(shed.MaxNote, func(c *ledger.Card) *string { return &c.Note }),
		"came_out":          func(_ CardReader, c *ledger.Card, text string) error { return c.Out.Found.UnmarshalText([]byte(text)) },
		"came_out_words":    text(shed.MaxNote, func(c *ledger.Card) *string { return &c.Out.Note }),
		"washed_again_from": mark(func(c *ledger.Card) *string { return &c.Again }),
		"humidity_percent":  measured(inOwn, measure.System.ParsePercent, func(c *ledger.Card) *float64 { return &c.RH }),
		"bagged_at": func(r CardReader, c *ledger.Card, text string) (err error) {
			if c.DryAt, err = time.Parse(time.RFC3339, text); err != nil {
				c.DryAt, err = r.Units.ParseDay(text, r.Zone)
			}
			if err == nil {
				err = ledger.CheckOn(c.DryAt, r.Now)
			}
			return err
		},
	}
	for _, name := range []string{"yield_percent", "tray", "racked_at", "first_wet_g", "after_presoak_g", "tray_layers", "entered_later"} {
		all[name] = nil
	}
	for name, into := range map[string]func(*ledger.Card) *float64{
		"raw": func(c *ledger.Card) *float64 { return &c.Batch.RawG }, "dry": func(c *ledger.Card) *float64 { return &c.DryG },
		"fleece_raw": func(c *ledger.Card) *float64 { return &c.Fleece.RawG }, "fleece_skirted": func(c *ledger.Card) *float64 { return &c.Fleece.SkirtedG },
		"raw_scale_step": func(c *ledger.Card) *float64 { return &c.Batch.RawScale.StepG }, "dry_scale_step": func(c *ledger.Card) *float64 { return &c.Scale.StepG },
	} {
		all[name], all[name+"_g"], all[name+"_oz"] = measured(inOwn, measure.System.ParseMassG, into), measured(inMetric, measure.System.ParseMassG, into), measured(inUS, measure.System.ParseMassG, into)
	}
	staple := func(c *ledger.Card) *float64 { return &c.Fleece.StapleMM }
	all["staple"], all["staple_mm"], all["staple_in"] = measured(inOwn, measure.System.ParseStapleMM, staple), measured(inMetric, measure.System.ParseStapleMM, staple), measured(inUS, measure.System.ParseStapleMM, staple)
	return all
}()

// What a table of cards may have at most: a lifetime of washes has less.
const (
	mostCards     = 20_000
	mostCardBytes = 16 << 20
)

// Cards reads a table. Bad lines are told each by its number, column and what would be right;
// with any of them the cards should not be kept.
//
// Errors: a file that is no such table, or what in returns, a sentence each.
func (r CardReader) Cards(in io.Reader) (cards []ledger.Card, bad []ledger.CardError, err error) {
	buffered := bufio.NewReader(io.LimitReader(in, mostCardBytes))
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
	if err := r.checkHeads(heads); err != nil {
		return nil, nil, err
	}
	for {
		cells, err := t.Read()
		switch {
		case errors.Is(err, io.EOF):
			if len(cards)+len(bad) == 0 {
				err = errors.New("the table has its heads alone, and no wash")
				return nil, nil, err
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

// checkHeads cleans the names of the columns and refuses what is not known, missing or twice.
func (r CardReader) checkHeads(heads []string) error {
	base := func(name string) string {
		return strings.TrimSuffix(strings.TrimSuffix(name, "_g"), "_oz")
	}
	has := map[string]bool{}
	for i, h := range heads {
		h = strings.ToLower(strings.ReplaceAll(measure.CleanText(h, 40), " ", "_"))
		heads[i] = h
		_, known := cardColumns[h]
		switch {
		case !known:
			return fmt.Errorf("line 1: there is no column \"%s\": take it out, or name it as `tubside export --csv` does (washed_on, animal, farm, raw_g, dry_g, …)", h)
		case has[base(h)]:
			return fmt.Errorf("line 1: there are two columns for %s: leave one", base(h))
		}
		has[base(h)] = true
	}
	for _, n := range needed {
		if !has[base(n)] {
			return fmt.Errorf("line 1: the column %s is missing: each wash needs its day, its animal and its raw weight", n)
		}
	}
	return nil
}

// card reads a line.
func (r CardReader) card(line int, heads, cells []string) (c ledger.Card, bad []ledger.CardError) {
	c = ledger.Card{Line: line, Fleece: shed.Fleece{}}
	for i, h := range heads {
		cell := strings.TrimSpace(cells[i])
		cell = strings.TrimPrefix(cell, "'") // it keeps a spreadsheet from reckoning
		take := cardColumns[h]
		var err error
		switch {
		case cell == "" && slices.ContainsFunc(needed, func(n string) bool { return n == h || n == h+"_g" || strings.TrimSuffix(h, "_oz")+"_g" == n }):
			err = errors.New("it is empty, and each wash needs it")
		case cell != "" && take != nil:
			err = take(r, &c, cell)
		}
		if err != nil {
			bad = append(bad, ledger.CardError{Line: line, Column: h, Err: err})
		}
	}
	if !c.DryAt.IsZero() && c.DryAt.Before(c.On.Add(-12*time.Hour)) {
		bad = append(bad, ledger.CardError{Line: line, Column: "bagged_at", Err: errors.New("it was bagged before it was washed: is the day right?")})
	}
	return c, bad
}
