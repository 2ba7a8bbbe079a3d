package past

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// trustDays is of how many of the latest days readings are looked at: older ones were
// forecast with less learned, and each has to be read whole.
const trustDays = 30

// trustScreen shows, for each tub and cover, how far its readings lay from their forecasts.
type trustScreen struct {
	base.Page
	tubs []lookback.Trust
	days int
	err  error
	done bool
}

var keyTrust = base.Bind("t", "trust in forecasts")

// openTrust reads the latest days and shows how good their forecasts were.
func openTrust(e *base.Env) tea.Cmd {
	s := &trustScreen{}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyScroll, base.KeyBack, base.KeyHelp}}
	s.Lines = s.text
	return base.Push(s)
}

// Init reads the days once the screen is there: an answer to one that is not yet is lost.
func (s *trustScreen) Init() tea.Cmd {
	j := s.E.Journal
	return base.Away(s, func() ([]session.Day, error) { return latest(j, trustDays) }, func(days []session.Day, err error) tea.Cmd {
		s.tubs, s.days, s.err, s.done = lookback.TrustOf(days), len(days), err, true
		s.Refill()
		return nil
	})
}

// latest are the last days that have ended.
func latest(j ledger.Journal, n int) (out []session.Day, err error) {
	all, err := j.Days(n + 1) // one may still run
	for _, x := range all {
		if x.EndedAt.IsZero() || !x.EnteredAt.IsZero() {
			continue
		}
		d, err := j.Day(x.ID)
		if err != nil {
			return out, err
		}
		out = append(out, d)
	}
	return out[:min(n, len(out))], err
}

func (s *trustScreen) Title() string { return "How far to trust the forecasts" }

func (s *trustScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	s.Move(k)
	return s, nil
}

func (s *trustScreen) text() []string {
	t, u := s.E.Theme, s.E.Kit.Units
	switch {
	case s.err != nil:
		return draw.Told(t.Warn, "the days couldn't be read: "+s.err.Error(), s.W)
	case !s.done:
		return []string{"", t.Faint.Render("   reading the days")}
	case len(s.tubs) == 0:
		return draw.Told(t.Text, "No reading was taken with fleece in a tub: nothing is known of the forecasts yet. Take one in each wash, r at the tubs.", s.W)
	}
	out := draw.Told(t.Text, fmt.Sprintf("Each reading beside its forecast, over %s. Nine in ten should lie in the range given.", measure.Counted(s.days, "day", "days")), s.W)
	f := chart.Forecasts{Per: u.Degrees(1) - u.Degrees(0), Unit: u.TempUnit()}
	given := t.Mark(theme.MarkMaybe)
	if t.Likely.Grounds() {
		given = t.LikelyWord()
	}
	legend := draw.Told(t.Faint, t.Mark(theme.MarkReading)+" a reading, "+t.Mark(theme.MarkAlarm)+" one out of its range, "+given+" the range; the newest at the right", s.W)
	says, room := make([][]string, len(s.tubs)), s.Room()-len(out)-len(legend)
	for i, x := range s.tubs { // one scale for all
		for j, off := range x.OffC {
			f.Low, f.High = min(f.Low, off, x.RangeC[j][0]), max(f.High, off, x.RangeC[j][1])
		}
		says[i] = draw.Told(t.Text, s.words().Trusted(x), s.W)
		room -= len(says[i]) + 2
	}
	for i, x := range s.tubs {
		f.Off, f.Range = x.OffC, x.RangeC
		out = append(append(out, "", t.Title.Render(draw.Fit(fmt.Sprintf(" %s, %s", x.TubName, x.Cover), s.W))), f.Lines(&t, s.W, max(leastTrust, room/len(s.tubs)))...)
		out = append(out, says[i]...)
	}
	return append(out, legend...)
}

// leastTrust is the fewest lines that a tub's readings are drawn in.
const leastTrust = 5

func (s *trustScreen) words() lookback.Words {
	return lookback.Words{Units: s.E.Kit.Units, Zone: s.E.Zone()}
}
