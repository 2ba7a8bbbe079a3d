package compare

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Washed is what a day tells of a batch that was in a wash bath, besides its row in the
// ledger. What is not known is NaN.
type Washed struct {
	_       [0]func() // nobody compares two: no code for it
	Batch   string
	TubID   string // of the first wash, and its name then
	TubName string
	Cover   cooling.Cover // at the first wash's sink-in
	// MarginC is the least °C over the release temperature at a lift, negative below it;
	// MarginRead says that a thermometer told it.
	MarginC    float64
	MarginRead bool
	SoakedMin  float64 // in wash baths, all together
	// LateMin is by how many minutes the baths came later to what was read than the forecast
	// at the sink-in had it, negative where sooner: their mean.
	LateMin   float64
	WaitedMin float64 // fleece or tub for what was to be done next
	WaterL    float64 // of all baths, top-ups included
	HeatKWh   float64 // in that water, over the cold tap's; what tank and kettle lose is not in it
	ScourML   float64 // g where it is a powder
	Powder    bool
}

// Summarise is the day's line for the list of days, with its measures once it has ended.
func Summarise(id shed.DayID, d session.Day) ledger.Summary {
	s := ledger.Summarise(id, d)
	if !d.EndedAt.IsZero() {
		s.Measures = written(MeasuresOf(d))
	}
	return s
}

// MeasuresOf are the batches of a day that were in a wash bath, in the order of its plan.
// Of a day that was entered later nothing is known but in which tub.
func MeasuresOf(d session.Day) []Washed {
	var out []Washed
	if d.Plan.FromCards() {
		for _, b := range d.Washed() {
			none := math.NaN()
			out = append(out, Washed{Batch: b.ID, TubID: b.Card.TubID, TubName: d.WashedIn(&b), MarginC: none, SoakedMin: none, LateMin: none, WaitedMin: none, WaterL: none, HeatKWh: none, ScourML: none})
		}
		return out
	}
	at := map[string]int{}
	late := map[string][]float64{}
	for _, b := range lookback.HotBaths(d) {
		i, ok := at[b.Batch]
		if !ok {
			i = len(out)
			at[b.Batch] = i
			out = append(out, firstWash(d, b))
		}
		w := &out[i]
		if c := b.Lift.TempC - b.Step.ReleaseC; !b.LiftedAt.IsZero() && !(c >= w.MarginC) {
			w.MarginC, w.MarginRead = c, b.Lift.Read
		}
		if measure.Finite(b.ActualMin) {
			w.SoakedMin += b.ActualMin
		}
		if m := lateMin(b); measure.Finite(m) {
			late[b.Batch] = append(late[b.Batch], m)
		}
	}
	if len(out) == 0 {
		return nil
	}
	for _, b := range lookback.EveryBath(d) {
		if i, ok := at[b.Batch]; ok {
			out[i].pour(d, b)
		}
	}
	for _, x := range lookback.WaitsOf(d) {
		if i, ok := at[x.Batch]; ok && x.For != lookback.ForTub { // raw fleece waits without harm
			out[i].WaitedMin += x.Min()
		}
	}
	for i := range out {
		out[i].LateMin = mean(late[out[i].Batch])
	}
	return out
}

func firstWash(d session.Day, b lookback.Bath) Washed {
	w := Washed{Batch: b.Batch, TubName: b.TubName, Powder: d.Plan.Kit.Scour.PowderGPer100G > 0, MarginC: math.NaN(), LateMin: math.NaN()}
	if b.Tub >= 0 && b.Tub < len(d.Plan.Kit.Tubs) {
		w.TubID = d.Plan.Kit.Tubs[b.Tub].ID
	}
	for _, m := range b.Marks {
		if m.Kind == lookback.SunkIn {
			w.Cover = m.Cover
		}
	}
	return w
}

const jPerKWh = 3.6e6

// pour adds a bath's water, its heat and its scour.
func (w *Washed) pour(d session.Day, b session.Bath) {
	add := func(litres, tempC float64) {
		w.WaterL += litres
		w.HeatKWh += cooling.WaterPortion(litres, tempC).HeatJPerK * max(0, tempC-d.Plan.Kit.ColdTapC) / jPerKWh
	}
	add(b.VolumeL, b.FillC)
	for _, c := range b.Changes {
		if c.AddL > 0 {
			add(c.AddL, c.AddC)
		}
	}
	w.ScourML += b.DoseML
}

// What a reading needs to say how far off in minutes a forecast was; our own choices.
const (
	settledMin  = 5    // after the sink-in: before that bath and fleece are not one
	leastCMin   = 0.02 // so slow a bath turns the thermometer's error into an hour
	rateOverMin = 2.0  // the rate of cooling is taken over so long
)

