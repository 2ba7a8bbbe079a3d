package tui

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/past"
	"fleece.example/tubside/tui/tuitest"
)

// pressHeld gives a key and holds back what was asked for with it, as a slow disk does.
func (p *person) pressHeld(key string) (late []tea.Msg) {
	p.t.Helper()
	_, cmd := p.app.Update(tuitest.KeyOf(key))
	return p.held(cmd)
}

// held does what was asked for, and holds back what the store answers.
func (p *person) held(cmd tea.Cmd) (late []tea.Msg) {
	var run func(tea.Cmd)
	run = func(cmd tea.Cmd) {
		if cmd == nil {
			return
		}
		switch m := cmd().(type) {
		case tea.BatchMsg:
			for _, c := range m {
				run(c)
			}
		case base.Answer:
			late = append(late, m)
		case base.PushMsg, base.PopMsg:
			_, more := p.app.Update(m)
			run(more)
		}
	}
	run(cmd)
	return late
}

// TestAnswerReachesTheOneThatAsked: what was found comes to the screen that asked for
// it, whatever lies on top by then.
func TestAnswerReachesTheOneThatAsked(t *testing.T) {
	for _, c := range []struct{ key, reads string }{{"d", "Sat 14 Mar"}, {"r", "A1"}, {"f", "Curly"}} {
		p := newPerson(t, true, withFleeces, withPastDay(2))
		late := p.pressHeld(c.key)
		if p.sees("reading the"); len(late) != 1 {
			t.Fatalf("%s: %d answers are on their way", c.key, len(late))
		}
		p.press("?")
		p.sees("Keys on every")
		p.send(late[0])
		p.sees("Keys on every")
		p.send(base.PopMsg{})
		if p.sees(c.reads); len(p.app.stack) != 2 {
			t.Errorf("%s: %d screens", c.key, len(p.app.stack))
		}
	}
}

// TestAnswerOfAClosedScreen: nobody takes what comes for a screen that is gone.
func TestAnswerOfAClosedScreen(t *testing.T) {
	p := newPerson(t, true)
	gone, taken := past.NewPast(p.app.env), 0
	ask := func(s base.Screen) tea.Msg {
		return base.Away(s, func() (int, error) { return 7, errors.New("torn") }, func(v int, err error) tea.Cmd {
			taken += v
			p.app.env.Refuse(err)
			return nil
		})()
	}
	p.send(ask(gone))
	if p.seesNot("torn"); taken != 0 {
		t.Error("a screen that was closed was told")
	}
	p.send(ask(p.app.top()))
	if p.sees("torn"); taken != 7 {
		t.Error("the screen on top was not told")
	}
}

// TestKeysWaitForWhatIsRead: a disk that is slow turns no key into another one's.
func TestKeysWaitForWhatIsRead(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	late := p.pressHeld("k")
	p.press("1", "2", "2") // the kit's first line, and what the room has
	p.sees("Plan a wash day")
	p.send(late[0])
	p.sees("Room and water", "> 22")
	p.press("esc", "esc", "esc")
	p.app.env.Record.Changes++ // or nothing has to be read
	late = p.pressHeld("k")
	p.press("esc", "f") // called off
	p.send(late[0])
	p.sees("Curly")
	p.seesNot("hot tap")
}

// TestSilenceWaitsForNothing: what rings is silenced while the disk is slow.
func TestSilenceWaitsForNothing(t *testing.T) {
	p := newPerson(t, true, withOpenDay(2, 28))
	p.press("enter", "esc")
	p.pressHeld("k")
	p.press(" ")
	p.says("Heard 2: ")
	if p.send(tea.KeyMsg{Type: tea.KeyCtrlC}); p.app.env.Say == "" && !p.quit {
		t.Error("Ctrl+C waits")
	}
}

// TestRereadsOneAtATime: what a screen shows is read again after a change, and not
// while it is being read.
func TestRereadsOneAtATime(t *testing.T) {
	p := newPerson(t, true, withPastDay(1))
	late := p.pressHeld("d")
	p.app.env.Record.Changes++
	if more := p.pressHeld("up"); len(more) != 0 {
		t.Fatal("it is read twice at once")
	}
	_, cmd := p.app.Update(late[0])
	again := p.held(cmd)
	if len(again) != 1 {
		t.Fatalf("read again %d times after a change", len(again))
	}
	p.app.Update(again[0])
	if more := p.pressHeld("up"); len(more) != 0 || strings.Contains(p.view(), "reading") {
		t.Error("it is read although nothing has changed")
	}
}

// late runs a command as slowly as the program may: what a message of a sequence asks
// for comes behind the whole of it.
func (p *person) late(cmd tea.Cmd) {
	p.t.Helper()
	queue := []tea.Cmd{cmd}
	var send func(msg tea.Msg)
	send = func(msg tea.Msg) {
		if v := reflect.ValueOf(msg); v.IsValid() && v.Kind() == reflect.Slice && v.Type().Elem() == reflect.TypeFor[tea.Cmd]() {
			for i := range v.Len() {
				if c, _ := v.Index(i).Interface().(tea.Cmd); c != nil {
					send(c())
				}
			}
			return
		}
		_, more := p.app.Update(msg)
		queue = append(queue, more)
	}
	for ; len(queue) > 0; queue = queue[1:] {
		if queue[0] != nil {
			send(queue[0]())
		}
	}
}

// TestHeldKeysComeFirst: a key that comes while what was read is on its way to the screen
// is no earlier than those that were held, nor is it one of the screen before.
func TestHeldKeysComeFirst(t *testing.T) {
	for _, held := range [][]string{{"1", "2"}, {"1"}, nil} {
		p := newPerson(t, true, withFleeces)
		late := p.pressHeld("k")
		p.press(held...)
		_, cmd := p.app.Update(late[0])
		p.press([]string{"1", "2", "3"}[len(held):]...)
		p.late(cmd)
		if p.sees("Room and water", "> 23"); p.app.env.Holds(tuitest.KeyOf("1")) {
			t.Error("and it goes on holding keys")
		}
	}
}

// TestHeldKeysWaitForMore: a held key may ask for something to be read itself; those
// behind it wait for that.
func TestHeldKeysWaitForMore(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	late := p.pressHeld("k")
	p.press("1", "2", "2")
	_, cmd := p.app.Update(late[0])
	p.app.env.Record.Changes++
	p.late(cmd)
	p.sees("Room and water", "> 22")
}

// TestHeldForAScreenThatIsGone: keys do not wait for ever for what a screen asked for that
// was closed meanwhile.
func TestHeldForAScreenThatIsGone(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.press("k")
	p.app.env.Record.Changes++
	late := p.pressHeld("u")
	p.send(base.PopMsg{}) // an Esc before it was on its way
	p.send(late[0])
	p.press("f")
	p.sees("Curly")
}

// TestDayBegunIsNotCalledOff: Esc comes too late for a day that is being begun.
func TestDayBegunIsNotCalledOff(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.app.env.Planned.Plan = tuitest.StoryPlan(2)
	p.press("p")
	p.sees("Method")
	late := p.pressHeld("s")
	if len(late) != 1 {
		t.Fatalf("%d answers on their way:\n%s", len(late), p.view())
	}
	p.press("esc")
	p.send(late[0])
	if d := p.day(); !d.Running() || len(p.app.env.Planned.Plan.Batches) > 0 {
		t.Errorf("running %v, and %d batches are still to be begun", d.Running(), len(p.app.env.Planned.Plan.Batches))
	}
}
