package compare

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// By is what is held together over the days.
type By int

// What can be held together.
const (
	ByTub By = iota
	ByFleece
	ByType
	ByMethod
	ByCover
)

// ByWords are the words of By.
var ByWords = measure.NewWords[By]("what to hold together", "tub", "fleece", "type", "method", "cover")

func (b By) String() string { return ByWords.Of(b) }

// UnmarshalText reads the word.
func (b *By) UnmarshalText(text []byte) error { return ByWords.Read(text, b) }

// Measure is what is compared.
type Measure int

// What can be compared, each for a batch.
const (
	Margin Measure = iota // °C over the release temperature at the lift
	Soaked                // minutes in wash baths
	Late                  // minutes that baths came later than forecast
	Yield                 // dry by raw
	Waited                // minutes
	Water                 // litres
	Heat                  // kWh
	Scour                 // mL, g of a powder
)

// MeasureWords are the words of Measure.
var MeasureWords = measure.NewWords[Measure]("what to compare", "margin", "minutes", "forecast", "yield", "waits", "water", "heat", "scour")

func (m Measure) String() string { return MeasureWords.Of(m) }

// UnmarshalText reads the word.
func (m *Measure) UnmarshalText(text []byte) error { return MeasureWords.Read(text, m) }

// Lopsided is a measure that ends at 0 and has a long tail: limits as far above its mean as
// below say nothing of it.
func (m Measure) Lopsided() bool { return m == Waited }

// Row is a batch that was washed, with its day.
type Row struct {
	Washed
	Day              shed.DayID
	At               time.Time // when the day began
	FleeceID, Fleece string
	Type             string // of its fleece, "" where the ledger has it no longer
	MethodID, Method string
	RawG, DryG       float64         // DryG 0: not weighed
	Out              session.Outcome // how it came out
	Card             bool            // of a day that was entered later
}

// Rows are the washed batches of ended days, oldest first. Days come newest first with their
// rows and measures (Fill); what does not read is left out, as is scour of another kind than
// the kit's, and the yield of what was washed again: it counts once.
func Rows(days []ledger.Summary, fleeces []shed.Fleece, kit shed.Kit) []Row {
	of := make(map[string]shed.Fleece, len(fleeces))
	for _, f := range fleeces {
		of[f.ID] = f
	}
	out, before := make([]Row, 0, len(days)), ledger.WashedAgain(days)
	for _, d := range slices.Backward(days) {
		if d.Measures == "" || d.EndedAt.IsZero() {
			continue
		}
		all, err := read(d.Measures)
		if err != nil {
			continue
		}
		for _, w := range all {
			w.TubName = kit.NameNow(w.TubID, w.TubName)
			if w.Powder != (kit.Scour.PowderGPer100G > 0) {
				w.ScourML = math.NaN()
			}
			r := Row{Washed: w, Day: d.ID, At: d.WashedOn(), MethodID: d.MethodID, Method: d.Method, Card: !d.EnteredAt.IsZero()}
			for _, b := range d.Rows {
				if b.ID == w.Batch {
					r.Fleece = d.Title(b)
					r.FleeceID, r.RawG, r.DryG, r.Out = b.FleeceID, b.RawG, b.DryG, b.Out
				}
			}
			if before.Has(d.ID, w.Batch) {
				r.DryG = 0
			}
			if f, ok := of[r.FleeceID]; ok {
				r.Type = f.Type.String()
			}
			out = append(out, r)
		}
	}
	return out
}

// Of is a batch's figure; NaN where it is not known.
func (r *Row) Of(m Measure) float64 {
	switch m {
	case Margin:
		return r.MarginC
	case Soaked:
		return r.SoakedMin
	case Late:
		return r.LateMin
	case Yield:
		if r.DryG > 0 && r.RawG > 0 {
			return r.DryG / r.RawG
		}
	case Waited:
		return r.WaitedMin
	case Water:
		return r.WaterL
	case Heat:
		return r.HeatKWh
	case Scour:
		return r.ScourML
	}
	return math.NaN()
}

// key says which group a batch is in, and what that is called.
func (r Row) key(by By) (key, name string) {
	switch by {
	case ByTub:
		return cmp.Or(r.TubID, r.TubName), cmp.Or(r.TubName, "tub not known")
	case ByFleece:
		return cmp.Or(r.FleeceID, r.Fleece), r.Fleece
	case ByType:
		return r.Type, cmp.Or(r.Type, "type not known")
	case ByMethod:
		return cmp.Or(r.MethodID, r.Method), cmp.Or(r.Method, "method not known")
	case ByCover:
		if r.Card {
			return "", "cover not known"
		}
		return r.Cover.String(), r.Cover.String()
	}
	return "", ""
}

// Group is what is held together: its batches, and its days with a figure each.
type Group struct {
	Name  string // as it is now
	Rows  []Row
	Days  []Point // those with a figure, oldest first
	Chart Chart
}

// Point is a group's batches of one day.
type Point struct {
	Day  shed.DayID
	At   time.Time
	Rows []Row   // with a figure
	V    float64 // their mean
}

// Groups holds rows together and works out what is usual of each, in order of their names.
func Groups(rows []Row, by By, m Measure) []Group {
	at := map[string]int{}
	var out []Group
	for _, r := range rows {
		key, name := r.key(by)
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key], out = i, append(out, Group{})
		}
		out[i].Name, out[i].Rows = name, append(out[i].Rows, r)
	}
	for i := range out {
		out[i].measure(m)
	}
	sort.SliceStable(out, func(i, j int) bool { return strings.ToLower(out[i].Name) < strings.ToLower(out[j].Name) })
	return out
}

func (g *Group) measure(m Measure) {
	for _, r := range g.Rows {
		if !measure.Finite(r.Of(m)) {
			continue
		}
		if n := len(g.Days); n == 0 || g.Days[n-1].Day != r.Day {
			g.Days = append(g.Days, Point{Day: r.Day, At: r.At})
		}
		p := &g.Days[len(g.Days)-1]
		p.Rows = append(p.Rows, r)
	}
	v := make([]float64, len(g.Days))
	for i := range g.Days {
		g.Days[i].V = meanOf(g.Days[i].Rows, m)
		v[i] = g.Days[i].V
	}
	g.Chart = ChartOf(v, !m.Lopsided())
}

// meanOf is the mean of the batches that have a figure, NaN of none; the yield is that of
// all of them together.
func meanOf(rows []Row, m Measure) float64 {
	var v []float64
	rawG, dryG := 0.0, 0.0
	for _, r := range rows {
		if x := r.Of(m); measure.Finite(x) {
			v = append(v, x)
			rawG, dryG = rawG+r.RawG, dryG+r.DryG
		}
	}
	if m == Yield && len(v) > 0 {
		return dryG / rawG
	}
	return mean(v)
}
