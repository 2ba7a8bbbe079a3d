package compare

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Words tell a comparison in a person's units and zone, scour as of the kit.
type Words struct {
	lookback.Words
	Kit shed.Kit
}

// Value is a figure of a measure, "-" for one that is not known.
func (w *Words) Value(m Measure, v float64) string {
	if !measure.Finite(v) {
		return "-"
	}
	switch m {
	case Margin:
		return w.Units.TempDelta(v)
	case Soaked, Late, Waited:
		return measure.Minutes(math.Round(v))
	case Yield:
		return w.Units.Percent(v, 0)
	case Water:
		return w.Units.Volume(v)
	case Heat:
		return fmt.Sprintf("%.1f kWh", v)
	case Scour:
		text, _, _ := strings.Cut(shed.Kit{Units: w.Units, Scour: w.Kit.Scour}.DoseText(v), " (") // without its spoons
		return text
	}
	return ""
}

// What is what a measure's figure stands for.
func (w *Words) What(m Measure) string {
	return [...]string{
		Margin: "degrees above the lift-by temperature at the lift", Soaked: "time in hot washes", Late: "baths cooled later than forecast by (minus: sooner)", Yield: "yield",
		Waited: "time a batch waited for its next step", Water: "water for a batch", Heat: "heat in that water", Scour: "scour for a batch",
	}[m]
}

// mostTold are the days that are told one by one.
const mostTold = 3

// Tell is what a group's chart says, in sentences; nothing that its rules do not bear out.
func (w *Words) Tell(g Group, m Measure) []string {
	c := g.Chart
	if len(g.Days) == 0 {
		return []string{fmt.Sprintf("%s: %s", g.Name, w.lacks(m))}
	}
	batches := 0
	for _, p := range g.Days {
		batches += len(p.Rows)
	}
	out := []string{fmt.Sprintf("%s: %s on %s, %s on average.", g.Name, measure.Counted(batches, "batch", "batches"), measure.Counted(len(g.Days), "day", "days"), w.Value(m, c.Mean))}
	if !c.HasLimits {
		return append(out, w.noLimits(c, m))
	}
	out = append(out, w.unusual(g, m)...)
	if c.Shift > 0 {
		more := "more"
		if c.ShiftBy < 0 {
			more = "less"
		}
		out = append(out, fmt.Sprintf("Changed: the last %d days all lie %s the average, %s %s than the days before.", c.Shift, side(g.Days[len(g.Days)-1].V, c.Mean), w.Value(m, math.Abs(c.ShiftBy)), more))
	} else if len(out) == 1 {
		out = append(out, "Nothing unusual.")
	}
	return append(out, fmt.Sprintf("A day outside %s to %s is unusual. By chance alone %d days show one %s of the time, and up to %s where each day is much like the one before.", w.Value(m, c.Low), w.Value(m, c.High), len(c.V), w.Units.Percent(max(0.01, c.ByChance()), 0), w.Units.Percent(c.ByDrift(), 0)))
}

// lacks says how a measure gets its figures.
func (w Words) lacks(m Measure) string {
	switch m {
	case Late:
		return "no reading yet that shows how far off a forecast was. Take one in each wash, 5 min or more after the fleece went in."
	case Yield:
		return "no batch is weighed dry yet."
	default:
		return "no figure yet."
	}
}

func (w Words) noLimits(c Chart, m Measure) string {
	switch {
	case m.Lopsided():
		return "Waits end at 0 and a few are long, so no limits are drawn."
	case len(c.V) < FewestForLimits:
		return fmt.Sprintf("Too few days to say what is unusual: it takes %d.", FewestForLimits)
	}
	return "All days are alike."
}

// unusual names the unusual days.
func (w Words) unusual(g Group, m Measure) (out []string) {
	var days []string
	for i, p := range g.Days {
		if g.Chart.Unusual[i] {
			days = append(days, fmt.Sprintf("%s (%s, %s the limit)", w.Day(p.At), w.Value(m, p.V), side(p.V, g.Chart.Mean)))
		}
	}
	if len(days) == 0 {
		return nil
	}
	return []string{"Unusual: " + latest(days) + "."}
}

// latest names the latest of some days, in order of time.
func latest(days []string) string {
	before := max(0, len(days)-mostTold)
	last := days[before:]
	slices.Reverse(last)
	text := strings.Join(last, "; ")
	if before > 0 {
		text += fmt.Sprintf("; and %d before", before)
	}
	return text
}

func side(v, mean float64) string {
	if v < mean {
		return "below"
	}
	return "above"
}

// CameOut counts how a group's batches came out, the most frequent first; "" where nobody
// said.
func (w *Words) CameOut(g Group) string {
	count := map[string]int{}
	said := 0
	var faults []string
	for _, r := range g.Rows {
		if day := w.Day(r.At); r.Out.Found&session.FaultsFound != 0 && !slices.Contains(faults, day) {
			faults = append(faults, day)
		}
		if text := r.Out.Found.String(); text != "" {
			said++
			for _, word := range strings.Split(text, ", ") {
				count[word]++
			}
		}
	}
	if said == 0 {
		return ""
	}
	words := make([]string, 0, len(count))
	for word := range count {
		words = append(words, word)
	}
	sort.Slice(words, func(i, j int) bool {
		a, b := words[i], words[j]
		return count[a] > count[b] || count[a] == count[b] && a < b
	})
	for i, word := range words {
		words[i] = fmt.Sprintf("%s %d", word, count[word])
	}
	text := fmt.Sprintf("How %d of %s came out: %s.", said, measure.Counted(len(g.Rows), "batch", "batches"), strings.Join(words, ", "))
	if len(faults) > 0 {
		text += " A fault on " + latest(faults) + "."
	}
	return text
}

// Point is one day of a chart: its date, figure, batches and how those came out.
func (w Words) Point(p Point, m Measure) string {
	text := fmt.Sprintf("%s: %s", w.Day(p.At), w.Value(m, p.V))
	parts := make([]string, len(p.Rows))
	for i, r := range p.Rows {
		parts[i] = r.Batch
		if len(p.Rows) > 1 {
			parts[i] += " " + w.Value(m, r.Of(m))
		}
		if out := r.Out.String(); out != "" {
			parts[i] += " (" + out + ")"
		}
	}
	return text + " · " + strings.Join(parts, ", ")
}
