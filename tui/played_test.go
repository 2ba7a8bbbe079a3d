package tui

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/tuitest"
	"fleece.example/tubside/tui/washday"
)

// playedDay is a person who washes a whole day through the program and looks
// into everything on the way; every message is held against the screen by fits.
type playedDay struct {
	*person
	alarms, asks, told, refused map[string]bool
	turn                        int
}

// look keeps what there was to be said.
func (d *playedDay) look() {
	e := d.app.env
	for _, a := range e.Live.Day.Alarms {
		d.alarms[a.Kind.String()] = true
	}
	if s, ok := d.app.top().(*washday.Screen); ok {
		if title, wrong, asks := s.Asking(); asks {
			d.asks[title] = true
			d.refused[wrong] = true
		}
	}
	switch {
	case e.Bad:
		d.refused[e.Say] = true
	default:
		d.told[e.Say] = true
	}
}

func (d *playedDay) keys(keys ...string) {
	d.t.Helper()
	for _, k := range keys {
		d.press(k)
		d.look()
	}
}

// toTubs leads back to the tubs from wherever a key has led.
func (d *playedDay) toTubs() {
	d.t.Helper()
	for range 6 {
		if s, ok := d.app.top().(*washday.Screen); ok && s.AtTubs() {
			return
		}
		if _, ok := d.app.top().(*homeScreen); ok {
			d.keys("enter")
			continue
		}
		d.keys("esc")
	}
	d.t.Fatalf("not back at the tubs:\n%s", d.view())
}

const bath = "bath"

// asides are what a person does beside the next deed: questions, answers right
// and wrong, other screens, deeds that are refused or asked about. A bath stands
// for the digit of a tub that has one.
var asides = [][]string{
	{bath, "c", "esc"},
	{bath, "r", "9", "9", "9", "enter", "esc", "esc"},
	{bath, "r", "5", "5", "enter", "enter"},
	{bath, "t", "x", "enter", "esc", "esc"},
	{bath, "t", "1", "enter", "9", "0", "enter"},
	{bath, "t", "9", "9", "enter", "9", "0", "enter", "esc", "esc"},
	{bath, "c", "2"},
	{bath, "w"},
	{bath, "w", "t"},
	{"n", "a", " ", "l", "o", "n", "g", " ", "n", "o", "t", "e", " ", "o", "f", " ", "t", "h", "e", " ", "d", "a", "y", "esc", "enter"},
	{bath, "+", "-", "h", "h"},
	{"3", "s", "2", "b"},
	{"1", "h"},
	{"1", "h"},
	{"e", "u", "u"},
	{"9", "y", "g"},
	{"f", "enter", "esc"},
	{"v", "v"},
	{"l", "o", "ctrl+s", "x", "s", "esc"},
	{"?", "end", "esc"},
	{"esc", "q", "k", "5", "tab", "x", "enter", "esc", "esc", "esc"},
	{"esc", "p", "esc", "f", "enter", "esc", "esc", "r", "esc", "d", "esc"},
	{"p", "enter", "n", "n", "n"},
}

func (d *playedDay) aside() {
	for _, k := range asides[d.turn%len(asides)] {
		if k == bath {
			k = d.withBath()
		}
		d.keys(k)
	}
	d.turn++
	d.toTubs()
}

// withBath is the digit of a tub that has a bath, another one each time.
func (d *playedDay) withBath() string {
	tubs := coach.Glances(d.app.env.Live.Day, d.app.env.Now)
	for i := range tubs {
		at := (i + d.turn) % len(tubs)
		if g := tubs[at]; g.HasTemp && g.Phase != shed.Draining {
			return string(rune('1' + at))
		}
	}
	return "1"
}

// deed does what the band says, and confirms what it asks about.
func (d *playedDay) deed() {
	s := d.app.top().(*washday.Screen)
	d.keys("enter")
	if s.WantsAgain() {
		d.keys("enter")
	}
}

// TestPlayedDay washes a day at three sizes in two sorts of units, with alarms
// that stand, questions, refusals and a disk that fails: nothing that has to be
// Read in full is ever cut, whatever is said.
func TestPlayedDay(t *testing.T) {
	if testing.Short() {
		t.Skip("plays whole days")
	}
	for i, sz := range tuitest.Sizes[:3] {
		for j, u := range []measure.System{measure.Metric, measure.US} {
			if !long.Run() && (i > 0 || j == 0) {
				continue // the one with least room; TestWholeDayInATerminal has the other units
			}
			t.Run(fmt.Sprintf("%dx%d-%v", sz[0], sz[1], u), func(t *testing.T) {
				t.Parallel()
				out := &fakeOutside{state: keep.OutsideState{Problems: []string{"the output of this machine is muted, and turning it up was refused"}}}
				p := newPerson(t, true, withFleeces, func(p *person, d *base.Deps) {
					k := tuitest.StoryPlan(4).Kit
					k.Units, k.JugL = u, shed.JugFor(u)
					k.Tubs[2].Name = "Trough behind the stable door"
					k.Tank = shed.Tank{VolumeL: 90, HeaterW: 2000}
					p.ledger.HasKit, d.Outside = &k, out
				})
				d := &playedDay{person: p, alarms: map[string]bool{}, asks: map[string]bool{}, told: map[string]bool{}, refused: map[string]bool{}}
				plan := tuitest.StoryPlan(4)
				p.app.env.Planned.Plan = shed.Plan{Method: plan.Method, Fleeces: plan.Fleeces, Batches: plan.Batches[:4]}
				p.resize(sz[0], sz[1])
				d.keys("p", "t", "pgdown", "esc", "s", "s")
				d.toTubs()
				d.play(long.Of(2, 6) * 60)
				for name, least := range map[string][2]int{
					"kinds of alarm": {len(d.alarms), 3}, "questions": {len(d.asks), 8}, "sentences": {len(d.told), 20}, "refusals": {len(d.refused), 8},
				} {
					if least[0] < least[1] {
						t.Errorf("%d %s, the day has to bring %d", least[0], name, least[1])
					}
				}
				t.Logf("%d kinds of alarm, %d questions, %d sentences, %d refusals", len(d.alarms), len(d.asks), len(d.told), len(d.refused))
			})
		}
	}
}

// play lets minutes pass: with nobody there for a while each hour, and with a
// disk that takes nothing for a while.
func (d *playedDay) play(minutes int) {
	for m := range minutes {
		d.wait(time.Minute)
		d.look()
		live := d.app.env.Live
		if !live.Day.Running() {
			return
		}
		switch {
		case m == 50:
			d.journal.Fail(errors.New("the disk is full, and the folder /home/shed/wool/tubside cannot be written to"))
		case m == 58:
			d.journal.Fail(nil)
		}
		if away := m % 90; away > 35 && away < 60 { // nobody is there; somebody may look
			if away == 50 {
				d.keys(" ")
			}
			continue
		}
		if m%4 == 0 {
			d.aside()
		}
		for range 4 {
			if !live.Day.Running() { // the last deed finished it
				return
			}
			s := d.app.top().(*washday.Screen)
			p, ok := s.Prompt()
			if ok && p.Kettle == coach.KettleFirst { // told at most baths, and poured untold at some
				if d.keys("o"); m%3 > 0 {
					break
				}
				d.deed()
				continue
			}
			if !ok || p.Rank == coach.Coming || p.Act == shed.Wait {
				break
			}
			d.deed()
		}
	}
}
