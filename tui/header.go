package tui

import (
	"strings"
	"time"

	"github.com/charmbracelet/lipgloss"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/theme"
)

// overhead is how many lines the router draws over a screen.
func (a *App) overhead(s screen) int {
	if s.Title() == "" || a.w == 0 {
		return 0
	}
	return len(a.header(s))
}

// leastUnder is the least a screen keeps for itself below a long sentence.
const leastUnder = 4

// header names the screen, or carries an alarm of a day that runs below it, and
// says the sentence for the person. Both are said in full, however many lines
// they take; where that is too much, the alarm's advice is left to the tubs.
func (a *App) header(s screen) []string {
	say := sayLines(a.env, a.w)
	top := a.topLines(s, true)
	if len(top)+len(say) > a.h-leastUnder {
		top = a.topLines(s, false)
	}
	if most := max(1, a.h-leastUnder-len(top)); len(say) > most {
		say = strings.Split(block(say, a.w, most), "\n")
	}
	return append(top, say...)
}

func (a *App) topLines(s screen, full bool) []string {
	t := a.env.Theme
	if al, ok := a.env.live.day.Pressing(); ok {
		style, way := t.Heard, "Esc"
		switch s.(type) {
		case *homeScreen:
			way = "t"
		case *goOnScreen:
			way = "Enter"
		}
		if al.Unanswered() {
			style = t.Alarm
		}
		mark := t.Mark(theme.MarkAlarm) + " "
		if full {
			return told(style, mark+alarmPhrase(a.env.live.day, al, a.env.now)+" ("+way+": back to the tubs)", a.w)
		}
		return []string{style.Render(fit(" "+mark+firstFit(a.w-4, alarmName(a.env.live.day, al)+" ("+way+": tubs)", al.Kind.String()), a.w))}
	}
	left := " " + s.Title()
	if a.unsaved != "" {
		if full {
			return append([]string{t.Title.Render(short(left, a.w))}, told(t.Warn, a.unsaved+": "+a.unsavedWhy, a.w)...)
		}
		return []string{t.Warn.Render(fit(" "+a.unsaved, a.w))}
	}
	right := a.env.clockText(a.env.now) + " "
	if a.env.Rehearsal != nil {
		right = firstFit(a.w-lipgloss.Width(left)-1, "rehearsal: an invented day · "+right, "rehearsal "+right)
	}
	gap := a.w - lipgloss.Width(left) - lipgloss.Width(right)
	if gap < 1 {
		return []string{t.Title.Render(short(left, a.w))}
	}
	return []string{t.Title.Render(left) + strings.Repeat(" ", gap) + t.Faint.Render(right)}
}

// sayLines is the sentence for the person, or a rule.
func sayLines(e *env, w int) []string {
	switch {
	case e.say == "":
		return []string{e.Theme.Rule.Render(strings.Repeat(e.Theme.Mark(theme.MarkRule), max(0, w)))}
	case e.bad:
		return told(e.Theme.Warn, e.say, w)
	}
	return told(e.Theme.Good, e.say, w)
}

// alarmName is an alarm and its tub.
func alarmName(d session.Day, a session.Alarm) string { return atTub(d, a, ": ", a.Kind.String()) }

// atTub is what is said of an alarm behind its tub.
func atTub(d session.Day, a session.Alarm, sep, text string) string {
	if a.Tub >= 0 && a.Tub < len(d.Plan.Kit.Tubs) {
		return d.Plan.Kit.Tubs[a.Tub].Name + sep + text
	}
	return text
}

// alarmPhrase is an alarm in one line: tub, word, what to do. A bath that cools is
// said by its figure.
func alarmPhrase(d session.Day, a session.Alarm, now time.Time) string {
	name := alarmName(d, a)
	if a.Kind == session.NearRelease || a.Kind == session.BelowRelease {
		if count := countText(d, coach.PromptAt(d, a.Tub, now), now); count != "" {
			if a.Kind == session.NearRelease {
				count = "cooling, " + count
			}
			name = atTub(d, a, ": ", count)
		}
	}
	do := coach.WhatToDo(d, a, now).String() // its tub may not be the one that keys are for
	return name + ". " + strings.ToUpper(do[:1]) + do[1:]
}
