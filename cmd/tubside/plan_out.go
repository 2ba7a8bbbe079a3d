package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
)

// planJSON is the command's answer: litres, grams, mL, °C, kWh, minutes from
// the start.
type planJSON struct {
	Start     time.Time      `json:"start"`
	Batches   []batchJSON    `json:"batches"`
	Fills     []planFillJSON `json:"fills"`
	Timetable []pieceJSON    `json:"timetable"`
	FinishMin float64        `json:"finish_min"`
	BoundMin  float64        `json:"bound_min"`
	Gap       float64        `json:"gap"`
	Proven    bool           `json:"proven"`
	Sums      sumsJSON       `json:"sums"`
	ByTubs    []byTubsJSON   `json:"by_tubs"`
	Dry       string         `json:"dry,omitempty"` // tubs that are too small for every batch
	HotWater  []drawJSON     `json:"hot_water"`
	Nights    []nightJSON    `json:"nights,omitempty"` // overnight presoaks
	Breaks    []breakJSON    `json:"breaks,omitempty"`
	Days      [][]string     `json:"days,omitempty"` // batches by day, where it is more than one day's work
	Cautions  []string       `json:"cautions"`
}

type nightJSON struct {
	Batches  []string `json:"batches"`
	BinL     float64  `json:"bin_l"` // of cold water; 0: in the tubs
	StartMin float64  `json:"start_min"`
	EndMin   float64  `json:"end_min"`
}

type breakJSON struct {
	StartMin float64 `json:"start_min"`
	EndMin   float64 `json:"end_min"`
	Says     string  `json:"says"` // what to lift before, and what may soak on
}

type batchJSON struct {
	Batch  string    `json:"batch"`
	Fleece string    `json:"fleece"`
	RawG   float64   `json:"raw_g"`
	Form   shed.Form `json:"form"`
	Part   string    `json:"part,omitempty"`
	Layers int       `json:"layers,omitempty"`
	DoseML float64   `json:"dose_ml"` // for each wash
}

type planFillJSON struct {
	Batch   string  `json:"batch"`
	Tub     string  `json:"tub"`
	Step    string  `json:"step"`
	HotL    float64 `json:"hot_l"`
	ColdL   float64 `json:"cold_l"`
	KettleL float64 `json:"kettle_l"`
	WaterC  float64 `json:"water_c"`
	AfterC  float64 `json:"after_c"`
	ShortC  float64 `json:"short_c"`
	DoseML  float64 `json:"dose_ml"`
}

type pieceJSON struct {
	Who      string        `json:"who"` // hands, kettle or soak
	Batch    string        `json:"batch"`
	Tub      string        `json:"tub"`
	Step     string        `json:"step"`
	Acts     []string      `json:"acts,omitempty"`
	StartMin float64       `json:"start_min"`
	EndMin   float64       `json:"end_min"`
	SpareMin *float64      `json:"spare_min,omitempty"`
	LateMin  float64       `json:"late_min,omitempty"`
	TankMin  float64       `json:"tank_min,omitempty"`    // for so long it waits for nothing but the tank
	Release  *finiteOrNull `json:"release_min,omitempty"` // early bound of its release temperature
}

type sumsJSON struct {
	WaterL    float64  `json:"water_l"`
	HotL      float64  `json:"hot_l"`
	ColdL     float64  `json:"cold_l"`
	KettleL   float64  `json:"kettle_l"`
	Boils     int      `json:"boils"`
	TankKWh   float64  `json:"tank_kwh"`
	KettleKWh float64  `json:"kettle_kwh"`
	ScourML   float64  `json:"scour_ml"`
	LengthMin float64  `json:"length_min"`
	HandsMin  float64  `json:"hands_min"`
	Cost      *float64 `json:"cost,omitempty"`
}

type byTubsJSON struct {
	Tubs      int      `json:"tubs"`
	Names     []string `json:"names"`
	FinishMin float64  `json:"finish_min"`
	SpareMin  *float64 `json:"spare_min,omitempty"`
	HotL      float64  `json:"hot_l"`
	KettleL   float64  `json:"kettle_l"`
	Gap       float64  `json:"gap"`
	Proven    bool     `json:"proven"`
	Problem   string   `json:"problem,omitempty"`
}

type drawJSON struct {
	Batch       string       `json:"batch"`
	Step        string       `json:"step"`
	AtMin       float64      `json:"at_min"`
	HotL        float64      `json:"hot_l"`
	TapC        float64      `json:"tap_c"`
	LeftL       float64      `json:"left_l"`
	WaitMin     finiteOrNull `json:"wait_min"`
	MoreKettleL finiteOrNull `json:"more_kettle_l"`
}

