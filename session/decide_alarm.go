package session

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

func decideAcknowledge(d Day, c Acknowledge) ([]Event, error) {
	var out []Event
	for _, a := range d.Alarms {
		if (c.Tub == -1 || a.Tub == c.Tub) && (a.Unanswered() || a.Life.State == lifecycle.Returned) {
			out = append(out, AlarmAcknowledged{a.Kind, a.Tub})
		}
	}
	switch {
	case len(out) == 0 && c.Tub == -1:
		return nil, fmt.Errorf("no alarm is ringing at any tub")
	case len(out) == 0:
		return nil, fmt.Errorf("no alarm is ringing at %s", d.TubName(c.Tub))
	}
	return out, nil
}

// How long an alarm may be put off, min: one of the release temperature hardly,
// for the wax does not wait. Our own choice.
const (
	longestShelfMin = 60.0
	releaseShelfMin = 3.0
)

func decideShelve(d Day, c Shelve, now time.Time) ([]Event, error) {
	i := d.FindAlarm(c.Kind, c.Tub)
	if i < 0 || d.Alarms[i].Life.State == lifecycle.Returned {
		return nil, fmt.Errorf("there is no such alarm at %s to snooze", d.TubName(c.Tub))
	}
	if d.Alarms[i].Life.State == lifecycle.Shelved {
		return nil, fmt.Errorf("it's snoozed already: undo that first")
	}
	most := longestShelfMin
	if c.Kind == BelowRelease || c.Kind == NearRelease {
		most = releaseShelfMin
	}
	if !(c.ForMin > 0) || c.ForMin > most {
		return nil, fmt.Errorf("\"%s\" can be snoozed for up to %s: the alarm is there for the fleece", c.Kind.Shown(), measure.Minutes(most))
	}
	why := measure.CleanText(c.Why, shed.MaxName)
	if why == "" {
		return nil, fmt.Errorf("say why you snooze it, such as on my way")
	}
	return []Event{AlarmShelved{Alarm: c.Kind, Tub: c.Tub, Until: now.Add(measure.Lasting(c.ForMin)), Why: why}}, nil
}

func decideUnshelve(d Day, c Unshelve) ([]Event, error) {
	if i := d.FindAlarm(c.Kind, c.Tub); i < 0 || d.Alarms[i].Life.State != lifecycle.Shelved {
		return nil, fmt.Errorf("no such alarm is snoozed at %s", d.TubName(c.Tub))
	}
	return []Event{AlarmUnshelved{Alarm: c.Kind, Tub: c.Tub}}, nil
}

func decideService(d Day, c SetService) ([]Event, error) {
	if _, err := c.Kind.MarshalText(); err != nil {
		return nil, fmt.Errorf("there is no such alarm")
	}
	switch is := slices.Contains(d.Out, c.Kind); {
	case c.Out && c.Kind.Facts().Priority == HighPriority:
		return nil, fmt.Errorf("\"%s\" guards the fleece and stays on", c.Kind.Shown())
	case c.Out && is:
		return nil, fmt.Errorf("\"%s\" is off already", c.Kind.Shown())
	case !c.Out && !is:
		return nil, fmt.Errorf("\"%s\" is on already", c.Kind.Shown())
	}
	return []Event{AlarmService{Alarm: c.Kind, Out: c.Out}}, nil
}

func decideProof(c ProveSound) ([]Event, error) {
	path := measure.CleanText(c.Path, shed.MaxName)
	if c.Heard && path == "" {
		return nil, fmt.Errorf("nothing was played: check the sound again")
	}
	return []Event{SoundChecked{Heard: c.Heard, Path: path}}, nil
}
