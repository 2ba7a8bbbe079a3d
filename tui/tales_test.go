package tui

import (
	"errors"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
	"fleece.example/tubside/tui/washday"
)

// tale is a row of the storybook: a screen in a canned, invented state. A new
// screen, form or state is a new row; go test ./tui -update draws it.
type tale struct {
	name  string
	says  string // what is to be seen from 80x24 on: that the state is the one meant
	pages bool   // every page of a screen that scrolls
	open  func(t *testing.T) *App
}

// storybook is every screen, with the states that differ in what they say.
func storybook() []tale {
	var out []tale
	for _, st := range tuitest.Stories() {
		out = append(out, tale{"day-" + st.Name, "", false, func(t *testing.T) *App { return storyApp(t, st) }})
	}
	type set = func(*person, *base.Deps)
	// row is a screen that keys lead to from the start of the program.
	row := func(name, says string, pages bool, sets []set, keys ...string) {
		out = append(out, tale{name, says, pages, func(t *testing.T) *App {
			p := newPerson(t, true, sets...)
			p.press(keys...)
			p.settled()
			return p.app
		}})
	}
	fleeces, record := []set{withFleeces}, []set{withRecord}

	row("home", "No day is running", false, fleeces)
	row("home-after-a-day", "Last day", false, []set{withPastDay(2)})
	row("home-holds", "2 batches drying", false, record)
	row("home-open-day", "still open", false, []set{withEmptyDay}, "esc")
	row("home-running", "A day is running", false, []set{withOpenDay(3, 10)}, "enter", "esc")
	row("home-alarm", "soaked too long", false, []set{withOpenDay(2, 28)}, "enter", "esc")
	unsaved := func(name, says string, keys ...string) {
		out = append(out, tale{name, says, false, func(t *testing.T) *App {
			p := newPerson(t, true, withOpenDay(3, 10))
			p.press("enter")
			p.settled() // else these events count too
			p.journal.FailWrites(errors.New("can't write /srv/shed/tubside.db (no space left on device): make room on the disk or check that it takes writes, then it is tried again. What was saved before is safe"))
			t.Cleanup(func() { p.journal.FailWrites(nil) })
			p.press("n", "a", "enter")
			p.failsToSave()
			p.press(keys...)
			return p.app
		}})
	}
	unsaved("day-unsaved", "NOT SAVED")
	unsaved("home-unsaved", "NOT SAVED", "esc")
	unsaved("home-unsaved-quit", "quitting writes another file", "esc", "q")
	row("home-question", "no alarms ring", false, []set{withOpenDay(3, 10)}, "enter", "esc", "q")
	for i := range firstStartPages {
		out = append(out, firstStartTale(i))
	}
	out = append(out, tale{"first-start-more", "page 5 of 10", false, func(t *testing.T) *App {
		a := firstStartTale(firstStartPages - 1).open(t)
		for _, k := range []string{"tab", "tab", "tab", "left", "enter"} {
			a.Update(tuitest.KeyOf(k))
		}
		return a
	}})

	row("plan-empty", "No batch yet", false, nil, "p")
	row("plan-left-wet", "g puts them first", false, []set{withLeftWet}, "p")
	row("plan-go-on", "A3 goes on from", false, []set{withLeftWet}, "p", "g")
	out = append(out,
		tale{"plan-filled", "hot tap", false, func(t *testing.T) *App { return planned(t).app }},
		tale{"plan-us", "°F", false, func(t *testing.T) *App { return longPlan(t, measure.US, 3).app }},
		tale{"plan-long", "batches", false, func(t *testing.T) *App { return longPlan(t, measure.Metric, 24).app }},
		tale{"plan-refused", "d again", false, func(t *testing.T) *App { p := planned(t); p.press("d"); return p.app }},
		tale{"plan-old", "was 4 h 33 min", false, func(t *testing.T) *App { p := planned(t); p.press("d"); p.slowly("d"); return p.app }},
		tale{"outlook", "Start now", true, func(t *testing.T) *App { p := planned(t); p.workedOut(); return p.app }},
		tale{"outlook-cannot", "plan won't work", true, func(t *testing.T) *App {
			p := planned(t)
			p.press("esc", "k", "2", "0", "ctrl+s", "esc", "p")
			p.workedOut()
			return p.app
		}},
	)
	row("plan-batches", "Which fleece", false, fleeces, "p", "a")
	row("plan-split", "makes ", false, fleeces, "p", "a", "enter")
	row("plan-batch", "", false, fleeces, "p", "a", "ctrl+s", "e")
	row("plan-when", "Ready by", false, fleeces, "p", "a", "ctrl+s", "b")
	row("plan-begins", "Begins tomorrow 07:00", false, fleeces, "p", "a", "ctrl+s", "b", "t", "o", "m", "o", "r", "r", "o", "w", " ", "7", "ctrl+s")
	row("plan-ready-by", "at the latest, to be ready by", false, fleeces, "p", "a", "ctrl+s", "b", "enter", "2", "0", "ctrl+s")
	quiet := func(p *person, _ *base.Deps) {
		p.ledger.Alarms = session.AlarmSettings{QuietFromMin: 18 * 60, QuietToMin: 8 * 60}
	}
	row("plan-kept-free", "done about 17:59, before the hours you keep free", false, []set{withFleeces, quiet}, "p", "a", "ctrl+s", "b", "enter", "2", "0", "ctrl+s")
	row("plan-disturbs", "there is work at 22:0", false, []set{withFleeces}, "p", "a", "ctrl+s", "b", "1", "7", "ctrl+s")
	row("plan-quiet", "goes on Sun 08:00", false, []set{withFleeces, quiet}, "p", "a", "ctrl+s", "b", "1", "4", "ctrl+s")
	row("plan-break", "break 12:30 to 13:15: ", false, fleeces, "p", "a", "ctrl+s", "b", "tab", "tab", "1", "2", ":", "3", "0", "-", "1", "3", ":", "1", "5", "ctrl+s")
	row("plan-too-late", "the latest start is", false, fleeces, "p", "a", "ctrl+s", "b", "enter", "1", "5", "ctrl+s")
	row("plan-method", "Method", false, fleeces, "p", "a", "ctrl+s", "m")
	row("plan-water", "Hot tap", false, fleeces, "p", "a", "ctrl+s", "w")

	heardOf := func(_ *person, d *base.Deps) { d.Outside = &fakeOutside{} }
	row("day-unchecked", "Check the sound: p plays", false, []set{withFleeces, heardOf}, "p", "a", "ctrl+s", "s")
	running := []set{withFleeces, withOpenDay(2, 10)}
	row("day-break", "HOW LONG ARE YOU AWAY?", false, running, "enter", "i")
	row("day-away", "break till", false, running, "enter", "i", "enter", "enter")
	row("today", "CHANGE WHAT?", false, running, "enter", "1", "d")
	row("today-rest", "rack by about", true, running, "enter", "1", "d", "2")
	row("today-water", "all of it, top-ups too", false, running, "enter", "1", "d", "6")
	row("today-raw", "before its first bath", false, running, "enter", "1", "d", "5")

	row("kit", "hot tap", false, nil, "k")
	row("kit-us", "°F, gal and oz", false, nil, "k", "u", "home", "down", "enter")
	row("kit-all", "room for 4", false, []set{withTrays, func(p *person, _ *base.Deps) { p.ledger.HasKit.Tank.VolumeL = 120 }}, "k")
	row("kit-units", "each by itself", false, nil, "k", "u")
	row("kit-units-apart", "Weights", false, nil, "k", "u", "end", "enter")
	row("kit-tub-chosen", "Tub North", false, nil, "k", "down", "down", "down", "down")
	for i, part := range []string{"water", "kettle", "scour", "your-way", "tub"} {
		row("kit-"+part, "", false, nil, "k", string(rune('1'+i)))
	}
	row("kit-water-us", "°F", false, nil, "k", "u", "home", "down", "enter", "1")
	row("kit-tub-wrong", "is not", false, nil, "k", "5", "tab", "x", "enter")
	row("kit-new-tub", "", false, nil, "k", "a")
	row("kit-tank", "tank", false, nil, "k", "end", "up", "up", "enter")
	row("kit-rack", "rack", false, nil, "k", "end", "up", "enter")
	row("kit-rack-trays", "the long middle one 3", false, []set{withTrays}, "k", "end", "up", "enter")
	row("kit-prices", "", false, nil, "k", "end", "enter")

	row("ledger", "Curly", false, record, "f")
	row("ledger-empty", "No fleece yet", false, nil, "f")
	row("ledger-search", "search", false, record, "f", "/", "f", "o", "l", "d")
	row("ledger-nothing-found", "No fleece matches", false, record, "f", "/", "x", "x")
	row("fleece-form", "Animal", false, nil, "f", "a")
	row("fleece-form-wrong", "type a ", false, nil, "f", "a", "E", "enter", "enter", "enter", "enter")
	row("fleece-life", "Breed", false, record, append([]string{"f", "enter", "e"}, slices.Repeat([]string{"enter"}, 12)...)...)
	row("card", "to wash", true, record, "f", "enter")
	row("card-merge", "one too", true, record, "f", "enter", "m")
	row("card-merge-weights", "entered twice", true, record, "f", "enter", "m", "down", "enter")
	row("card-refused", "stays", true, record, "f", "enter", "x")

	row("methods", "built in", false, nil, "m")
	row("method-copy", "Name", false, nil, "m", "c")
	row("method-own", "yours", false, nil, "m", "c", "ctrl+s")
	row("steps", "first rinse", false, nil, "m", "enter")
	row("step-form", "", false, nil, "m", "c", "ctrl+s", "enter", "down", "e")
	row("step-new", "", false, nil, "m", "c", "ctrl+s", "enter", "a")
	row("method-name", "Name", false, nil, "m", "c", "ctrl+s", "enter", "n")

	row("past", "60 %", false, record, "d")
	card := []string{"d", "a", "2", "0", "2", "4", "-", "0", "6", "-", "0", "1", "enter", "enter", "2", "0", "0", "enter", "1", "1", "0", "enter", "B", "7", "enter", "down", "enter", "s", "o", "f", "t"}
	row("past-old-wash", "Day it was washed", false, record, "d", "a")
	row("past-old-wash-batch", "How it came out", false, record, card...)
	row("past-old-wash-saved", "Another batch", false, record, append(slices.Clone(card), "ctrl+s", "ctrl+s")...) // asked about: the clip is of 2026
	out = append(out, tale{"fleece-cards", "1 not weighed", false, func(t *testing.T) *App {
		p := newPerson(t, true, withFleeces)
		p.press("d", "a", "2", "0", "2", "4", "-", "0", "6", "-", "0", "1", "enter", "enter", "2", "0", "0", "ctrl+s", "ctrl+s")
		p.settled()
		p.press("esc", "esc", "f", "enter")
		return p.app
	}})
	out = append(out, tale{"review-card", "later from a card", true, func(t *testing.T) *App {
		p := newPerson(t, true, withRecord)
		p.press(append(slices.Clone(card), "ctrl+s", "ctrl+s")...)
		p.settled()
		p.press("esc", "end", "enter")
		return p.app
	}})
	row("past-empty", "No day yet", false, nil, "d")
	row("review", "yield", true, record, "d", "down", "enter")
	out = append(out, tale{"review-advice", "reach a tub", true, func(t *testing.T) *App {
		p := newPerson(t, true, withPoorDays(false))
		p.press("d", "enter")
		p.settled()
		p.press("t")
		return p.app
	}})
	row("review-eventful", "47 °C", true, []set{withEventfulDay(measure.Metric)}, "d", "enter")
	row("review-eventful-us", "°F", true, []set{withEventfulDay(measure.US)}, "d", "enter")
	row("review-baths", "lowest 47 °C", true, []set{withEventfulDay(measure.Metric)}, "d", "enter", "v", "down")
	row("review-baths-us", "°F", true, []set{withEventfulDay(measure.US)}, "d", "enter", "v", "down")
	row("past-trust", "forecast range", true, []set{withPoorDays(true)}, "d", "t")
	many := []set{withManyDays(measure.Metric, false)}
	row("past-many", "Changed:", true, many, "d", "m")
	row("past-many-yield", "yield", true, many, "d", "m", "o", "o", "o", "b", "down", "down")
	row("past-many-us", "°F", true, []set{withManyDays(measure.US, false)}, "d", "m", "tab", "down", "down")
	row("past-many-waits", "end at 0", true, many, "d", "m", "o", "o", "o", "o")
	row("past-beside", "further above", true, []set{withManyDays(measure.Metric, true)}, "d", "c", "end", "c")
	row("past-beside-us", "°F", true, []set{withManyDays(measure.US, false)}, "d", "c", "down", "c")
	row("past-beside-marked", "is marked", false, many, "d", "c")
	row("past-many-empty", "nothing to compare", false, []set{withEmptyDay}, "esc", "d", "m")
	row("review-weigh", "Dry weight", false, record, "d", "down", "enter", "w")
	row("review-save", "Save or print", false, []set{withRecord, withAlong}, "d", "down", "enter", "s")
	row("review-part", "", false, record, "d", "down", "enter", "p")

	row("drying", "A1", false, record, "r")
	row("drying-damp", "Is it dry?", false, record, "r", "d", "1", "2", "1", "enter", "enter", "enter")
	row("drying-empty", "Nothing is drying", false, nil, "r")
	row("drying-lay", "", false, record, "r", "y")
	leftWet := []set{withLeftWet}
	row("left-wet-card", "left wet", false, leftWet, "f", "enter")
	row("left-wet", "left wet at the first rinse", false, leftWet, "f", "enter", "h")
	row("left-wet-on", "Go on from", false, leftWet, "f", "enter", "h", "down", "w")
	row("wash-again", "half of it", false, record, "d", "down", "enter", "h", "w")
	row("drying-found", "still waxy", false, record, "r", "h", "x", "t", "o")
	row("weigh", "Weight now", false, record, "r", "enter")
	row("weigh-dry", "", false, record, "r", "d")
	row("drying-dry", "dry by the rule", false, []set{withRecord, weeksLater}, "r", "enter", "1", "3", "7", "ctrl+s")

	row("help", "too cool, wax sets", true, nil, "?")
	out = append(out,
		tale{"help-day", "choose a tub", true, func(t *testing.T) *App { p, _ := withOutside(t, 5); p.press("?"); return p.app }},
		tale{"help-form", "save all", true, func(t *testing.T) *App { p := newPerson(t, true); p.press("k", "1", "f1"); return p.app }},
	)

	row("alarms-empty", "No alarm", false, nil, "a")
	row("alarms-settings", "Quiet hours", false, nil, "a", "s")
	row("alarms-away", "command", false, nil, "a", "s", "enter", "enter", "enter")
	row("alarms", "not lifted", false, []set{withOpenDay(3, 28)}, "enter", "l")
	out = append(out, tale{"alarms-done", "heard, not done", false, func(t *testing.T) *App {
		p := newPerson(t, true, withOpenDay(3, 28))
		p.press("enter", " ")
		p.clock.Forward(4 * time.Minute)
		p.press("enter")
		p.clock.Forward(9 * time.Minute)
		p.wait(time.Second)
		p.press("l")
		return p.app
	}})
	foreign := func(p *person, d *base.Deps) {
		d.Outside = &fakeOutside{state: keep.OutsideState{Unconfirmed: session.AlarmSettings{Hook: "curl -d \"$TUBSIDE_TEXT\" https://invented.example/shed", RaiseVolume: true, Speak: true}}}
		d.Exposed = "Others can change this record: any user may change /srv/shed/tubside.db"
	}
	row("alarms-foreign", "c allows, on this", false, []set{foreign}, "a")
	row("home-foreign", "not run", false, []set{foreign})
	row("day-foreign", "not run", false, []set{withOpenDay(3, 50), foreign}, "enter")
	row("alarms-out", "off today", false, []set{withOpenDay(3, 28)}, "enter", "l", "x", "x")
	row("alarms-put-off", "Why", false, []set{withOpenDay(3, 28)}, "enter", "l", "o")
	row("alarms-waits", "snoozed", false, []set{withOpenDay(3, 28)}, "enter", "l", "o", "ctrl+s")

	row("soundcheck-none", "no sound here", false, nil, "a", "p", "enter")
	sound := func(name, says string, change func(*fakeOutside), keys ...string) {
		out = append(out, tale{name, says, false, func(t *testing.T) *App {
			p, o := withOutside(t, 5)
			change(o)
			p.press(" ", "p") // it cannot be checked while an alarm rings
			p.press(keys...)
			p.settled()
			return p.app
		}})
	}
	same := func(*fakeOutside) {}
	sound("soundcheck", "Enter plays", same)
	sound("soundcheck-asked", "DID YOU HEAR IT?", same, "enter")
	sound("soundcheck-silent", "NO SOUND CAME OUT", func(o *fakeOutside) {
		o.result = keep.Played{Problem: "the sound server does not answer, and no other player is installed"}
		o.state.Problems = []string{"the output of this machine is muted, and turning it up was refused"}
	}, "enter")
	sound("soundcheck-heard", "all three were heard", same, "enter", "y", "y", "y")
	sound("soundcheck-missed", "kitchen timer", same, "enter", "y", "n", "y")

	row("go-on", "tubside was off", false, []set{withOpenDay(3, 50)})
	row("go-on-many", "Tub L", false, []set{withOpenDay(12, 60)})
	row("go-on-question", "x again", false, []set{withOpenDay(3, 50)}, "x")
	longAgo := func(p *person, _ *base.Deps) { p.clock.Forward(2 * base.LongAway) }
	row("go-on-long-ago", "If the clock is wrong", false, []set{withOpenDay(3, 50), longAgo})
	row("go-on-off", "from when it stopped until", false, []set{withOpenDay(3, 50), longAgo}, "m")
	clockBack := func(p *person, _ *base.Deps) { p.clock.Forward(-24 * time.Hour) }
	row("go-on-clock-back", "times are a guess", false, []set{withOpenDay(3, 50), clockBack})
	row("day-guess", "TIMES A GUESS", false, []set{withOpenDay(3, 50), clockBack}, "enter")
	row("go-on-drop", "Press x again", false, []set{withOpenDay(3, 0)}, "x")
	row("day-drop", "Press e again", false, []set{withOpenDay(3, 0)}, "enter", "e")
	row("day-early", "goes back", false, []set{withOpenDay(3, 10)}, "enter", "e")
	row("past-delete", "Press x again", false, []set{withPastDay(3)}, "d", "x")
	row("go-on-broken", "couldn't be read", false, []set{withEmptyDay})

	row("day-trays", "", false, []set{withTrays, withOpenDayOnTrays}, "enter", "y")
	row("day-chosen", "comes first", false, []set{withOpenDay(3, 0)}, "enter", "2")
	row("day-refused", "has no bath now", false, []set{withOpenDay(3, 0)}, "enter", "3", "r")
	row("day-reading", "THERMOMETER", false, []set{withOpenDay(3, 28)}, "enter", " ", "1", "r", "6", "5", "0", "enter")
	return out
}

