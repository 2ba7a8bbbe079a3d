package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	_ "fleece.example/tubside/tui/early"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/washday"
)

// ThemeMsg has the screen look otherwise from now on: the terminal has said which ground it has.
type ThemeMsg theme.Theme

func openDoors() base.Doors {
	return base.Doors{
		Home: func(e *base.Env) base.Screen { return newHome(e) },
		Day:  func(e *base.Env) base.Screen { return washday.New(e) },
	}
}

// App routes messages to the screen on top and lets time pass.
type App struct {
	env     *base.Env
	stack   []base.Screen
	w, h    int
	gen     int // of the tick chain; a tick of another generation is dropped
	title   string
	over    int        // lines drawn over the screen on top
	unsaved string     // that the disk takes nothing, for the head of every screen; "" if all is well
	asked   base.Twice // the leaving key

	unsavedWhy string

	ahead []string // the call of the day that runs below the screen on top

	watched bool // Run was called
	led     bool // the last key brought a command of its screen: see keyRun
	leftRun bool // the rest of a run of keys was left
}

// New makes the program's model: the running day if there is one, else the
// first-start kit, else home.
func New(d base.Deps) (*App, error) {
	if d.TickEvery <= 0 {
		d.TickEvery = time.Second
	}
	k := keep.New(keep.With{Journal: d.Journal, Ledger: d.Ledger, Clock: d.Clock, Elapsed: d.Elapsed, Bell: d.Bell, Outside: d.Outside,
		Hands: d.Hands, Local: d.Local, Every: d.TickEvery, Pace: d.Pace, Rescue: d.Rescue})
	e := &base.Env{Deps: d, Now: k.Now(), Keeper: k, Live: &base.Live{Keeper: k}, Doors: openDoors()}
	a := &App{env: e}
	if err := a.open(); err != nil {
		return nil, errors.Join(err, a.Close())
	}
	return a, nil
}

func (a *App) open() error {
	e := a.env
	kit, ok, err := e.Ledger.Kit()
	if err != nil {
		return err
	}
	e.Kit = kit
	alarms, err := e.Ledger.AlarmSettings()
	if err != nil {
		return err
	}
	e.Keeper.SetAlarms(alarms)
	if e.Rehearsal != nil {
		e.Kit = e.Rehearsal.Kit
		if err := e.Keeper.Begin(*e.Rehearsal, e.Now); err != nil {
			return err
		}
		e.Look()
		a.stack = []base.Screen{washday.New(e)}
		return nil
	}
	if !ok {
		e.Kit = shed.DefaultKit()
		e.Record.Take(e, e.RecordAt(), base.ReadRecord(e.Journal, e.Ledger, &e.Record.Rows))
		a.stack = []base.Screen{newFirstStart(e)}
		return nil
	}
	e.TakeDraft()
	a.stack = []base.Screen{newHome(e)}
	id, running, err := e.Journal.OpenDay()
	if err != nil {
		return err
	}
	if running {
		o, err := readOpen(e.Journal, e.Ledger, id)
		a.stack = append(a.stack, newGoOn(e, o, err))
	}
	return nil
}

// Close writes what is not saved yet, and that nobody watches a running day any more.
// Call it after the program has ended.
func (a *App) Close() error { return a.env.Keeper.Close() }

// Run has the day go on by itself until Close, whatever the screen does. Without it
// time passes with the screen's ticks.
func (a *App) Run() {
	a.watched = true
	a.env.Keeper.Run()
}

// Unsaved is what Close could not write.
func (a *App) Unsaved() []keep.Unsaved { return a.env.Keeper.Left() }

func (a *App) top() base.Screen { return a.stack[len(a.stack)-1] }

// Init starts the clock and the first screen.
func (a *App) Init() tea.Cmd {
	return tea.Batch(a.tick(), a.env.Listen(), a.top().Init())
}

func (a *App) tick() tea.Cmd {
	gen := a.gen
	return tea.Every(a.env.TickEvery, func(time.Time) tea.Msg { return base.TickMsg{Gen: gen} })
}

