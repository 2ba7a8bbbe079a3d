package tui

import (
	"fmt"
	"io"
	"reflect"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/past"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
	"fleece.example/tubside/tui/washday"
)

// person sits at the whole program and has nothing but keys, mouse and screen.
type person struct {
	t       *testing.T
	app     *App
	journal *tuitest.FakeJournal
	ledger  *tuitest.FakeLedger
	clock   *tuitest.FakeClock
	w, h    int
	quit    bool
	busy    atomic.Bool // in Update or View, which may not wait for the store
}

// mayAsk holds the screens to it: what is written there goes through keep.
func (p *person) mayAsk(what string) {
	if p.busy.Load() && !p.app.env.Record.Keeping {
		p.t.Errorf("%s is asked of the store while a message is handled or a frame is drawn:\n%s", what, debug.Stack())
	}
}

// newPerson starts the program; kit says that the first start is through.
func newPerson(t *testing.T, kit bool, set ...func(*person, *base.Deps)) *person {
	t.Helper()
	p := &person{t: t, journal: tuitest.NewFakeJournal(), ledger: tuitest.NewFakeLedger(), clock: &tuitest.FakeClock{At: tuitest.StoryStart}, w: 80, h: 24}
	if kit {
		k := tuitest.StoryKit()
		p.ledger.HasKit = &k
	}
	d := base.Deps{Journal: p.journal, Ledger: p.ledger, Clock: p.clock, Local: time.UTC, Theme: theme.New(io.Discard, theme.Options{})}
	for _, f := range set {
		f(p, &d)
	}
	app := must.Get(New(d)).In(t)
	p.app = app
	p.journal.Ask, p.ledger.Ask = p.mayAsk, p.mayAsk
	t.Cleanup(func() {
		if err := app.Close(); err != nil {
			t.Errorf("not all was saved: %v", err)
		}
	})
	p.run(app.top().Init())
	p.send(tea.WindowSizeMsg{Width: p.w, Height: p.h})
	return p
}

// send gives a message to the program and runs what it asks for.
func (p *person) send(msg tea.Msg) {
	p.t.Helper()
	p.busy.Store(true)
	_, cmd := p.app.Update(msg)
	p.busy.Store(false)
	p.run(cmd)
	p.fits()
}

// run carries commands out in order, as the program would. What a screen asked for
// is waited for; the next tick is not, nor what waits for something else.
func (p *person) run(cmd tea.Cmd) {
	p.t.Helper()
	if cmd == nil {
		return
	}
	wait := time.Minute
	switch name := runtime.FuncForPC(reflect.ValueOf(cmd).Pointer()).Name(); {
	case strings.Contains(name, "tea.Every"), strings.Contains(name, "cursor."): // time passes by wait; a cursor may stand
		return
	case strings.Contains(name, ".Listen."): // until something is written
		wait = 300 * time.Millisecond
	}
	got := make(chan tea.Msg, 1)
	go func() { got <- cmd() }()
	select {
	case msg := <-got:
		p.take(msg)
	case <-time.After(wait):
	}
}

func (p *person) take(msg tea.Msg) {
	p.t.Helper()
	switch m := msg.(type) {
	case nil:
		return
	case tea.QuitMsg:
		p.quit = true
		return
	case tea.BatchMsg:
		for _, c := range slices.Backward(m) { // a batch has no order: what counts on one fails
			p.run(c)
		}
		return
	}
	if v := reflect.ValueOf(msg); v.Kind() == reflect.Slice && v.Type().Elem() == reflect.TypeOf(tea.Cmd(nil)) { // a sequence
		for i := range v.Len() {
			p.run(v.Index(i).Interface().(tea.Cmd))
		}
		return
	}
	if strings.Contains(reflect.TypeOf(msg).PkgPath(), "/tubside/tui") {
		p.send(msg)
	}
}

// press gives keys: names such as "enter", or single characters.
func (p *person) press(keys ...string) {
	p.t.Helper()
	for _, k := range keys {
		p.clock.Forward(time.Second)
		p.send(tuitest.KeyOf(k))
	}
}

