package past

import (
	"fmt"
	"math"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// outStyle is that of how a batch came out: a warning where the wash left a fault.
func outStyle(t *theme.Theme, o session.Outcome) theme.Style {
	if o.Found&session.FaultsFound != 0 {
		return t.Warn
	}
	return t.Text
}

// cameOut is how a batch came out: beside the times and temperatures that made it so.
func (s *ReviewScreen) cameOut(b ledger.BatchReview) (out []string) {
	row := ledger.RowOf(s.day.Day, b.Batch.ID)
	if text := row.Out.String(); text != "" {
		out = append(out, draw.Labelled(outStyle(&s.E.Theme, row.Out), "   came out  ", text, s.W)...)
	}
	if row.Out.Place != "" {
		out = append(out, draw.Labelled(s.E.Theme.Text, "   its bag   ", row.Out.Place, s.W)...)
	}
	return out
}

// weights are those of the day's batches and what they say.
func (s *ReviewScreen) weights(r ledger.Review) []string {
	var out []string
	if len(r.Batches) != 1 || r.Batches[0].DryG == 0 { // else its own weights say it
		out = append([]string{"", s.E.Theme.Title.Render(" Weights")}, s.yield(r)...)
	}
	for _, b := range r.Batches {
		if lines := s.recordLines(b); len(lines) > 0 {
			out = append(append(out, "", s.E.Theme.Title.Render(" Weights of "+b.Batch.ID)), lines...)
		}
	}
	return out
}

// recordLines are a batch's weights and what they say.
func (s *ReviewScreen) recordLines(b ledger.BatchReview) []string {
	t, e, d := s.E.Theme, s.E, s.day.Day
	u := e.Kit.Units
	var out []string
	say := func(label, text string) {
		out = append(out, draw.Labelled(t.Text, fmt.Sprintf("   %-7s", label), text, s.W)...)
	}
	if b.RackedAt.IsZero() {
		return nil
	}
	row := ledger.RowOf(d, b.Batch.ID)
	if lies := d.Plan.Kit.Lies(row.Tray, row.Spots, row.Form); lies != "" {
		say("lay on", lies)
	}
	if row.SoakedG > 0 && row.SoakedG <= row.RawG {
		say("soaked", fmt.Sprintf("%s after the presoak, dried: it took %s", u.Mass(row.SoakedG), u.Mass(row.RawG-row.SoakedG)))
	}
	if b.DryG <= 0 && d.Plan.FromCards() {
		return out
	}
	if b.DryG <= 0 {
		if x, err := d.Drying(b.Batch.ID); err == nil {
			weighed := ""
			if n := len(x.Wet); n > 0 {
				weighed = u.Mass(x.LastG) + ", weighed once; "
				if n > 1 {
					weighed = fmt.Sprintf("%s, weighed %d times; ", u.Mass(x.LastG), n)
				}
			}
			say("drying", weighed+forecastText(e, x, notMet(e, x)))
			if r := x.Forecast.RestingG; len(x.Wet) > 0 {
				say("yield", "provisional until it's dry: "+partRange(u, yield.Interval{Low: r.Low / row.RawG, Likely: r.Likely / row.RawG, High: r.High / row.RawG}, 0))
			}
		}
		return out
	}
	y, ok, err := ledger.YieldOf([]ledger.BatchRow{row}, b.Fleece.Type, u)
	switch {
	case err != nil:
		say("yield", err.Error())
	case ok:
		for _, l := range append(yieldLines(u, y), lossLines(y)...) {
			say(l[0], l[1])
		}
	}
	switch r, lain, ok := d.Retention(b.Batch.ID); {
	case ok && lain > 0:
		say("held", r.Held+" after "+measure.Minutes(math.Round(lain.Minutes()))+" on the rack")
	case ok:
		say("spun", r.Text)
	}
	return out
}