// storyApp is the program in a story of the running day.
func storyApp(t *testing.T, st tuitest.Story) *App {
	d, now := st.Make(t)
	e := tuitest.StoryEnv(d, now, theme.Options{NoColor: true})
	a := &App{env: e, stack: []base.Screen{washday.New(e)}}
	a.top().SetSize(200, 60)
	e.Now = now.Add(time.Second) // keys for a tub are not taken at once
	for _, k := range st.Keys {
		a.top().Update(tuitest.KeyOf(k))
	}
	e.Now = now
	return a
}

// longPlan is a plan of many batches in one sort of units.
func longPlan(t *testing.T, u measure.System, batches int) *person {
	p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) {
		p.ledger.HasKit.Units, p.ledger.HasKit.JugL = u, shed.JugFor(u)
		p.ledger.Have[1].Animal, p.ledger.Have[1].RawG = "Old Grey with the torn ear", 6000
	})
	plan := tuitest.StoryPlan(2)
	var list []shed.Batch
	for len(list) < batches {
		list = append(list, plan.Batches...)
	}
	p.app.env.Planned.Plan = shed.Plan{Method: plan.Method, Fleeces: p.ledger.Have, Batches: list[:batches]}
	p.press("p")
	return p
}

// firstStartPages is how many pages the first start has with Enter all through.
const firstStartPages = 4