// Filter stands before Update: a tick of which nothing would show goes no further, and
// nothing is drawn for it. For the keeper watches the day by itself, and tells by a
// message of its own what happens.
func (a *App) Filter(msg tea.Msg) tea.Msg {
	tick, ok := msg.(base.TickMsg)
	if !ok || tick.Gen != a.gen || !a.watched {
		return msg
	}
	a.env.Now = a.env.Keeper.Now()
	if s, ok := a.top().(base.Stiller); !ok || !s.Still() {
		return msg
	}
	return tea.BatchMsg{a.tick()}
}

// Update routes. The time is read once for each message, here.
func (a *App) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	a.env.Keeper.WatchClock()
	a.env.Look() // before the clock: what has happened is not later than now
	a.env.Now = a.env.Keeper.Now()
	cmd := a.route(msg)
	a.env.KeepDraft()
	if s, ok := a.top().(base.RecordScreen); ok {
		cmd = tea.Batch(cmd, s.Read())
	}
	a.ahead = nil
	switch a.top().(type) {
	case *washday.Screen, *goOnScreen: // whose times may be a guess
	default:
		if _, home := a.top().(*homeScreen); a.env.Live.Day.Running() && a.w >= base.LeastWidth {
			a.ahead = washday.Ahead(a.env, a.w, a.h, !home) // it has them all
		}
	}
	a.unsaved, a.unsavedWhy = a.env.UnsavedText() // as they are now: the writer goes on while a frame is drawn
	for range 2 {                                 // a longer sentence, an alarm: the screen has less room, and may say more when it learns so
		if a.over != a.overhead(a.top()) {
			a.size(a.top())
		}
	}
	if s, ok := a.top().(base.Placed); ok && a.w > 0 {
		s.Place()
	}
	return a, cmd
}

func (a *App) route(msg tea.Msg) tea.Cmd {
	var cmds []tea.Cmd
	if k, ok := msg.(tea.KeyMsg); ok {
		if k = typed(k); k.Type == tea.KeyRunes && len(k.Runes) == 0 || a.env.Holds(k) {
			return nil
		}
		if cmd, run := a.keyRun(k); run {
			return cmd
		}
		msg = k
	}
	switch msg := msg.(type) {
	case base.TickMsg:
		if msg.Gen != a.gen {
			return nil
		}
		cmds = append(cmds, a.tick())
		if a.env.Now.After(a.env.SayUntil) {
			a.env.Say = ""
		}
		a.env.Keeper.Pass()
		a.env.Look()
		a.env.HearKeeper()
		a.env.HearMoved()
	case base.KeptMsg:
		a.env.HearKeeper()
		cmds = append(cmds, a.env.Listen())
		a.env.HearMoved()
	case tea.WindowSizeMsg:
		a.w, a.h = msg.Width, msg.Height
		for _, s := range a.stack {
			a.size(s)
		}
	case ThemeMsg:
		a.env.Theme = theme.Theme(msg)
		for _, s := range a.stack {
			a.size(s)
		}
	case tea.ResumeMsg: // one new tick chain, and the mouse again
		a.gen++
		cmds = append(cmds, a.tick(), tea.EnableMouseCellMotion)
	case base.HeldMsg:
		return a.env.Give(msg, a.route)
	case tea.MouseMsg: // screens count from below the usual two lines
		if a.env.Holds(msg) {
			return nil
		}
		msg.Y -= max(0, a.over-base.TopLines)
		return a.hand(msg, cmds)
	case tea.KeyMsg:
		if k := msg.String(); k == "alt+d" || k == "alt+delete" {
			return nil // deleting the word ahead reads past its end in the text fields of bubbles v1.0.0
		}
		if a.endOfRun(msg) {
			return nil
		}
		a.env.Say = ""
		if msg.Paste && !a.top().Typing() {
			a.env.Refuse(errPaste)
			return nil
		}
		if cmd, done := a.ownKey(msg); done {
			return cmd
		}
		a.asked = base.Twice{}
	case base.PushMsg:
		return a.put(append(a.stack, msg.S))
	case base.ReplaceMsg:
		return a.put(append(a.stack[:len(a.stack)-1:len(a.stack)-1], msg.S))
	case base.RootMsg:
		return a.put([]base.Screen{msg.S})
	case base.PopMsg:
		if len(a.stack) == 1 { // nothing below: a rehearsal is over
			return tea.Quit
		}
		a.stack = a.stack[:len(a.stack)-1]
		a.size(a.top())
		return nil
	case base.Answer:
		if slices.Contains(a.stack, msg.To) {
			cmds = append(cmds, msg.Take())
			a.size(a.top()) // it may show some of it
		} else {
			a.env.Closed(msg.To)
		}
		return a.passOn(cmds)
	}
	return a.hand(msg, cmds)
}