func writePlanJSON(out io.Writer, o planner.Outlook, byTubs []planner.WithTubs) error {
	t, k := o.Timetable, o.Plan.Kit
	at := func(m time.Time) float64 { return m.Sub(t.From).Minutes() }
	j := planJSON{Start: t.From, FinishMin: at(t.Finish), BoundMin: at(t.Bound), Gap: t.Gap(), Proven: t.Proven, Days: o.ByDays, Dry: o.SayDry(), Cautions: o.Cautions,
		Sums: sumsJSON{WaterL: o.Sums.WaterL, HotL: o.Sums.HotL, ColdL: o.Sums.ColdL, KettleL: o.Sums.KettleL, Boils: o.Sums.Boils,
			TankKWh: o.Sums.TankKWh, KettleKWh: o.Sums.KettleKWh, ScourML: o.Sums.ScourML, LengthMin: o.Sums.LengthMin, HandsMin: o.Sums.HandsMin}}
	if o.Sums.HasCost {
		j.Sums.Cost = &o.Sums.Cost
	}
	for _, n := range o.Nights {
		j.Nights = append(j.Nights, nightJSON{n.Batches, n.BinL, at(n.At), at(n.Until)})
	}
	for _, s := range t.Breaks {
		j.Breaks = append(j.Breaks, breakJSON{at(s.From), at(s.To), t.SayBreak(s, &o.Plan)})
	}
	titles, waxes := map[string]string{}, waxOf(o.Plan)
	for _, f := range o.Plan.Fleeces {
		titles[f.ID] = f.Title()
	}
	for _, b := range o.Plan.Batches {
		j.Batches = append(j.Batches, batchJSON{b.ID, titles[b.FleeceID], b.RawG, b.Form, b.Part, b.Layers, k.DoseFor(b.RawG, waxes[b.FleeceID])})
	}
	for _, b := range t.Baths {
		f, _ := o.FillOf(b)
		j.Fills = append(j.Fills, planFillJSON{b.Batch, k.Tubs[b.Tub].Name, b.Step.Name, f.Pour.HotL, f.Pour.ColdL, f.Pour.KettleL, f.WaterC, f.AfterC, f.ShortC, f.DoseML})
	}
	for _, p := range t.Pieces {
		x := pieceJSON{Who: "hands", Batch: p.Batch, Tub: k.Tubs[p.Tub].Name, Step: p.Name, StartMin: at(p.Start), EndMin: at(p.End), LateMin: p.Late.Minutes(), TankMin: p.TankMin}
		if p.Boil() {
			x.Who = "kettle"
		}
		for _, a := range p.Acts {
			x.Acts = append(x.Acts, a.String())
		}
		if p.HasSpare {
			spare := p.Spare.Minutes()
			x.SpareMin = &spare
		}
		j.Timetable = append(j.Timetable, x)
	}
	for _, s := range t.Soaks {
		x := pieceJSON{Who: "soak", Batch: s.Batch, Tub: k.Tubs[s.Tub].Name, Step: s.Step.Name, StartMin: at(s.Start), EndMin: at(s.End)}
		if !s.Release.IsZero() {
			release := finiteOrNull(at(s.Release))
			x.Release = &release
		}
		j.Timetable = append(j.Timetable, x)
	}
	for _, w := range byTubs {
		x := byTubsJSON{Tubs: len(w.Tubs), HotL: w.HotL, KettleL: w.KettleL, Gap: w.Gap, Proven: w.Proven, Problem: w.Problem}
		for _, t := range w.Tubs {
			x.Names = append(x.Names, t.Name)
		}
		if w.Problem == "" {
			x.FinishMin = at(w.Finish)
		}
		if w.HasSpare {
			spare := w.Spare.Minutes()
			x.SpareMin = &spare
		}
		j.ByTubs = append(j.ByTubs, x)
	}
	for _, d := range o.Draws {
		j.HotWater = append(j.HotWater, drawJSON{d.Batch, d.Step.Name, at(d.At), d.HotL, d.TapC, d.LeftL, finiteOrNull(d.WaitMin), finiteOrNull(d.MoreKettleL)})
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	return enc.Encode(j)
}

func writePlanText(out io.Writer, o planner.Outlook, byTubs []planner.WithTubs) error {
	t, k := o.Timetable, o.Plan.Kit
	u, waxes := k.Units, waxOf(o.Plan)
	var b strings.Builder
	say := func(format string, args ...any) { _, _ = fmt.Fprintf(&b, format+"\n", args...) }
	dayOf := func(m time.Time) string { return u.Moment(m, "Mon 2 Jan") }
	// A moment of another date than the start's is told with its day.
	dated := func(m time.Time) string {
		if day := dayOf(m); day != dayOf(t.From) {
			return u.Clock(m) + " on " + day
		}
		return u.Clock(m)
	}
	from := u.Clock(t.From)
	if len(o.Nights) > 0 || dayOf(t.From) != dayOf(time.Now().In(t.From.Location())) {
		from = u.Clock(t.From) + " on " + dayOf(t.From)
	}
	say("%s, %s at the tubs from %s: done at %s (%s)", measure.Counted(len(o.Plan.Batches), "batch", "batches"), t.Lasts(), from, dated(t.Finish), howGood(u, t))
	for _, x := range o.Plan.Batches {
		say("  %-4s %s, scour %s a wash", x.ID, x.What(u.Mass(x.RawG)+" raw"), k.DoseText(k.DoseFor(x.RawG, waxes[x.FleeceID])))
	}
	for _, n := range o.Nights {
		say("  %s %s  %s", dayOf(n.At), u.Clock(n.At), planner.SayNight(n, &k, time.Time{}))
	}
	tubWide, stepWide := len("tub"), 0
	for _, x := range t.Baths {
		tubWide, stepWide = max(tubWide, ansi.StringWidthWc(k.Tubs[x.Tub].Name)), max(stepWide, ansi.StringWidthWc(x.Step.Name))
	}
	tub := func(i int) string { return draw.Fit(k.Tubs[i].Name, tubWide) }
	say("\n%-*s  %s  batch  what", len(u.ClockColumn(t.From)), "when", draw.Fit("tub", tubWide))
	on := dayOf(t.From)
	for _, p := range t.Pieces {
		if day := dayOf(p.Start); day != on {
			say("%s", day)
			on = day
		}
		what := p.Words(&k)
		if p.HasSpare {
			what += fmt.Sprintf(" (%s to spare)", measure.Minutes(math.Floor(p.Spare.Minutes())))
		}
		say("%s  %s  %-5s  %s", u.ClockColumn(p.Start), tub(p.Tub), p.Batch, what)
	}
	for _, s := range t.Breaks {
		say("\n%s", t.SayBreak(s, &o.Plan))
	}
	if free := breaks(t.Pieces); len(free) > 0 {
		var spans []string
		for _, f := range free {
			spans = append(spans, u.Clock(f[0])+" to "+u.Clock(f[1]))
		}
		say("\nnothing needs you from %s: time for a meal", strings.Join(spans, ", from "))
	}
	say("\nfills")
	for _, x := range t.Baths {
		f, _ := o.FillOf(x)
		say("  %-4s %s  %s  %s", x.Batch, draw.Fit(x.Step.Name, stepWide), tub(x.Tub), fillWords(k, f))
	}
	wide := len(u.ClockColumn(t.From))
	for _, w := range byTubs {
		if w.Problem == "" {
			wide = max(wide, len(dated(w.Finish)))
		}
	}
	say("\ntubs   %-*s   to spare   hot water  which", wide, "done")
	for _, w := range byTubs {
		if w.Problem != "" {
			say("%4d   %s   %s", len(w.Tubs), w.Names(k), w.Problem)
			continue
		}
		spare := "-"
		if w.HasSpare {
			spare = measure.Minutes(math.Floor(w.Spare.Minutes()))
		}
		say("%4d   %-*s   %-9s  %-9s  %s", len(w.Tubs), wide, dated(w.Finish), spare, u.Volume(w.HotL+w.KettleL), w.Names(k))
	}
	if dry := o.SayDry(); dry != "" {
		say("%s", dry)
	}
	s := o.Sums
	say("\nwater %s (%s from the hot tap, %s of it boiled in %s; %s cold), energy %.1f kWh from the tank and %.1f kWh in the kettle, scour %s, hands %s",
		u.VolumeSum(s.WaterL), u.VolumeSum(s.TapHotL()), u.VolumeSum(s.KettleL), measure.Counted(s.Boils, "boil", "boils"), u.VolumeSum(s.ColdL), s.TankKWh, s.KettleKWh, k.DoseSumText(s.ScourML), measure.Minutes(math.Round(s.HandsMin)))
	if s.HasCost {
		say("cost %s", s.CostText(k))
	}
	for _, c := range o.Cautions {
		say("mind: %s", c)
	}
	hottestC := 0.0
	for _, x := range t.Baths {
		hottestC = max(hottestC, x.Fill.HottestC)
	}
	if scald := coach.HotWaterCaution(u, hottestC).Text; scald != "" {
		say("mind: %s", scald)
	}
	say("mind: waxy water goes outdoors, local rules decide where")
	_, err := io.WriteString(out, b.String())
	return err
}

// breaks are the times of half an hour and more between one piece of work and the next,
// but for nights; a kettle wants a hand only when it is put on.
func breaks(pieces []planner.Piece) (out [][2]time.Time) {
	var busy time.Time
	for _, p := range pieces {
		if free := p.Start.Sub(busy); !busy.IsZero() && free >= 30*time.Minute && free < 6*time.Hour {
			out = append(out, [2]time.Time{busy, p.Start})
		}
		end := p.End
		if p.Boil() {
			end = p.Start
		}
		if end.After(busy) {
			busy = end
		}
	}
	return out
}

// waxOf is the wax of each fleece.
func waxOf(p shed.Plan) map[string]shed.Level {
	out := map[string]shed.Level{}
	for _, f := range p.Fleeces {
		out[f.ID] = f.Wax
	}
	return out
}

// howGood says how near the timetable is to the best there can be.
func howGood(u measure.System, t planner.Timetable) string {
	if t.Proven {
		return "no order is faster"
	}
	return fmt.Sprintf("at most %s faster in any order", u.Percent(math.Ceil(100*t.Gap())/100, 0))
}

func fillWords(k shed.Kit, f session.FillPlan) string {
	return fmt.Sprintf("%s: %s, then %s%s", coach.PourText(k, f), k.Units.TempFine(f.WaterC), k.Units.TempFine(f.AfterC), coach.SayUnder(k.Units, f))
}
