package base

import (
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/draw"
)

// flowFor is how long a blank may be of the text in hand although something has begun to ring.
const flowFor = time.Second

// Heard answers with Space whatever rings, on every screen; false if the key is for the screen. In mid-text
// it is typed as well, for without its blank "1 1/2" is another figure; and one that was under way as
// it began to ring is a blank alone.
func (e *Env) Heard(k tea.KeyMsg, inText bool) bool {
	rings := func(a session.Alarm) bool {
		return a.Unanswered() && (!inText || e.Now.Sub(a.RungAt) >= e.Real(flowFor))
	}
	if k.String() != " " || k.Paste || !slices.ContainsFunc(e.Live.Day.Alarms, rings) {
		return false
	}
	e.Hear()
	return !inText
}

// Hear answers all alarms that ring, and says how many and which, the worst first: the band may
// speak of another tub, and a small window has no room for all.
func (e *Env) Hear() {
	d := e.Live.Day
	var heard []session.Alarm
	for _, a := range d.Alarms {
		if a.Unanswered() {
			heard = append(heard, a)
		}
	}
	sort.SliceStable(heard, func(i, j int) bool { return session.Louder(heard[i], heard[j]) })
	var parts []string
	head, deed, again := "Heard", "", ""
	for i := 0; i < len(heard); {
		kind, tubs := heard[i].Kind, []string{}
		for ; i < len(heard) && heard[i].Kind == kind; i++ {
			if tub := AtTub(d, heard[i], "", ""); tub != "" {
				tubs = append(tubs, tub)
			}
		}
		part := kind.Shown()
		if len(tubs) > 0 {
			part = draw.Listed(tubs) + ", " + part
		}
		if parts = append(parts, part); kind.Facts().Back > 0 {
			again = ". Rings again until done"
		}
	}
	switch {
	case len(heard) == 1:
		deed = ". Now: " + coach.WhatToDo(d, heard[0], e.Now).String()
	case len(heard) > 1: // not all of them may be in sight
		head = fmt.Sprintf("Heard %d", len(heard))
	}
	if err := e.Live.Do(session.Acknowledge{Tub: -1}, e.Now); err != nil {
		e.Refuse(err)
		return
	}
	e.Warn("%s: %s%s%s", head, strings.Join(parts, "; "), deed, again)
}

// SoundWords is what is known of the sound, for the head of the day, in one wording for whatever keeps
// it from being heard; bad says
// that it may not be heard.
func (e *Env) SoundWords() (words string, bad bool) {
	if e.Outside == nil {
		return "", false
	}
	st, proof := e.Outside.State(), e.Live.Day.Sound
	switch {
	case st.Muted:
		return "SOUND MUTED", true
	case len(st.Problems) > 0, e.Keeper.RangUnheard(), !proof.Heard && !proof.At.IsZero():
		return "SOUND NOT HEARD", true
	case proof.Heard:
		return "sound heard", false
	}
	return "SOUND NOT CHECKED", true
}

// CommandAsks says of a command for alarms that came with the record that it is not run
// here; key shows it. "" if there is none.
func (e *Env) CommandAsks(key string) string {
	switch strange := e.Unconfirmed(); {
	case strange.Hook != "":
		return "This record's command for alarms is not run on this machine yet: " + key + " shows it"
	case strange != (session.AlarmSettings{}):
		return "This record's alarm settings are not all allowed on this machine yet: " + key + " shows them"
	}
	return ""
}

// Unconfirmed is what of the alarm settings nobody has confirmed on this machine.
func (e *Env) Unconfirmed() session.AlarmSettings {
	if e.Outside == nil {
		return session.AlarmSettings{}
	}
	return e.Outside.State().Unconfirmed
}

// RefuseCommand says so as the tubs' screen opens.
func (e *Env) RefuseCommand() {
	if asks := e.CommandAsks("l"); asks != "" {
		e.Refuse(errors.New(asks))
	}
}

// Prove keeps a sound check with the running day, or for the one begun next.
func (e *Env) Prove(heard bool, path string) {
	if err := e.Keeper.Prove(session.ProveSound{Heard: heard, Path: path}, e.Now); err != nil {
		e.Refuse(fmt.Errorf("the sound check couldn't be saved: %w", err))
	}
	e.Look()
}
