package exchange

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// Row is one batch as the table has it.
type Row struct {
	Day     shed.DayID
	Tag     tags.Tag
	Fleece  shed.Fleece
	Presoak shed.PresoakChoice
	Fate    session.Fate
	Tray    string // its name
	Batch   shed.Batch
	Method  string // its name
	Tub     string // of the first wash; "" where none is known
	Card    bool   // of a day that was entered later: nothing is known of its hours
	Before  bool   // the table has the row of its first wash, where its raw weight stands
	Later   bool   // the table has the row of a later wash, where its dry weight stands
}

// RowsOf makes the rows of what was washed on a day, in the order of its plan;
// dates are those of zone.
//
// Errors: those of tags.FromDay.
func RowsOf(id shed.DayID, d session.Day, zone *time.Location) ([]Row, error) {
	all, err := tags.FromDay(id, d, zone)
	if err != nil {
		return nil, err
	}
	out := make([]Row, len(all))
	for i, b := range d.Washed() {
		out[i] = Row{Day: id, Tag: all[i], Fleece: *d.FleeceOf(b.ID), Presoak: b.Presoak, Fate: d.Fate[b.ID], Batch: b}
		tray, _ := d.Plan.Kit.Tray(out[i].Fate.Tray)
		out[i].Tray, out[i].Method, out[i].Tub, out[i].Card = tray.Name, d.Plan.Method.Name, d.WashedIn(&b), d.Plan.FromCards()
		if out[i].Card {
			out[i].Fate.Washes = b.Card.Washes
			if out[i].Fate.RackedAt = (time.Time{}); out[i].Fate.DryAt.Equal(d.StartedAt) {
				out[i].Fate.DryAt = time.Time{}
			}
		}
		if n := out[i].Fate.Washes; (n > 0 || b.FromStep != "") && !b.Raw() {
			out[i].Fate.Washes = n + max(1, b.Washed)
		}
	}
	return out, nil
}

// columns of the table in order. A new one goes to the end, so that what reads
// the table by position goes on.
var columns = []column[Row]{
	{"day", func(r Row) string { return strconv.FormatUint(uint64(r.Day), 10) }},
	{"washed_on", func(r Row) string { return date(r.Tag.WashedOn) }},
	{"code", func(r Row) string { return asText(r.Tag.Code) }},
	{"batch", func(r Row) string { return harmless(r.Tag.Batch) }},
	{"fleece", func(r Row) string { return harmless(r.Fleece.ID) }},
	{"animal", func(r Row) string { return harmless(r.Fleece.Animal) }},
	{"farm", func(r Row) string { return harmless(r.Fleece.Farm) }},
	{"clip_year", func(r Row) string { return whole(r.Fleece.Year) }},
	{"type", func(r Row) string { return r.Fleece.Type.String() }},
	{"wax", func(r Row) string { return r.Fleece.Wax.String() }},
	{"felting", func(r Row) string { return r.Fleece.Felting.String() }},
	{"form", func(r Row) string { return formText(r.Tag.Form) }},
	{"presoak", func(r Row) string { return r.Presoak.String() }},
	{"raw_g", func(r Row) string {
		if r.Before { // a column is summed
			return ""
		}
		return mass(r.Tag.RawG)
	}},
	{"dry_g", func(r Row) string { return r.dry(false) }},
	{"yield_percent", func(r Row) string { return figure(math.Round(1000*r.Tag.YieldPart()) / 10) }},
	{"fleece_notes", func(r Row) string { return harmless(r.Fleece.Notes) }},
	{"colour", func(r Row) string { return harmless(r.Fleece.Colour) }},
	{"staple_mm", func(r Row) string { return figure(math.Round(r.Fleece.StapleMM*10) / 10) }},
	{"fleece_raw_g", func(r Row) string { return mass(r.Fleece.RawG) }},
	{"fleece_skirted_g", func(r Row) string { return mass(r.Fleece.SkirtedG) }},
	{"raw_scale", func(r Row) string { return harmless(r.Batch.RawScale.Name) }},
	{"raw_scale_step_g", func(r Row) string { return mass(r.Batch.RawScale.StepG) }},
	{"dry_scale", func(r Row) string { return harmless(r.Fate.DryScale.Name) }},
	{"dry_scale_step_g", func(r Row) string { return mass(r.Fate.DryScale.StepG) }},
	{"humidity_percent", func(r Row) string { return figure(math.Round(1000*r.Fate.DryRH) / 10) }},
	{"tray", func(r Row) string { return harmless(r.Tray) }},
	{"racked_at", func(r Row) string { return moment(r.Fate.RackedAt, r.Tag.WashedOn.Location()) }},
	{"bagged_at", func(r Row) string { return moment(r.Fate.DryAt, r.Tag.WashedOn.Location()) }},
	{"first_wet_g", func(r Row) string { return mass(r.firstWetG()) }},
	{"part", func(r Row) string { return harmless(r.Batch.Part) }},
	{"locks_layers", func(r Row) string { return whole(r.Batch.Layers) }},
	{"after_presoak_g", func(r Row) string { return mass(r.Fate.SoakedG) }},
	{"tray_layers", func(r Row) string { return layers(r.Fate.Spots) }},
	{"came_out", func(r Row) string { return r.Fate.Out.Found.String() }},
	{"came_out_words", func(r Row) string { return harmless(r.Fate.Out.Note) }},
	{"washes", func(r Row) string { return whole(r.Fate.Washes) }},
	{"washed_again_from", func(r Row) string { return asText(again(&r.Batch)) }},
	{"method", func(r Row) string { return harmless(r.Method) }},
	{"tub", func(r Row) string { return harmless(r.Tub) }},
	{"entered_later", func(r Row) string { return yes(r.Card) }},
	{"place", func(r Row) string { return harmless(r.Fate.Out.Place) }},
	{"mark", func(r Row) string { return harmless(r.Batch.Card.Mark) }},
	{"dry_before_g", func(r Row) string { return r.dry(true) }},
	{"went_on_from", func(r Row) string { return harmless(r.Batch.FromStep) }},
}