// types writes text a character at a time; instead of what stands there.
func (p *person) types(text string) {
	p.t.Helper()
	p.press("ctrl+u")
	for _, r := range text {
		p.press(string(r))
	}
}

// wait lets time pass with a tick.
func (p *person) wait(by time.Duration) {
	p.t.Helper()
	p.clock.Forward(by)
	p.send(base.TickMsg{Gen: p.app.gen})
}

// click presses the mouse where the text stands on the screen.
func (p *person) click(text string) {
	p.t.Helper()
	for y, l := range strings.Split(p.view(), "\n") {
		if i := strings.Index(l, text); i >= 0 {
			p.send(tea.MouseMsg{X: ansi.StringWidth(l[:i]), Y: y, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
			return
		}
	}
	p.t.Fatalf("nothing to click on says %q:\n%s", text, p.view())
}

func (p *person) view() string { return ansi.Strip(p.app.View()) }

func (p *person) sees(texts ...string) {
	p.t.Helper()
	for _, text := range texts {
		if !strings.Contains(p.view(), text) {
			p.t.Fatalf("the screen does not say %q:\n%s", text, p.view())
		}
	}
}

func (p *person) seesNot(text string) {
	p.t.Helper()
	if strings.Contains(p.view(), text) {
		p.t.Fatalf("the screen says %q:\n%s", text, p.view())
	}
}

// says is whether a sentence is on the screen, however its lines break.
func (p *person) says(text string) {
	p.t.Helper()
	squeeze := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	if !strings.Contains(squeeze(p.view()), squeeze(text)) {
		p.t.Fatalf("the screen does not say %q:\n%s", text, p.view())
	}
}

// fits says that the view is exactly as large as the window, and that what is
// said to the person stands in it in full.
func (p *person) fits() {
	p.t.Helper()
	p.busy.Store(true)
	defer p.busy.Store(false)
	view := p.app.View()
	err := fitsExactly(view, p.w, p.h)
	if err == nil {
		err = saidInFull(p.app, view)
	}
	if err != nil {
		p.t.Fatalf("%v:\n%s", err, p.view())
	}
}

// saidInFull says whether the sentence for the person, a form's refusal and a
// question with its answer's refusal stand on the screen word for word, and
// whether the foot says how to leave and where help is.
func saidInFull(a *App, view string) error {
	view = ansi.Strip(view)
	large := strings.NewReplacer("█", " ", "▀", " ", "▄", " ", "##", " ") // letters beside the words
	squeezed := strings.Join(strings.Fields(large.Replace(view)), " ")
	said := []string{a.env.Say}
	lines := strings.Split(view, "\n")
	foot := lines[len(lines)-1]
	leave, help := "Esc", "?"
	switch s := a.top().(type) {
	case *form.FormScreen:
		if s.Wrong != nil {
			said = append(said, s.Wrong.Error())
		}
		if help = "?"; s.Now().Text {
			help = "F1"
		}
		if s.Heading == "tubside: first start" { // there is nowhere to go yet
			leave = "Ctrl+C"
		}
	case *washday.Screen:
		day, leaves, helps, err := s.InFull()
		if err != nil {
			return err
		}
		said = append(said, day...)
		if !leaves {
			leave = ""
		}
		if !helps {
			help = ""
		}
	case *homeScreen:
		leave = "q quit"
	case *past.FleecesScreen:
		if s.Finding {
			leave, help = "", ""
		}
	}
	for _, text := range append(said, leave, help) {
		in := squeezed
		if text == leave || text == help {
			in = foot
		}
		if text = strings.Join(strings.Fields(text), " "); !strings.Contains(in, text) {
			return fmt.Errorf("%q is not on the screen in full", text)
		}
	}
	return footTwice(foot)
}

// footTwice says what stands twice in a foot, a key or what it does.
func footTwice(foot string) error {
	if !strings.Contains(foot, "Esc") { // the big view's large letters
		return nil
	}
	said := map[string]bool{}
	for it := range strings.SplitSeq(strings.TrimSpace(foot), "  ") {
		label, does, _ := strings.Cut(strings.TrimSpace(strings.NewReplacer("Up Down", "Up-Down", "Left Right", "Left-Right").Replace(it)), " ")
		for _, part := range []string{label, strings.TrimSuffix(does, " all")} {
			if part != "" && said[part] {
				return fmt.Errorf("the foot says %q twice: %s", part, foot)
			}
			said[part] = true
		}
	}
	return nil
}

func fitsExactly(view string, w, h int) error {
	if n := lipgloss.Height(view); n != h {
		return fmt.Errorf("%d lines in a window of %d", n, h)
	}
	for i, l := range strings.Split(view, "\n") {
		if strings.Contains(l, draw.CutSign) {
			return fmt.Errorf("line %d is cut: %q", i, ansi.Strip(l))
		}
		if n := ansi.StringWidthWc(l); n != w {
			return fmt.Errorf("line %d is %d cells wide in a window of %d: %q", i, n, w, ansi.Strip(l))
		}
	}
	return nil
}

// resize gives the window another size.
func (p *person) resize(w, h int) {
	p.t.Helper()
	p.w, p.h = w, h
	p.send(tea.WindowSizeMsg{Width: w, Height: h})
}

// savedMsg is what the app is told where nobody listens any more: a screen that had read
// the record before that reads it again.
type savedMsg struct{}

// settled waits until everything is written, and seen to be.
func (p *person) settled() {
	p.t.Helper()
	for range 200 {
		if p.app.env.Saving() == 0 {
			p.send(savedMsg{})
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	p.t.Fatal("what was done is not written")
}

// failsToSave waits until the writer, which tries away from the screen, has failed.
func (p *person) failsToSave() {
	p.t.Helper()
	for range 12000 {
		if text, _ := p.app.env.UnsavedText(); text != "" {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
	p.t.Fatal("the disk takes it")
}

// everySize looks at the screen in every window it has to fit.
func (p *person) everySize() {
	p.t.Helper()
	w, h := p.w, p.h
	for _, s := range tuitest.Sizes {
		p.resize(s[0], s[1])
	}
	p.resize(w, h)
}

// withFleeces puts invented fleeces into the ledger.
func withFleeces(p *person, _ *base.Deps) {
	p.ledger.Have = []shed.Fleece{
		{ID: "f2", Animal: "Curly", Farm: "Invented Hill", Year: 2026, RawG: 2000, Type: shed.Longwool, Wax: shed.Low},
		{ID: "f1", Animal: "Old Grey", Farm: "Invented Hill", Year: 2025, RawG: 3000, Wax: shed.High, Notes: "stained tips"},
	}
	p.ledger.Made = 2
}

// withPastDay puts a finished day into the journal.
func withPastDay(tubs int) func(*person, *base.Deps) {
	return func(p *person, _ *base.Deps) {
		r := sessiontest.StartAt(p.t, tuitest.StoryPlan(tubs), tuitest.StoryStart)
		for !r.Day.AllRacked() {
			r.Tick(time.Minute).Asked(func(coach.Prompt) bool { return true })
		}
		r.Do(session.AddNote{Tub: 0, Text: "second rinse still a little grey"}, session.EndDay{}).Keep(p.journal)
		p.clock.At = r.Now.Add(24 * time.Hour)
	}
}

// withOpenDay puts a day that was begun and left into the journal.
func withOpenDay(tubs int, playMin float64) func(*person, *base.Deps) {
	return withOpenDayOf(tuitest.StoryPlan(tubs), playMin)
}

// withOpenDayOf is withOpenDay of another plan.
func withOpenDayOf(plan shed.Plan, playMin float64) func(*person, *base.Deps) {
	return func(p *person, _ *base.Deps) {
		r := sessiontest.StartAt(p.t, plan, tuitest.StoryStart)
		for end := r.Now.Add(sessiontest.Minutes(playMin)); r.Now.Before(end); {
			r.Tick(30 * time.Second).Asked(func(coach.Prompt) bool { return true })
		}
		r.Keep(p.journal)
		p.clock.At = r.Now.Add(25 * time.Minute)
	}
}
