package session

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/lifecycle"
)

// AlarmCall is an alarm that calls for the person, with all that is said of it
// away from the screen.
type AlarmCall struct {
	Tub      int // -1: the day
	Name     string
	Batch    string
	Kind     AlarmKind
	Priority Priority
	Level    int // how loud, 1 to 3
	Rings    int // times it has sounded
	Words    string
	Do       string
	// MinutesLeft until harm is done; below 0 it is being done. HasMinutes is
	// false if nobody can tell.
	MinutesLeft float64
	HasMinutes  bool
	RaisedAt    time.Time
}

// Calls are the alarms that ring at now, most urgent first; those that quiet
// hours hold back are left out, though they stand. localMin is the minute of the
// person's own day.
func (d Day) Calls(now time.Time, s AlarmSettings, localMin int) []AlarmCall {
	var ringing []Alarm
	for _, a := range d.Alarms {
		if a.Unanswered() && !s.Quiet(localMin, a.Priority) {
			ringing = append(ringing, a)
		}
	}
	slices.SortStableFunc(ringing, func(a, b Alarm) int {
		switch {
		case louder(a, b):
			return -1
		case louder(b, a):
			return 1
		}
		return 0
	})
	out := make([]AlarmCall, len(ringing))
	for i, a := range ringing {
		c := AlarmCall{Tub: a.Tub, Name: d.tubName(a.Tub), Batch: a.Batch, Kind: a.Kind, Priority: a.Priority, Level: a.Level(), Rings: a.Rings,
			Words: a.Kind.String(), Do: d.WhatToDo(a, now).Say(nil), RaisedAt: a.RaisedAt}
		c.MinutesLeft, c.HasMinutes = d.minutesLeft(a, now)
		out[i] = c
	}
	return out
}

// Asked is what an alarm asks for.
type Asked struct {
	Line
	Own bool // the prompt of its tub says it
}

// WhatToDo is what an alarm asks for: the deed that the list has for its tub. It
// never asks to fill a bath that cannot wash.
func (d Day) WhatToDo(a Alarm, now time.Time) Asked {
	if a.Tub >= 0 && a.Tub < len(d.Tubs) {
		switch a.Kind {
		case WetWaiting:
			if stop, ok := d.fillStop(a.Tub, now); ok {
				return Asked{Line{Text: "do not fill yet", Ways: plainWays(stop.ways)}, false}
			}
			return Asked{Line{Text: d.Prompt(a.Tub, now).Title}, true}
		case FarFromLast:
			if p := d.Prompt(a.Tub, now); p.Doubt != "" && len(p.Details) > 0 && len(p.Details[0].Ways) > 0 {
				return Asked{Line{Ways: p.Details[0].Ways}, false}
			}
		default:
		}
	}
	return Asked{Line{Text: a.Kind.Facts().Do}, a.Kind == OverLongest}
}

// minutesLeft is how long until an alarm's harm begins; below 0 for how long it
// has been done.
func (d Day) minutesLeft(a Alarm, now time.Time) (float64, bool) {
	if a.Tub < 0 || a.Tub >= len(d.Tubs) {
		return 0, false
	}
	var at time.Time
	switch a.Kind {
	case NearRelease, BelowRelease, SoakDone, NotLifted, LeftSoaking, ReadingWanted, OverLongest, WetWaiting:
		p := d.Prompt(a.Tub, now)
		if at = p.MustBy; p.Count.Of.Harm() {
			at = p.Count.At
		}
	case KettleNow:
		at = d.Tubs[a.Tub].SoakEndAt(now)
	case FarFromLast, ClockJumped, NotSaved:
	}
	if at.IsZero() {
		return 0, false
	}
	return minutesBetween(now, at), true
}

// Spoken is a call as it is said aloud: "north tub: lift the fleece now, four
// minutes left".
func Spoken(c AlarmCall) string {
	who := "tubside"
	if c.Tub >= 0 {
		who = strings.ToLower(c.Name) + " tub"
		if strings.Contains(strings.ToLower(c.Name), "tub") {
			who = strings.ToLower(c.Name)
		}
	}
	text := who + ": " + spokenDo(c.Kind)
	if left := math.Floor(c.MinutesLeft); c.HasMinutes && left >= 1 && left <= 90 {
		unit := "minutes"
		if left == 1 {
			unit = "minute"
		}
		text += ", " + inWords(int(left)) + " " + unit + " left"
	}
	return text
}

