// Package theme names what a style means; the screens never name a colour.
// Every meaning differs by weight, reverse or a mark as well as by colour, so
// that it survives a terminal without colours.
package theme

import (
	"io"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Theme is the set of meanings.
type Theme struct {
	ASCII    bool // plain characters only
	Steady   bool // nothing flashes: without colours words do it
	Renderer *lipgloss.Renderer

	Title   lipgloss.Style // the name of a screen
	Text    lipgloss.Style
	Faint   lipgloss.Style // said, but not needed at a glance
	Key     lipgloss.Style // a key to press
	Chosen  lipgloss.Style // the chosen line
	Next    lipgloss.Style // the next action
	Big     lipgloss.Style // a figure read from the door
	Warm    lipgloss.Style // hot water
	Cool    lipgloss.Style // cold water
	Good    lipgloss.Style // saved, done
	Caution lipgloss.Style // safety lines
	Warn    lipgloss.Style // late, not saved
	Alarm   lipgloss.Style // an unanswered alarm
	Heard   lipgloss.Style // an alarm acknowledged but not acted on
	Rule    lipgloss.Style // lines
	Now     lipgloss.Style // the line of now
	Bar     lipgloss.Style // soak
	Band    lipgloss.Style // where the release is expected
}

// Options choose a theme.
type Options struct {
	ASCII   bool
	Light   bool
	NoColor bool
}

// New makes a theme that writes for out.
func New(out io.Writer, o Options) Theme {
	r := lipgloss.NewRenderer(out)
	r.SetHasDarkBackground(!o.Light)
	// Without colours too: bold, reverse and underline carry meanings, and the
	// colourless profile would drop them.
	r.SetColorProfile(termenv.ANSI256)
	pick := func(dark, light string) lipgloss.Color {
		if o.Light {
			return lipgloss.Color(light)
		}
		return lipgloss.Color(dark)
	}
	s := r.NewStyle
	fg := func(dark, light string) lipgloss.Style {
		if o.NoColor {
			return s()
		}
		return s().Foreground(pick(dark, light))
	}
	alarm := fg("231", "231").Bold(true)
	if o.NoColor {
		alarm = alarm.Reverse(true)
	} else {
		alarm = alarm.Background(pick("124", "124"))
	}
	return Theme{
		ASCII: o.ASCII, Steady: o.NoColor, Renderer: r,
		Title:   fg("223", "94").Bold(true),
		Text:    fg("253", "235"),
		Faint:   fg("245", "242"),
		Key:     fg("180", "94").Bold(true),
		Chosen:  fg("231", "16").Bold(true),
		Next:    fg("231", "16").Bold(true),
		Big:     fg("223", "94").Bold(true),
		Warm:    fg("216", "130"),
		Cool:    fg("152", "24"),
		Good:    fg("151", "22"),
		Caution: fg("222", "94").Italic(true),
		Warn:    fg("216", "124").Bold(true),
		Alarm:   alarm,
		Heard:   fg("216", "124").Bold(true).Underline(true),
		Rule:    fg("240", "250"),
		Now:     fg("231", "16").Bold(true),
		Bar:     fg("180", "94"),
		Band:    fg("216", "130"),
	}
}

// Mark is one of the single-cell signs of the screens.
type Mark int

// The marks.
const (
	MarkNow     Mark = iota // the line of now
	MarkSoak                // soak still to come or gone
	MarkGone                // after the soak, still warm enough
	MarkEnd                 // soak ends
	MarkMore                // goes on past the edge
	MarkMaybe               // release temperature possible
	MarkLikely              // release temperature likely
	MarkPick                // the chosen line
	MarkAlarm               // an alarm
	MarkRule                // a horizontal line
	MarkReading             // a reading
	MarkLate                // soak over, fleece still in
)

var marks = map[Mark][2]string{
	MarkNow: {"┃", "|"}, MarkSoak: {"━", "="}, MarkGone: {"┄", "-"}, MarkEnd: {"◆", "*"}, MarkMore: {"▶", ">"},
	MarkMaybe: {"░", ":"}, MarkLikely: {"▒", "#"}, MarkPick: {"▸", ">"}, MarkAlarm: {"▲", "!"},
	MarkRule: {"─", "-"}, MarkReading: {"●", "o"}, MarkLate: {"╍", "~"},
}

// Mark is the sign, in plain characters if the theme asks for it.
func (t Theme) Mark(m Mark) string {
	if t.ASCII {
		return marks[m][1]
	}
	return marks[m][0]
}
