package tui

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// TestHomeEsc: Esc at home leads nowhere, so that the letters behind it mean the menu.
func TestHomeEsc(t *testing.T) {
	p := soakingPerson(t)
	p.app.stack = []base.Screen{newHome(p.app.env)}
	p.press("esc")
	if _, home := p.app.top().(*homeScreen); !home {
		t.Fatalf("Esc leads to %T", p.app.top())
	}
	p.says("t goes to the tubs")
}

// TestHomeShowsAllAlarms: home has each alarm that stands, with tub and deed, low
// ones too, in every window; Space hears them.
func TestHomeShowsAllAlarms(t *testing.T) {
	p := soakingPerson(t)
	p.app.env.Rehearsal = nil
	p.app.stack = []base.Screen{newHome(p.app.env)}
	low := session.Alarm{Kind: session.KettleNow, Tub: 0, Priority: session.LowPriority}
	low.Life, _ = low.Life.Next(lifecycle.Arise, time.Time{}, "")
	d := p.app.env.Live.Day
	d.Alarms = append(slices.Clone(d.Alarms), low)
	p.app.env.Keeper.Take(p.app.env.Live.ID, d)
	for _, size := range tuitest.Sizes {
		p.resize(size[0], size[1])
		p.says("North: put the kettle on")
		p.says("(t: ")
	}
	p.press(" ")
	p.says("Heard 2: North, ")
	p.says("; North, kettle on now")
}

// TestSoundCheckNamesWhatRings: what rings is named, and can be silenced there.
func TestSoundCheckNamesWhatRings(t *testing.T) {
	p, out := withOutside(t, 26)
	for range 60 {
		if p.wait(time.Minute); len(out.ringing) > 0 {
			break
		}
	}
	p.press("p", "enter")
	p.says("ringing now: North, ")
	if p.press(" "); len(out.ringing) != 0 {
		t.Error("Space does not silence at the sound check")
	}
	p.press("enter")
	p.sees("DID YOU HEAR IT?")
}

// TestHomeCountsWhatWasWashed: a day that ended before all its batches were washed is said so, and
// what dries is given by its raw weight as such.
func TestHomeCountsWhatWasWashed(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.says("2 batches ·")
	p.says("drying 400 g raw, 1 kg raw")
	h := p.app.top().(*homeScreen)
	h.last.last.Racked--
	p.says("1 of 2 batches washed ·")
}

// TestHomeSaysWhenThePlanIsFor: the plan of a day to come is there with the time it is for.
func TestHomeSaysWhenThePlanIsFor(t *testing.T) {
	p := newPerson(t, true, withRecord)
	e := p.app.env
	e.Planned.Plan = tuitest.StoryPlan(2)
	p.says("3 batches of the next wash day")
	e.Planned.Begin = e.Now.Add(20 * time.Hour)
	p.says("3 batches to begin Tue 17 Mar 10:52")
	e.Planned.ReadyBy = e.Now.Add(26 * time.Hour)
	p.says("3 batches to be ready Tue 17 Mar 16:52")
	p.everySize()
}