// dry is the dry weight of a batch that was washed again later, or of one that was not; "" of the other: a column
// is summed.
func (r *Row) dry(later bool) string {
	if r.Later != later {
		return ""
	}
	return mass(r.Tag.DryG)
}

// again is the code that a batch had before it was washed again, "" for any other.
func again(b *shed.Batch) string {
	if b.Raw() {
		return ""
	}
	code, _ := tag.Code(b.Again.Day, b.Again.Batch)
	return code
}

// Columns are the names of the table's columns, its first line.
func Columns() []string { return names(columns) }

// column is one column of a table: its name, with the unit, and its cell.
type column[R any] struct {
	name string
	cell func(R) string
}

func names[R any](columns []column[R]) (out []string) {
	for _, c := range columns {
		out = append(out, c.name)
	}
	return out
}

// cells are the rows of a table as it is written.
func cells[R any](columns []column[R], rows []R) [][]string {
	out := make([][]string, len(rows))
	for i, r := range rows {
		for _, c := range columns {
			out[i] = append(out[i], c.cell(r))
		}
	}
	return out
}

func yes(is bool) string {
	if is {
		return "yes"
	}
	return ""
}

// date is a full-date of RFC 3339, "" for none.
func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// moment is a date-time of RFC 3339, "" for none.
func moment(t time.Time, zone *time.Location) string {
	if t.IsZero() {
		return ""
	}
	return t.In(zone).Format(time.RFC3339)
}

// firstWetG is the first weight on the way to dry, 0 if there is none.
func (r Row) firstWetG() float64 {
	if len(r.Fate.Wet) == 0 {
		return 0
	}
	return r.Fate.Wet[0].MassG
}

// figure is a number with a point for its decimals, "" where it is not known.
func figure(v float64) string {
	if !(v > 0) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// mass is a figure in g to 0.01 g: finer than any scale here, and without what
// turning ounces into grams leaves behind.
func mass(g float64) string { return figure(math.Round(g*100) / 100) }

// layers are places and layers on a tray, such as "1:2-4": place 1, the second
// layer to the fourth. "" where they are not counted.
func layers(spots []shed.Spot) string {
	var out []string
	for _, s := range spots {
		out = append(out, fmt.Sprintf("%d:%d-%d", s.Place, s.From, s.To))
	}
	return strings.Join(out, " ")
}

func formText(f shed.Form) string {
	if f == shed.FormUnsaid {
		return ""
	}
	return f.String()
}

func whole(n int) string {
	if n <= 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// harmless puts an apostrophe before a text that a spreadsheet would take for a
// formula: one that begins with = + - @, narrow or wide, or with a control
// character; and before one of its own, for reading a table takes one away.
func harmless(text string) string {
	if text != "" && (text[0] < 0x20 || strings.ContainsRune("'=+-@＝＋－＠", []rune(text)[0])) {
		return "'" + text
	}
	return text
}

// asText puts an apostrophe before a code: a spreadsheet would read some of them as
// numbers (0424, 01E4) and drop their noughts, and a column has its codes in one way.
// tag.Parse takes it with or without.
func asText(code string) string {
	if code == "" {
		return ""
	}
	return "'" + code
}

// newTable writes CSV as RFC 4180 has it.
func newTable(w io.Writer) *csv.Writer {
	t := csv.NewWriter(w)
	t.UseCRLF = true
	return t
}

func tableError(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("the table cannot be written: %w", err)
}