// hand gives a message to the screen on top.
func (a *App) hand(msg tea.Msg, cmds []tea.Cmd) tea.Cmd {
	typing := a.top().Typing()
	top, cmd := a.top().Update(msg)
	a.led = cmd != nil && !typing
	a.stack[len(a.stack)-1] = top
	return a.passOn(append(cmds, cmd))
}

// passOn shows outside the screen what a message has changed.
func (a *App) passOn(cmds []tea.Cmd) tea.Cmd { return tea.Batch(append(cmds, a.retitle())...) }

// typed is a key without the signs that are not seen, turn the direction of writing or
// change another sign: they come with pasted text, and a field would draw them.
func typed(msg tea.KeyMsg) tea.KeyMsg {
	if msg.Type == tea.KeyRunes {
		msg.Runes = measure.Typed(msg.Runes)
	}
	return msg
}

func (a *App) put(stack []base.Screen) tea.Cmd {
	a.stack = stack
	a.size(a.top())
	return tea.Batch(a.top().Init(), tea.ClearScreen)
}

// size gives a screen the room below what stands over it.
func (a *App) size(s base.Screen) {
	over := a.overhead(s)
	if s == a.top() {
		a.over = over
	}
	s.SetSize(a.w, max(0, a.h-over))
}

// retitle keeps the window's title at what matters from another window.
func (a *App) retitle() tea.Cmd {
	title := "tubside"
	if n := a.env.Live.Day.Standing(); n == 1 {
		title = "1 alarm · tubside"
	} else if n > 1 {
		title = fmt.Sprintf("%d alarms · tubside", n)
	}
	if title == a.title {
		return nil
	}
	a.title = title
	return tea.SetWindowTitle(title)
}

// ownKey handles the keys that mean the same on every screen. A program that
// is closed or asleep rings no alarm: with fleece in the water it asks for the
// key once more.
func (a *App) ownKey(msg tea.KeyMsg) (tea.Cmd, bool) {
	k := msg.String()
	var cmd tea.Cmd
	switch k {
	case "ctrl+c":
		cmd = tea.Quit
	case "ctrl+z":
		cmd = tea.Suspend
	default:
		return nil, false
	}
	question := a.env.LeavesUnsaved()
	if tubs := a.env.Live.Day.FleeceIn(); a.env.Live.Day.Running() && len(tubs) > 0 {
		question = append(question, draw.Listed(tubs)+" "+draw.Verb(tubs, "has", "have")+" fleece in the water, and no alarms ring once tubside is closed")
	}
	if d := a.env.Live.Day; d.Running() {
		if kettle, on := d.KettleOn(); on && kettle.BoiledAt.IsZero() {
			question = append(question, "the kettle is on for "+d.TubName(kettle.Tub))
		}
	}
	name := map[string]string{"ctrl+c": "Ctrl+C", "ctrl+z": "Ctrl+Z"}[k]
	if len(question) > 0 && a.env.Rehearsal == nil && !a.asked.Again(a.env, k, "%s. Press %s again to close it", strings.Join(question, "; "), name) {
		return nil, true
	}
	return cmd, true
}

// View draws the top screen; below the least size it says so, and the day's
// clocks go on all the same.
func (a *App) View() string {
	return draw.Plain(a.view(), a.env.Theme.ASCII)
}

func (a *App) view() string {
	if a.w == 0 {
		return ""
	}
	if a.w < base.LeastWidth || a.h < base.LeastHeight {
		return a.tooSmall()
	}
	s := a.top()
	if s.Title() == "" {
		return s.View()
	}
	return strings.Join(a.header(s), "\n") + "\n" + s.View()
}

func (a *App) tooSmall() string {
	text := fmt.Sprintf("This window is %dx%d; tubside needs %dx%d. Make it larger: the timers go on.", a.w, a.h, base.LeastWidth, base.LeastHeight)
	if al, ok := a.env.Live.Day.Pressing(); ok {
		text = "ALARM " + base.AlarmPhrase(a.env.Live.Day, al, a.env.Now) + ". " + text
	}
	return draw.Block(draw.Wrapped(text, a.w), a.w, a.h)
}
