package page

import (
	_ "embed"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
)

//go:embed style.css
var style string

// htmlPage is the page as it is written.
type htmlPage struct {
	builder
	Look
	w     lookback.Words
	r     ledger.Review
	t     lookback.Timings
	baths []lookback.Bath
}

// HTML writes the whole page in one go.
//
// Errors: what out returns.
func (l Look) HTML(out io.Writer) error {
	p := &htmlPage{Look: l, w: l.words(), r: l.review(), t: lookback.TimingsOf(l.Day), baths: lookback.Baths(l.Day)}
	p.page()
	_, err := io.WriteString(out, p.String())
	return err
}

func (p *htmlPage) page() {
	lang := "en-GB"
	if p.Units.American() {
		lang = "en-US"
	}
	title := fmt.Sprintf("Wash day %d, %s", p.ID, p.w.Day(p.Day.WashedOn()))
	p.WriteString("<!DOCTYPE html>\n")
	p.begin("html", "lang", lang)
	p.begin("head")
	p.tag("meta", []string{"charset", "utf-8"}, ">")
	p.tag("meta", []string{"name", "viewport", "content", "width=device-width, initial-scale=1"}, ">")
	p.tag("meta", []string{"name", "color-scheme", "content", "light dark"}, ">")
	p.put("title", title)
	p.WriteString("<style>" + style + "</style>")
	p.end(1)
	p.begin("body")
	p.begin("main")
	p.put("h1", title)
	lived := !p.Day.Plan.FromCards()
	if lived {
		p.part("What the day tells", p.told)
	}
	if advice := p.Advice; len(advice) > 0 {
		p.part("What to change", func() { p.advice(advice) })
	}
	p.part("At a glance", p.summary)
	if lived {
		p.part("The day beside its plan", p.timings)
		p.part("Baths", p.curves)
	}
	p.part("Batches", p.batches)
	if lived {
		p.part("Alarms", p.alarms)
	}
	p.part("Notes", p.notes)
	p.end(1)
	p.begin("footer")
	p.put("p", fmt.Sprintf("Written by tubside on %s at %s. A temperature with ~ is an estimate, one without was read.", p.w.Day(p.Now), p.w.Hour(p.Now)))
	p.end(3)
}

func (p *htmlPage) part(heading string, draw func()) {
	p.begin("section", "aria-label", heading)
	p.put("h2", heading)
	draw()
	p.end(1)
}

func (p *htmlPage) told() {
	if p.Day.EndedAt.IsZero() {
		p.put("p", "The day is still running: this is its look back so far.")
	}
	said := p.w.Told(p.Day)
	if len(said) == 0 {
		p.put("p", "Nothing yet.")
		return
	}
	p.begin("ul")
	for _, f := range said {
		class := "told"
		switch {
		case f.Bad:
			class = "bad"
		case f.Good:
			class = "good"
		}
		p.put("li", f.Text, "class", class)
	}
	p.end(1)
}

// advice is what the days speak for changing, and why.
func (p *htmlPage) advice(all []lookback.Advice) {
	var texts []string
	for _, a := range all {
		what, why := a.Say(p.Units)
		texts = append(texts, what+". "+why)
	}
	p.list(texts)
}

func (p *htmlPage) summary() { p.pairs(p.w.Summary(p.r)) }

func (p *htmlPage) timings() {
	p.pairs(p.w.Timing(p.t))
	p.lanes()
	p.put("h3", "Who waited, the longest first")
	var texts []string
	rest := 0.0
	for i, x := range p.t.Waits {
		if i >= mostWaits {
			rest += x.Min()
			continue
		}
		texts = append(texts, p.w.Clock(x.From)+" "+p.w.Wait(p.Day, x))
	}
	if n := len(p.t.Waits) - mostWaits; n > 0 {
		texts = append(texts, fmt.Sprintf("and %s, %s in all", measure.Counted(n, "shorter one", "shorter ones"), measure.Minutes(math.Round(rest))))
	}
	p.listOrNone(texts)
	var rows [][]string
	for _, h := range p.t.ByDeed {
		rows = append(rows, p.w.HandsRow(h))
	}
	p.table("The work of your hands", 1, lookback.HandsColumns[:], rows)
}

// mostWaits are told on the page.
const mostWaits = 8

// pairs are labels with their texts.
func (p *htmlPage) pairs(rows [][2]string) {
	p.begin("dl")
	for _, row := range rows {
		p.put("dt", row[0])
		p.put("dd", row[1])
	}
	p.end(1)
}

// tub is the name of a tub by its index, "-" for none.
func (p *htmlPage) tub(i int) string {
	if i < 0 || i >= len(p.Day.Plan.Kit.Tubs) {
		return "-"
	}
	return p.Day.Plan.Kit.Tubs[i].Name
}

