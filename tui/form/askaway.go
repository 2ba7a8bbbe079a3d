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

// AskAway asks how long the program was off, where the clock cannot say: of a
// running day (set is nil) or of one that is taken up with it.
func AskAway(e *base.Env, set func(time.Duration) error) base.Screen {
	min := 0.0
	why := "from when it stopped until it was started again"
	if e.Elapsed != nil {
		if up := math.Ceil(e.Elapsed().Minutes()); up < base.LongAway.Minutes() {
			min = up
			why += "; this machine has been on for " + draw.MinText(up)
		}
	}
	minField := NumberField(e.Kit.Units, Duration, "How long was it off", why, &min, func(_ measure.System, v float64) error {
		if v < 0 || v > longestAwayMin {
			return fmt.Errorf("type a time from 0 to 31 days, such as 20 or 1 h 30 min")
		}
		return nil
	})
	return NewForm(e, "How long was tubside off", []*Page{{Fields: []*Field{minField}}}, func() (tea.Cmd, error) {
		away := time.Duration(min * float64(time.Minute))
		if err := set(away); err != nil {
			return nil, err
		}
		e.AwayGuess = false
		e.Tell("every timer moved on %s", draw.MinText(min))
		return base.Pop(), nil
	})
}

const longestAwayMin = 31 * 24 * 60.0
