package base

import (
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// SayLines is the sentence for the person, or a rule.
func SayLines(e *Env, w int) []string {
	switch {
	case e.Say == "":
		return []string{e.Theme.Rule.Render(strings.Repeat(e.Theme.Mark(theme.MarkRule), max(0, w)))}
	case e.Bad, e.tone == warned:
		return draw.Told(e.Theme.Warn, e.Say, w)
	case e.tone == noted:
		return draw.Told(e.Theme.Text, e.Say, w)
	}
	return draw.Told(e.Theme.Good, e.Say, w)
}

// AlarmStyle is how an alarm looks: by its priority until it is heard.
func AlarmStyle(t *theme.Theme, a session.Alarm) theme.Style {
	switch {
	case !a.Unanswered():
		return t.Heard
	case a.Priority == session.HighPriority:
		return t.Alarm
	case a.Priority == session.MediumPriority:
		return t.Medium
	}
	return t.Warn
}

// LettersStyle is how its large letters look.
func LettersStyle(t *theme.Theme, a session.Alarm) theme.Style {
	if a.Unanswered() {
		return AlarmStyle(t, a)
	}
	return t.Warn // no line under blocks
}

// AlarmName is an alarm and its tub.
func AlarmName(d session.Day, a session.Alarm) string { return AtTub(d, a, ": ", a.Kind.Shown()) }

// AtTub is what is said of an alarm behind its tub.
func AtTub(d session.Day, a session.Alarm, sep, text string) string {
	if a.Tub >= 0 && a.Tub < len(d.Plan.Kit.Tubs) {
		return d.Plan.Kit.Tubs[a.Tub].Name + sep + text
	}
	return text
}

// AlarmPhrase is an alarm in one line: tub, word, what to do. A bath that cools is
// said by its figure.
func AlarmPhrase(d session.Day, a session.Alarm, now time.Time) string {
	name := AlarmName(d, a)
	if a.Kind == session.NearRelease || a.Kind == session.BelowRelease {
		if count := CountText(d, coach.PromptAt(d, a.Tub, now), now); count != "" {
			if a.Kind == session.NearRelease {
				count = "cooling, " + count
			}
			name = AtTub(d, a, ": ", count)
		}
	}
	do := coach.WhatToDo(d, a, now).String() // its tub may not be the one that keys are for
	if a.Kind == session.KettleNow {         // that is its name
		return AtTub(d, a, ": ", do)
	}
	return name + ". " + strings.ToUpper(do[:1]) + do[1:]
}