func spokenDo(k AlarmKind) string {
	switch k {
	case BelowRelease:
		return "too cool, lift the fleece at once"
	case NearRelease:
		return "lift the fleece now"
	case OverLongest:
		return "soaked too long, lift the fleece now"
	case SoakDone:
		return "the soak is done, lift the fleece"
	case NotLifted:
		return "the wash is still in, lift the fleece"
	case LeftSoaking:
		return "the fleece still soaks, lift it when you can"
	case WetWaiting:
		return "wet fleece has hung too long"
	case FarFromLast:
		return "bring the bath closer before the fleece goes in"
	case KettleNow:
		return "put the kettle on"
	case ReadingWanted:
		return "take a reading"
	case ClockJumped:
		return "the clock was set, look at the times"
	case NotSaved:
		return "the day is not being saved"
	}
	return k.String()
}

// inWords is a small number as it is said.
func inWords(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
		"fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"}
	if n >= 0 && n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

// A flood is more than a person can serve: ten alarms in ten minutes (EEMUA 191).
const (
	floodAlarms = 10
	floodSpan   = 10 * time.Minute
)

// AlarmGroup is all that is to be seen of one tub's alarms, or the day's.
type AlarmGroup struct {
	Tub    int
	Name   string
	Alarms []Alarm // standing, put off or not yet seen, most urgent first
	Raised int     // in the last ten minutes
}

// AlarmGroups is the list of alarms, one group a tub, the most urgent first;
// flood says that so many came that only the groups can be taken in.
func (d Day) AlarmGroups(now time.Time) (groups []AlarmGroup, flood bool) {
	byTub := map[int]*AlarmGroup{}
	raised := 0
	for _, a := range slices.Concat(d.Alarms, d.AlarmLog) {
		if now.Sub(a.RaisedAt) < floodSpan && !a.Call() {
			raised++
			if g := byTub[a.Tub]; g != nil {
				g.Raised++
			} else {
				byTub[a.Tub] = &AlarmGroup{Tub: a.Tub, Raised: 1}
			}
		}
	}
	for _, a := range d.Alarms {
		if byTub[a.Tub] == nil {
			byTub[a.Tub] = &AlarmGroup{Tub: a.Tub}
		}
		byTub[a.Tub].Alarms = append(byTub[a.Tub].Alarms, a)
	}
	for tub, g := range byTub {
		if len(g.Alarms) == 0 {
			continue
		}
		g.Name = d.tubName(tub)
		slices.SortStableFunc(g.Alarms, func(a, b Alarm) int { return cmp.Compare(listRank(a), listRank(b)) })
		groups = append(groups, *g)
	}
	slices.SortFunc(groups, func(a, b AlarmGroup) int {
		return cmp.Or(cmp.Compare(listRank(a.Alarms[0]), listRank(b.Alarms[0])), cmp.Compare(a.Tub, b.Tub))
	})
	return groups, raised >= floodAlarms
}

// listRank puts what rings before what was heard, what is put off and what has
// gone, each by urgency.
func listRank(a Alarm) int {
	at := map[lifecycle.State]int{lifecycle.Unacknowledged: 0, lifecycle.Acknowledged: 1, lifecycle.Returned: 2, lifecycle.Shelved: 3}
	return at[a.Life.State]*1000 + (int(HighPriority)-int(a.Priority))*100 + urgency(a.Kind)
}

// AlarmSettings are how alarms reach the person.
type AlarmSettings struct {
	// Quiet hours, minutes of the person's own day; equal is none. Low and medium
	// alarms wait in them, high ones never.
	QuietFromMin int    `json:"quiet_from_min"`
	QuietToMin   int    `json:"quiet_to_min"`
	RaiseVolume  bool   `json:"raise_volume"` // a muted or low output may be turned up for an alarm
	Speak        bool   `json:"speak"`
	Notify       bool   `json:"notify"`
	Hook         string `json:"hook,omitempty"` // a command of the person's own, for the system's shell
}

// Validate says in a sentence what is wrong with the settings.
func (s AlarmSettings) Validate() error {
	const day = 24 * 60
	if s.QuietFromMin < 0 || s.QuietFromMin >= day || s.QuietToMin < 0 || s.QuietToMin >= day {
		return fmt.Errorf("quiet hours go from one time of the day to another, such as 22:00 to 7:00")
	}
	if len(s.Hook) > 500 || strings.ContainsAny(s.Hook, "\x00\n\r\x1b") {
		return fmt.Errorf("your own command should be one line of up to 500 letters")
	}
	return nil
}

// Quiet says that an alarm of a priority waits at a minute of the day.
func (s AlarmSettings) Quiet(localMin int, p Priority) bool {
	switch {
	case p >= HighPriority || s.QuietFromMin == s.QuietToMin:
		return false
	case s.QuietFromMin < s.QuietToMin:
		return localMin >= s.QuietFromMin && localMin < s.QuietToMin
	}
	return localMin >= s.QuietFromMin || localMin < s.QuietToMin
}
