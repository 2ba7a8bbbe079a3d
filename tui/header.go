package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// overhead is how many lines the router draws over a screen.
func (a *App) overhead(s base.Screen) int {
	if s.Title() == "" || a.w == 0 {
		return 0
	}
	return len(a.header(s))
}

// leastUnder is the least a screen keeps for itself below a long sentence.
const leastUnder = 4

// header names the screen, or carries an alarm of a day that runs below it, has the day's
// call, and says the sentence for the person. Both are said in full, however many lines
// they take; where that is too much, the alarm's advice is left to the tubs.
func (a *App) header(s base.Screen) []string {
	top, say := a.topLines(s, true), a.ahead
	if a.env.Say != "" || len(say) == 0 {
		say = append(slices.Clone(say), base.SayLines(a.env, a.w)...)
	}
	if len(top)+len(say) > a.h-leastUnder {
		top = a.topLines(s, false)
	}
	if most := max(1, a.h-leastUnder-len(top)); len(say) > most {
		say = strings.Split(draw.Block(say, a.w, most), "\n")
	}
	return append(top, say...)
}

func (a *App) topLines(s base.Screen, full bool) []string {
	t := a.env.Theme
	if al, ok := a.env.Live.Day.Pressing(); ok {
		style, way := base.AlarmStyle(&t, al), "Esc"
		switch s.(type) {
		case *homeScreen:
			way = "t"
		case *goOnScreen:
			way = "Enter"
		}
		mark := t.Mark(theme.MarkAlarm) + " "
		if full {
			return append(draw.Told(style, mark+base.AlarmPhrase(a.env.Live.Day, al, a.env.Now)+" ("+way+": back to the tubs)", a.w), a.notSaved()...)
		}
		return []string{style.Render(draw.Fit(" "+mark+draw.FirstFit(a.w-4, base.AlarmName(a.env.Live.Day, al)+" ("+way+": tubs)", al.Kind.Shown()), a.w))}
	}
	left := " " + s.Title()
	if a.unsaved != "" {
		if full {
			return append([]string{t.Title.Render(draw.Short(left, a.w))}, a.notSaved()...)
		}
		return []string{t.Warn.Render(draw.Fit(" "+a.unsaved, a.w))}
	}
	right := a.env.ClockText(a.env.Now) + " "
	if a.env.Rehearsal != nil {
		right = draw.FirstFit(a.w-ansi.StringWidthWc(left)-1, "rehearsal: an invented day · "+right, "rehearsal "+right)
	}
	gap := a.w - ansi.StringWidthWc(left) - ansi.StringWidthWc(right)
	if gap < 1 {
		return []string{t.Title.Render(draw.Short(left, a.w))}
	}
	return []string{t.Title.Render(left) + strings.Repeat(" ", gap) + t.Faint.Render(right)}
}

// notSaved says that the disk takes nothing, and why.
func (a *App) notSaved() []string {
	if a.unsaved == "" {
		return nil
	}
	return draw.Told(a.env.Theme.Warn, a.unsaved+": "+a.unsavedWhy, a.w)
}
