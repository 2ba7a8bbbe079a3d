package form

import (
	"fmt"
	"math"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// AskAway asks which clock is right and how long the program was off, where the clock cannot
// say: of a running day or of one that is taken up with it, which was seen last at seen. right is
// what is known of the clock of now, nil: nothing.
func AskAway(e *base.Env, seen time.Time, right *bool, set func(away time.Duration, nowRight bool) error) base.Screen {
	min, nowRight := 0.0, e.Now.Sub(seen).Abs() < base.LongAway
	why := "from when it stopped until it was started again"
	if e.Elapsed != nil {
		if up := math.Ceil(e.Elapsed().Minutes()); up < base.LongAway.Minutes() {
			min = up
			why += "; this machine has been on for " + draw.MinText(up)
		}
	}
	if g := e.AwayGuess; g != nil { // what leaves the past where it is
		if m := math.Round((g.Away + e.Live.Day.StartedAt.Sub(g.Begun)).Minutes()); m > 0 {
			min = m
		}
	}
	p := &Page{Fields: []*Field{NumberField(e.Kit.Units, Duration, "How long was it off", why, &min, func(_ measure.System, v float64) error {
		if v < 0 || v > longestAwayMin {
			return fmt.Errorf("type a time from 0 to 31 days, such as 20 or 1 h 30 min")
		}
		return nil
	})}}
	if right != nil {
		nowRight = *right
	} else {
		p.Fields = append([]*Field{ChoiceField("Which clock is right", "past times go by it", &nowRight, true,
			Choice[bool]{true, "now, " + ClockOf(e, e.Now, seen)}, Choice[bool]{false, "before, " + ClockOf(e, seen, e.Now)})}, p.Fields...)
	}
	return NewForm(e, "How long was tubside off", []*Page{p}, func() (tea.Cmd, error) {
		away, was := time.Duration(min*float64(time.Minute)), e.Now
		if err := set(away, nowRight); err != nil {
			return nil, err
		}
		e.AwayGuess = nil
		text := fmt.Sprintf("every timer moved on %s", draw.MinText(min))
		if !nowRight {
			text += fmt.Sprintf(". tubside goes by %s now; this machine's clock says %s, set it", ClockOf(e, e.Now, was), ClockOf(e, was, e.Now))
		}
		e.Tell("%s", text)
		return base.Pop(), nil
	})
}

// ClockOf is a time of one of two clocks: with its day where the other has another.
func ClockOf(e *base.Env, t, other time.Time) string {
	if e.DayText(t) == e.DayText(other) {
		return e.ClockText(t)
	}
	return e.DayText(t) + " " + e.ClockText(t)
}

const longestAwayMin = 31 * 24 * 60.0
