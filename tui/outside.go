package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// heard answers with Space whatever rings, on every screen and before anything is
// typed; false if the key is for the screen.
func (e *env) heard(k tea.KeyMsg) bool {
	if k.String() != " " || !slices.ContainsFunc(e.live.day.Alarms, session.Alarm.Unanswered) {
		return false
	}
	e.hear()
	return true
}

// hear answers all alarms that ring, and says which: the band may speak of another
// tub.
func (e *env) hear() {
	d := e.live.day
	var names []string
	deed, again := "", ""
	for _, a := range d.Alarms {
		if a.Unanswered() {
			names = append(names, atTub(d, a, ", ", a.Kind.String()))
			deed = ". Now: " + coach.WhatToDo(d, a, e.now).String()
			if a.Kind.Facts().Back > 0 {
				again = ". Rings again until done"
			}
		}
	}
	if len(names) > 1 {
		deed = ""
	}
	if err := e.live.do(session.Acknowledge{Tub: -1}, e.now); err != nil {
		e.refuse(err)
		return
	}
	e.tell("Heard: %s%s%s", strings.Join(names, "; "), deed, again)
}

// soundWords is what is known of the sound, for the head of the day; bad says
// that it may not be heard.
func (e *env) soundWords() (words string, bad bool) {
	if e.Outside == nil {
		return "", false
	}
	st, proof := e.Outside.State(), e.live.day.Sound
	switch {
	case st.Muted:
		return "SOUND MUTED", true
	case len(st.Problems) > 0:
		return "SOUND FAILS", true
	case e.keeper.RangUnheard():
		return "SOUND FAILED: p checks it", true
	case proof.Heard:
		return "sound heard", false
	case !proof.At.IsZero():
		return "SOUND NOT HEARD", true
	}
	return "SOUND NOT CHECKED", true
}

// prove keeps a sound check with the running day, or for the one begun next.
func (e *env) prove(heard bool, path string) {
	if err := e.keeper.Prove(session.ProveSound{Heard: heard, Path: path}, e.now); err != nil {
		e.refuse(fmt.Errorf("the sound check could not be kept: %w", err))
	}
	e.look()
}
