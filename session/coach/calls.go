package coach

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
)

// AlarmCall is an alarm that calls for the person, with all that is said of it
// away from the screen.
type AlarmCall struct {
	_        [0]func() // nobody compares two: no code for it
	Tub      int       // -1: the day
	Name     string
	Kind     session.AlarmKind
	Priority session.Priority
	Level    int // how loud, 1 to 3
	Rings    int // times it has sounded
	Words    string
	Do       string
	// MinutesLeft until harm is done; below 0 it is being done. HasMinutes is
	// false if nobody can tell.
	MinutesLeft float64
	HasMinutes  bool
}

// Calls are the alarms that ring at now, most urgent first; those that quiet
// hours hold back are left out, though they stand. localMin is the minute of the
// person's own day.
func Calls(d session.Day, now time.Time, s session.AlarmSettings, localMin int) []AlarmCall {
	var ringing []session.Alarm
	for _, a := range d.Alarms {
		if a.Unanswered() && !s.Quiet(localMin, a.Priority) {
			ringing = append(ringing, a)
		}
	}
	sort.SliceStable(ringing, func(i, j int) bool { return session.Louder(ringing[i], ringing[j]) })
	out := make([]AlarmCall, len(ringing))
	for i, a := range ringing {
		c := AlarmCall{Tub: a.Tub, Name: d.TubName(a.Tub), Kind: a.Kind, Priority: a.Priority, Level: a.Level(), Rings: a.Rings,
			Words: a.Kind.Shown(), Do: WhatToDo(d, a, now).Say(nil)}
		c.MinutesLeft, c.HasMinutes = minutesLeft(d, a, now)
		out[i] = c
	}
	return out
}

// Asked is what an alarm asks for.
type Asked struct {
	Line
	Own bool // the prompt of its tub says it
	Or  Deed // what would do in place of what the prompt of its tub says
}

// WhatToDo is what an alarm asks for: the deed that the list has for its tub. It
// never asks to fill a bath that cannot wash.
func WhatToDo(d session.Day, a session.Alarm, now time.Time) Asked {
	if a.Tub >= 0 && a.Tub < len(d.Tubs) {
		switch a.Kind {
		case session.NearRelease:
			if longest := d.Tubs[a.Tub].LongestAt(); !longest.IsZero() && !now.Before(longest) { // no cover, no hot water: it has soaked too long
				return Asked{Line: Line{Text: session.OverLongest.Facts().Do}, Own: true}
			}
			do := Line{Text: a.Kind.Facts().Do, Brief: "or cover it, or pour hot water in at the side, never onto the fleece"}
			if d.Tubs[a.Tub].Cover != cooling.Open {
				do = Line{Text: strings.Replace(do.Text, "cover it, or ", "", 1), Brief: strings.Replace(do.Brief, "cover it, or ", "", 1)}
			}
			return Asked{Line: do}
		case session.WetWaiting:
			if stop, ok := stopOf(d, a.Tub, now); ok {
				return Asked{Line: Line{Text: "do not fill yet", Ways: plainWays(stop.ways)}}
			}
			return Asked{Line: Line{Text: PromptAt(d, a.Tub, now).Title}, Own: true}
		case session.FarFromLast:
			if p := PromptAt(d, a.Tub, now); p.Doubt != "" && len(p.Details) > 0 && len(p.Details[0].Ways) > 0 {
				return Asked{Line: Line{Ways: p.Details[0].Ways}}
			}
		case session.SoakDone, session.NotLifted, session.LeftSoaking:
			return Asked{Line: Line{Text: a.Kind.Facts().Do}, Or: SoakOn}
		case session.KettleNow:
			if k, on := d.KettleDue(now); on && k.Refills(now) {
				return Asked{Line: Line{Text: nextBoil(k, d.Plan.Kit.KettleText(k.NextL()), now)}}
			}
		default:
		}
	}
	return Asked{Line: Line{Text: a.Kind.Facts().Do}, Own: a.Kind == session.OverLongest}
}

// minutesLeft is how long until an alarm's harm begins; below 0 for how long it
// has been done.
func minutesLeft(d session.Day, a session.Alarm, now time.Time) (float64, bool) {
	if a.Tub < 0 || a.Tub >= len(d.Tubs) {
		return 0, false
	}
	var at time.Time
	switch a.Kind {
	case session.KettleNow:
		at = d.Tubs[a.Tub].SoakEndAt(now)
	case session.FarFromLast: // nothing is done to a fleece that is not in yet
	default:
		p := PromptAt(d, a.Tub, now)
		if at = p.MustBy; p.Count.Of.Harm() {
			at = p.Count.At
		}
	}
	if at.IsZero() {
		return 0, false
	}
	return measure.MinutesBetween(now, at), true
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
	text := who + ": " + c.Kind.Facts().Spoken
	if left := math.Floor(c.MinutesLeft); c.HasMinutes && left >= 1 && left <= 90 {
		unit := "minutes"
		if left == 1 {
			unit = "minute"
		}
		text += ", " + inWords(int(left)) + " " + unit + " left"
	}
	return text
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
	Alarms []session.Alarm // standing, put off or not yet seen, most urgent first
	Raised int             // in the last ten minutes
}

// AlarmGroups is the list of alarms, one group a tub, the most urgent first;
// flood says that so many came that only the groups can be taken in.
func AlarmGroups(d session.Day, now time.Time) (groups []AlarmGroup, flood bool) {
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
		g.Name = d.TubName(tub)
		sort.SliceStable(g.Alarms, func(i, j int) bool { return listRank(g.Alarms[i]) < listRank(g.Alarms[j]) })
		groups = append(groups, *g)
	}
	sort.SliceStable(groups, func(i, j int) bool {
		a, b := groups[i], groups[j]
		return cmp.Or(cmp.Compare(listRank(a.Alarms[0]), listRank(b.Alarms[0])), cmp.Compare(a.Tub, b.Tub)) < 0
	})
	return groups, raised >= floodAlarms
}

// listRank puts what rings before what was heard, what is put off and what has
// gone, each by urgency.
func listRank(a session.Alarm) int {
	at := map[lifecycle.State]int{lifecycle.Unacknowledged: 0, lifecycle.Acknowledged: 1, lifecycle.Returned: 2, lifecycle.Shelved: 3}
	return at[a.Life.State]*1000 + (int(session.HighPriority)-int(a.Priority))*100 + int(a.Kind)
}