// firstStartTale is a page of the first start.
func firstStartTale(at int) tale {
	return tale{"first-start-" + string(rune('1'+at)), "", false, func(t *testing.T) *App {
		p := newPerson(t, false)
		for turns := 0; ; turns++ {
			f, ok := p.app.top().(*form.FormScreen)
			if !ok || turns > 80 {
				t.Fatalf("the first start has no page %d", at+1)
			}
			n := 0
			for i := f.NextPage(-1); i >= 0 && i < f.Page; i = f.NextPage(i) {
				n++
			}
			if n == at {
				return p.app
			}
			p.press("enter")
		}
	}}
}

// withEmptyDay is a journal whose open day has lost its events.
func withEmptyDay(p *person, _ *base.Deps) {
	p.journal.Sums[7] = ledger.Summary{ID: 7, StartedAt: tuitest.StoryStart}
}

// weeksLater is when the wool on the rack has long been dry, at another time of day.
func weeksLater(p *person, _ *base.Deps) { p.clock.Forward((5*24 + 6) * time.Hour) }

// withTrays gives the kit a rack of named trays.
func withTrays(p *person, _ *base.Deps) {
	p.ledger.HasKit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "the long middle one", Places: 3}}
}

// withOpenDayOnTrays is an open day whose first batch is to be racked.
func withOpenDayOnTrays(p *person, _ *base.Deps) {
	plan := tuitest.StoryPlan(1)
	plan.Kit.Trays = p.ledger.HasKit.Trays
	r := sessiontest.StartAt(p.t, plan, tuitest.StoryStart)
	for r.Day.Tubs[0].Phase != shed.ToRack {
		r.Now = r.Now.Add(2 * time.Minute)
		r.Next(0)
	}
	r.Keep(p.journal)
	p.clock.At = r.Now
}
