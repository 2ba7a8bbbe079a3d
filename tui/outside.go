package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// Outside is everything by which an alarm reaches a person who is not looking:
// sound, speech, notices, a command of their own. Call and State never wait.
type Outside interface {
	// Call tells which alarms ring now, the most urgent first; none is silence.
	Call(ringing []session.AlarmCall, standing int, s session.AlarmSettings, now time.Time)
	// Play plays an alarm once, the way it would ring, and says how it went. It
	// waits, and is called away from the screen.
	Play(p session.Priority, s session.AlarmSettings) Played
	State() OutsideState
}

// Played is how a sound check went.
type Played struct {
	Path    string // what served; "" if nothing did
	OK      bool   // all of it went out, to an output that is not muted
	Problem string // a sentence; "" if there is none
}

// OutsideState is what works and what does not.
type OutsideState struct {
	Sound    string   // what plays or played last; "" before the first
	Muted    bool     // the output is muted: nothing can be heard
	Problems []string // sentences
}

// notSavedAfter: what cannot be written for so long rings.
const notSavedAfter = 3 * time.Second

// notSavedAgain is how often it rings until it is heard.
const notSavedAgain = time.Minute

// callOut tells what rings now. It runs with every message; who is told makes out
// what has changed.
func (a *App) callOut() {
	e := a.env
	if e.Outside == nil {
		return
	}
	var calls []session.AlarmCall
	standing := 0
	if d := e.live.day; d.Running() {
		calls = d.Calls(e.now, e.alarms, e.minuteOfDay())
		standing = d.Standing()
	}
	if c, ok := a.notSaved(); ok {
		calls, standing = append([]session.AlarmCall{c}, calls...), standing+1
	}
	e.Outside.Call(calls, standing, e.alarms, e.now)
	if st := e.Outside.State(); len(calls) > 0 && (st.Muted || len(st.Problems) > 0) {
		e.rangUnheard = true // told until a sound check says otherwise
	}
}

// minuteOfDay is the minute of the person's own day, for quiet hours.
func (e *env) minuteOfDay() int {
	local := e.now.In(e.zone())
	return local.Hour()*60 + local.Minute()
}

// notSaved is the alarm that cannot be in the journal, because that is what
// fails. It is heard until the next success.
func (a *App) notSaved() (session.AlarmCall, bool) {
	e := a.env
	_, err := e.live.saver.status()
	if err == nil {
		e.unsavedAt, e.unsavedHeard = time.Time{}, false
		return session.AlarmCall{}, false
	}
	if e.unsavedAt.IsZero() {
		e.unsavedAt = e.now
	}
	if e.unsavedHeard || e.now.Sub(e.unsavedAt) < notSavedAfter {
		return session.AlarmCall{}, false
	}
	f := session.NotSaved.Facts()
	return session.AlarmCall{Tub: -1, Name: "the day", Kind: session.NotSaved, Priority: f.Priority, Level: 1, Rings: 1 + int(e.now.Sub(e.unsavedAt)/notSavedAgain),
		Words: f.Kind.String(), Do: f.Do, RaisedAt: e.unsavedAt}, true
}

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
			deed = ". Now: " + d.WhatToDo(a, e.now).String()
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

// jumpMatters: clocks that drift apart by less were not set.
const jumpMatters = 2 * time.Second

// watchClock tells a clock that was set from time that has passed: the elapsed
// time goes on while the machine sleeps, and nobody can set it.
func (a *App) watchClock() {
	e := a.env
	if e.Elapsed == nil {
		return
	}
	gone, wall := e.Elapsed(), e.now
	if !a.wallAt.IsZero() && e.live.day.Running() {
		if by := wall.Sub(a.wallAt) - (gone - a.goneAt); by.Abs() > jumpMatters {
			if err := e.live.do(session.SetClock{By: by}, wall); err != nil {
				e.refuse(err)
			} else {
				e.tell("the machine's clock was set by %s: every timer was moved with it", by.Round(time.Second))
			}
		}
	}
	a.wallAt, a.goneAt = wall, gone
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
	case e.rangUnheard:
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
	e.rangUnheard = e.rangUnheard && !heard
	e.proof = session.ProveSound{Heard: heard, Path: path}
	e.provedAt = e.now
	if !e.live.day.Running() {
		return
	}
	if err := e.live.do(e.proof, e.now); err != nil {
		e.refuse(fmt.Errorf("the sound check could not be kept: %w", err))
	}
}

// proofKeeps is how long a sound check before the start counts for the day.
const proofKeeps = 2 * time.Hour

// carryProof gives a day that has just begun the sound check made before it.
func (e *env) carryProof() {
	if e.Outside == nil || e.provedAt.IsZero() || e.now.Sub(e.provedAt) > proofKeeps {
		return
	}
	if err := e.live.do(e.proof, e.now); err != nil {
		e.refuse(err)
	}
}