func (p *htmlPage) batches() {
	for _, b := range p.r.Batches {
		p.begin("article")
		p.put("h3", b.Batch.ID)
		p.put("p", p.w.Batch(p.Day, b))
		if text := b.Out.String(); text != "" {
			class := "good"
			if b.Out.Found&session.FaultsFound != 0 {
				class = "bad"
			}
			p.put("p", "Came out "+text+".", "class", class)
		}
		if b.Out.Place != "" {
			p.put("p", "Its bag: "+b.Out.Place+".")
		}
		var rows [][]string
		for _, x := range p.t.Steps {
			if x.Batch == b.Batch.ID {
				rows = append(rows, p.w.StepRow(p.Day, x))
			}
		}
		p.table("Steps of "+b.Batch.ID, 2, lookback.StepColumns[:], rows)
		var done []string
		for i, x := range b.Baths {
			if said := p.w.Happened(b.Baths, i); len(said) > 0 {
				done = append(done, x.Step.Name+": "+strings.Join(said, "; "))
			}
		}
		p.list(done)
		p.end(1)
	}
}

func (p *htmlPage) list(texts []string) {
	if len(texts) == 0 {
		return
	}
	p.begin("ul")
	for _, text := range texts {
		p.put("li", text)
	}
	p.end(1)
}

func (p *htmlPage) alarms() {
	texts := p.w.Alarms(lookback.AlarmsOf(p.r))
	for _, a := range p.r.Alarms {
		texts = append(texts, p.w.Clock(a.RaisedAt)+" "+lookback.AlarmText(a))
	}
	p.listOrNone(texts)
}

func (p *htmlPage) notes() {
	var texts []string
	for _, n := range p.r.Notes {
		texts = append(texts, p.w.Clock(n.At)+" "+lookback.NoteText(p.Day, n))
	}
	p.listOrNone(texts)
}

func (p *htmlPage) listOrNone(texts []string) {
	if len(texts) == 0 {
		p.put("p", "None.")
	}
	p.list(texts)
}

// lane is a line of the day's plot.
type lane struct {
	name string
	lookback.Bars
}

// lanes draws each tub, the hands and the kettle: above as planned, below as it was.
func (p *htmlPage) lanes() {
	const left, width, high, each = 96, 760, 24, 40
	var all []lane
	add := func(name string, bars lookback.Bars) {
		if len(bars.Planned)+len(bars.Was) > 0 {
			all = append(all, lane{name, bars})
		}
	}
	for i, bars := range p.t.Tubs {
		add(p.tub(i), bars)
	}
	add("hands", p.t.Hands)
	add("kettle", p.t.Kettle)
	from, to := p.t.Day.Was.From, p.t.Day.Was.To
	for _, l := range all {
		for _, b := range slices.Concat(l.Planned, l.Was) {
			if b.Known() && b.From.Before(from) {
				from = b.From
			}
			if b.Known() && b.To.After(to) {
				to = b.To
			}
		}
	}
	if len(all) == 0 || !to.After(from) {
		return
	}
	midnight := from.In(p.Zone)
	midnight = time.Date(midnight.Year(), midnight.Month(), midnight.Day(), 0, 0, 0, 0, p.Zone)
	min := func(t time.Time) float64 { return measure.MinutesBetween(midnight, t) }
	x := scale{min(from), min(to), left, width - 12}
	h := float64(high + each*len(all))
	p.begin("section", "class", "wide", "tabindex", "0", "aria-label", "Plot of the day")
	p.figure(width, h+6, "Each tub, the hands and the kettle from "+p.w.Clock(from)+" to "+p.w.Clock(to)+": above as planned, in outline, below as it was. The times stand with the batches.", func() {
		for _, m := range clockTicks(x.low, x.high, 9) {
			p.line("grid", x.at(m), high-6, x.at(m), h)
			p.label(x.at(m), 12, "middle", p.w.Hour(midnight.Add(measure.Lasting(m))))
		}
		for i, l := range all {
			y := float64(high + each*i)
			p.line("grid", 0, y, width, y)
			p.label(left-6, y+24, "end", short(l.name, 12))
			p.bars(x, min, l.Planned, "plan", y+4, 12)
			p.bars(x, min, l.Was, "was", y+18, 16)
		}
	})
	p.end(1)
	p.begin("ul", "class", "key")
	for _, k := range barKinds {
		p.begin("li")
		p.put("span", "", "class", "sw "+k.class, "aria-hidden", "true")
		p.text(k.name)
		p.end(1)
	}
	p.end(1)
}

// bars draws one line of a lane.
func (p *htmlPage) bars(x scale, min func(time.Time) float64, bars []lookback.Bar, class string, y, h float64) {
	for _, b := range bars {
		if !b.Known() {
			continue
		}
		from, to := x.within(min(b.From)), x.within(min(b.To))
		p.rect(class+" "+barKinds[b.Kind].class, from, y, max(to-from, 1), h)
		if class == "was" && b.Kind != lookback.AtWork && to-from > 24 {
			p.put("text", b.Batch, "class", "in "+barKinds[b.Kind].class, "x", px((from+to)/2), "y", px(y+12), "text-anchor", "middle")
		}
	}
}

// barKinds are the kinds of bars in their order: a class of the style, and what it stands for.
var barKinds = [...]struct{ class, name string }{lookback.AtWork: {"work", "hands at work"}, lookback.Soaks: {"soak", "presoak or rinse"}, lookback.Washes: {"wash", "wash"}, lookback.Boils: {"boil", "kettle boils"}}

// short is a name for a narrow place.
func short(name string, most int) string {
	if r := []rune(name); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return name
}