// lateMin is by how many minutes a bath came later to its last reading than the forecast at
// the sink-in had it, by that forecast's own rate; NaN where no reading says so. Readings
// after a pour, another cover or another room say nothing of that forecast.
func lateMin(b lookback.Bath) float64 {
	f, ok := b.AtSinkIn()
	late := math.NaN()
	for _, m := range b.Marks {
		switch {
		case !ok || m.At.After(b.Until()):
			return late
		case !m.At.Before(b.SunkAt) && (m.Kind == lookback.Covered || m.Kind == lookback.ToppedUp || m.Kind == lookback.RoomSet):
			return late
		case m.Kind != lookback.WasRead || m.Doubt || m.At.Before(b.SunkAt.Add(measure.Lasting(settledMin))):
			continue
		}
		wasC, _ := f.Heat.At(m.At)
		thenC, _ := f.Heat.At(m.At.Add(measure.Lasting(rateOverMin)))
		if rate := (wasC - thenC) / rateOverMin; rate >= leastCMin {
			late = (m.TempC - wasC) / rate
		}
	}
	return late
}

// mean is NaN of none.
func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// none stands for a day without a batch that was washed: "" says that nobody worked it out.
const none = "-"

const washedFields = 13

// written is the text of a summary: batches separated by ";", fields by ",", figures to two
// decimals, empty where nothing is known.
func written(all []Washed) string {
	if len(all) == 0 {
		return none
	}
	var b strings.Builder
	for i, w := range all {
		if i > 0 {
			b.WriteByte(';')
		}
		read, powder := "", ""
		if w.MarginRead {
			read = "r"
		}
		if w.Powder {
			powder = "g"
		}
		b.WriteString(strings.Join([]string{ledger.Escaped(w.Batch), ledger.Escaped(w.TubID), ledger.Escaped(w.TubName), strconv.Itoa(int(w.Cover)), figure(w.MarginC), read,
			figure(w.SoakedMin), figure(w.LateMin), figure(w.WaitedMin), figure(w.WaterL), figure(w.HeatKWh), figure(w.ScourML), powder}, ","))
	}
	return b.String()
}

func figure(v float64) string {
	if !measure.Finite(v) {
		return ""
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// read takes the text of a summary apart. Names come out safe to show.
//
// Errors: a sentence that says which batch does not read.
func read(text string) ([]Washed, error) {
	if text == none {
		return nil, nil
	}
	out := make([]Washed, 0, 1+strings.Count(text, ";"))
	for line := range strings.SplitSeq(text, ";") {
		var f [washedFields]string
		n := 0
		for field := range strings.SplitSeq(line, ",") {
			if n < washedFields {
				f[n] = field
			}
			n++
		}
		w, err := washedOf(f)
		if n != washedFields {
			err = fmt.Errorf("it has %d fields, not %d", n, washedFields)
		}
		if err != nil {
			return nil, session.Unreadable(fmt.Sprintf("batch %d of a day's measures", len(out)+1), err)
		}
		out = append(out, w)
	}
	return out, nil
}

func washedOf(f [washedFields]string) (w Washed, err error) {
	keep := func(e error) {
		if err == nil {
			err = e
		}
	}
	name := func(field string) string {
		text, e := ledger.Unescaped(field)
		keep(e)
		return measure.CleanText(text, shed.MaxName)
	}
	number := func(field string) float64 {
		if field == "" {
			return math.NaN()
		}
		v, e := strconv.ParseFloat(field, 64)
		if e == nil && !measure.Finite(v) {
			e = fmt.Errorf("%s is no figure", measure.CleanText(field, 20))
		}
		keep(e)
		return v
	}
	cover, e := strconv.Atoi(f[3])
	keep(e)
	if _, e := cooling.Cover(cover).MarshalText(); e != nil {
		keep(e)
	}
	return Washed{Batch: name(f[0]), TubID: name(f[1]), TubName: name(f[2]), Cover: cooling.Cover(cover), MarginC: number(f[4]), MarginRead: f[5] == "r",
		SoakedMin: number(f[6]), LateMin: number(f[7]), WaitedMin: number(f[8]), WaterL: number(f[9]), HeatKWh: number(f[10]), ScourML: number(f[11]), Powder: f[12] == "g"}, err
}

// Lacks says that the summary of an ended day has no measures, or those of another version.
func Lacks(s ledger.Summary) bool {
	first, _, _ := strings.Cut(s.Measures, ";")
	return !s.EndedAt.IsZero() && s.Measures != none && strings.Count(first, ",") != washedFields-1
}

// Fill gives the summaries of ended days the measures that they lack, and all their rows
// (ledger.FillRows), from their events. The store is not changed: a day's next event writes
// its summary anew.
//
// Errors: those of j, naming the day; the others are filled all the same.
func Fill(j ledger.Journal, days []ledger.Summary) (first error) {
	for i, s := range days {
		err := ledger.FillRows(j, days[i:i+1])
		if err == nil && Lacks(s) {
			var d session.Day
			if d, err = j.Day(s.ID); err == nil {
				days[i].Measures = written(MeasuresOf(d))
			} else {
				err = fmt.Errorf("day %d: %w", s.ID, err)
			}
		}
		first = cmp.Or(first, err)
	}
	return first
}
