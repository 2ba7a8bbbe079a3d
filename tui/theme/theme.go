// Package theme names what a style means; the screens never name a colour.
// Every meaning differs by weight, reverse or a mark as well as by colour, so
// that it survives a terminal without colours.
package theme

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Theme is the set of meanings.
type Theme struct {
	ASCII    bool // plain characters only
	Steady   bool // nothing flashes: without colours words do it
	Renderer *lipgloss.Renderer

	Title   Style // the name of a screen
	Text    Style
	Faint   Style // said, but not needed at a glance
	Key     Style // a key to press
	Chosen  Style // the chosen line
	Next    Style // the next action
	Big     Style // a figure read from the door
	Warm    Style // hot water
	Cool    Style // cold water
	Good    Style // saved, done
	Caution Style // safety lines
	Warn    Style // late, not saved
	Alarm   Style // an unanswered alarm
	Heard   Style // an alarm acknowledged but not acted on
	Rule    Style // lines
	Now     Style // the line of now
	Bar     Style // soak
	Band    Style // where the release is expected
	Likely  Style // the ground of where a bath may be, behind the line of its forecast
	// LikelyTop and LikelyFoot draw the edges of that ground in signs, the foot reversed.
	LikelyTop, LikelyFoot Style
}

// Style is how a meaning looks: what switches it on before a line and off behind it.
// That is worked out once, not for each text of each frame.
type Style struct {
	Of      *lipgloss.Style // for a text field, which draws by itself
	on, off string
}

func of(s lipgloss.Style) Style {
	on, off, _ := strings.Cut(s.Render("x"), "x")
	return Style{&s, on, off}
}

// Render is one line of text in the style.
func (s Style) Render(line string) string { return s.on + line + s.off }

// Over is one line of text in the style, on the ground of another.
func (s Style) Over(ground Style, line string) string {
	return ground.on + s.on + line + s.off + ground.off
}

// Grounds says that the style paints the ground of its cells.
func (s Style) Grounds() bool { return s.on != "" }

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
	likely, edge := s(), s()
	if !o.NoColor && !o.ASCII { // else signs draw it
		likely, edge = likely.Background(pick("238", "253")), edge.Foreground(pick("238", "253"))
	}
	return Theme{
		ASCII: o.ASCII, Steady: o.NoColor, Renderer: r,
		Title:   of(fg("223", "94").Bold(true)),
		Text:    of(fg("253", "235")),
		Faint:   of(fg("245", "242")),
		Key:     of(fg("180", "94").Bold(true)),
		Chosen:  of(fg("231", "16").Bold(true)),
		Next:    of(fg("231", "16").Bold(true)),
		Big:     of(fg("223", "94").Bold(true)),
		Warm:    of(fg("216", "130")),
		Cool:    of(fg("152", "24")),
		Good:    of(fg("151", "22")),
		Caution: of(fg("222", "94").Italic(true)),
		Warn:    of(fg("216", "124").Bold(true)),
		Alarm:   of(alarm),
		Heard:   of(fg("216", "124").Bold(true).Underline(true)),
		Rule:    of(fg("240", "250")),
		Now:     of(fg("231", "16").Bold(true)),
		Bar:     of(fg("180", "94")),
		Band:    of(fg("216", "130")),
		Likely:  of(likely), LikelyTop: of(edge), LikelyFoot: of(edge.Reverse(true)),
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
	MarkHands               // hands at a tub
	MarkWash                // a soak in a bath that has a release temperature
	MarkFirst               // a forecast that was made before
)

var marks = map[Mark][2]string{
	MarkNow: {"┃", "|"}, MarkSoak: {"━", "="}, MarkGone: {"┄", "-"}, MarkEnd: {"◆", "*"}, MarkMore: {"▶", ">"},
	MarkMaybe: {"░", ":"}, MarkLikely: {"▒", "#"}, MarkPick: {"▸", ">"}, MarkAlarm: {"▲", "!"},
	MarkRule: {"─", "-"}, MarkReading: {"●", "o"}, MarkLate: {"╍", "~"},
	MarkHands: {"█", "#"}, MarkWash: {"═", "~"}, MarkFirst: {"·", "."},
}

// LikelyWord stands for Likely in a legend.
func (t Theme) LikelyWord() string {
	if t.Likely.Grounds() {
		return "shaded:"
	}
	return t.Mark(MarkMaybe)
}

// Mark is the sign, in plain characters if the theme asks for it.
func (t Theme) Mark(m Mark) string {
	if t.ASCII {
		return marks[m][1]
	}
	return marks[m][0]
}
