package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	_ "fleece.example/tubside/tui/early"
	"fleece.example/tubside/tui/keep"
)

// The least window the screens can be read in.
const (
	leastWidth  = 40
	leastHeight = 12
)

// screen is one full-window part of the face. A screen draws exactly within
// the size it was last given.
type screen interface {
	// Init is called when the screen comes on top for the first time.
	Init() tea.Cmd
	// Update handles a message and returns the screen itself, changed.
	Update(tea.Msg) (screen, tea.Cmd)
	View() string
	SetSize(w, h int)
	// Title names the screen in the top line; "" for a screen with its own.
	Title() string
	// Keys are listed in the help.
	Keys() []key.Binding
	// Typing says that letters are text now, so no key has another meaning.
	Typing() bool
}

// placed is a screen of which only a part may be in sight. place draws it and keeps
// what is in sight and where, after each message; View draws a copy and keeps nothing.
type placed interface{ place() string }

// env is what all screens share. It is changed only in Update.
type env struct {
	Deps
	now    time.Time // of this message
	keeper *keep.Keeper
	live   *live // the running day, as this message sees it
	kit    shed.Kit
	record record // what the store says besides

	say      string    // a sentence for the person, shown until the next key
	bad      bool      // the sentence is a refusal
	sayUntil time.Time // it goes then, if no key comes

	awayGuess bool  // how long the program was off is not known: see goOnScreen
	hold      *hold // keys wait for what is being read; nil: they do not

	// What screens keep while they are closed.
	planned planning
	room    humidity
}

// real is a stretch of real time on the clock of the screens.
func (e *env) real(d time.Duration) time.Duration {
	if e.Pace > 1 {
		return time.Duration(float64(d) * e.Pace)
	}
	return d
}

// sayFor is how long a sentence stays without a key.
const sayFor = 20 * time.Second

// tell shows a sentence until the next key.
func (e *env) tell(format string, args ...any) {
	e.say, e.bad, e.sayUntil = fmt.Sprintf(e.kit.Units.Spell(format), args...), false, e.now.Add(e.real(sayFor))
}

// question is tell of what the same key answers: it goes when the answer would
// come too late.
func (e *env) question(format string, args ...any) {
	e.tell(format, args...)
	e.sayUntil = e.now.Add(e.real(againWithin))
}

// refuse shows what is wrong until the next key.
// Its words may come from outside, such as a folder's name: no terminal codes.
func (e *env) refuse(err error) {
	e.say, e.bad, e.sayUntil = measure.CleanText(err.Error(), mostSaid), true, e.now.Add(e.real(sayFor))
}

// mostSaid is how many characters of a sentence are kept.
const mostSaid = 400

// clockText is a time of day as the person's clock shows it.
func (e *env) clockText(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.In(e.zone()).Format("15:04")
}

func (e *env) zone() *time.Location {
	if e.Local == nil {
		return time.Local
	}
	return e.Local
}

// Messages that move between screens.
type (
	pushMsg    struct{ s screen } // on top of the stack
	popMsg     struct{}           // back to the one below
	replaceMsg struct{ s screen } // instead of the top one
	rootMsg    struct{ s screen } // instead of the whole stack
	tickMsg    struct{ gen int }
)

func push(s screen) tea.Cmd { return func() tea.Msg { return pushMsg{s} } }

func pop() tea.Cmd { return func() tea.Msg { return popMsg{} } }

func replace(s screen) tea.Cmd { return func() tea.Msg { return replaceMsg{s} } }

func root(s screen) tea.Cmd { return func() tea.Msg { return rootMsg{s} } }

// App routes messages to the screen on top and lets time pass.
type App struct {
	env     *env
	stack   []screen
	w, h    int
	gen     int // of the tick chain; a tick of another generation is dropped
	title   string
	over    int    // lines drawn over the screen on top
	unsaved string // that the disk takes nothing, for the head of every screen; "" if all is well
	asked   string // the leaving key that was asked about

	unsavedWhy string

	led     bool // the last key brought a command of its screen: see keyRun
	leftRun bool // the rest of a run of keys was left
}

// New makes the program's model: the running day if there is one, else the
// first-start kit, else home.
func New(d Deps) (*App, error) {
	if d.TickEvery <= 0 {
		d.TickEvery = time.Second
	}
	k := keep.New(keep.With{Journal: d.Journal, Ledger: d.Ledger, Clock: d.Clock, Elapsed: d.Elapsed, Bell: d.Bell, Outside: d.Outside,
		Hands: d.Hands, Local: d.Local, Every: d.TickEvery, Pace: d.Pace, Rescue: d.Rescue})
	e := &env{Deps: d, now: keep.Now(d.Clock), keeper: k, live: &live{keeper: k}}
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
	e.kit = kit
	alarms, err := e.Ledger.AlarmSettings()
	if err != nil {
		return err
	}
	e.keeper.SetAlarms(alarms)
	if e.Rehearsal != nil {
		e.kit = e.Rehearsal.Kit
		if err := e.keeper.Begin(*e.Rehearsal, e.now); err != nil {
			return err
		}
		e.look()
		a.stack = []screen{newDayScreen(e)}
		return nil
	}
	if !ok {
		e.kit = shed.DefaultKit()
		e.record.take(e, e.recordAt(), readRecord(e.Journal, e.Ledger, &e.record.rows))
		a.stack = []screen{newFirstStart(e)}
		return nil
	}
	a.stack = []screen{newHome(e)}
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
func (a *App) Close() error { return a.env.keeper.Close() }

// Run has the day go on by itself until Close, whatever the screen does. Without it
// time passes with the screen's ticks.
func (a *App) Run() { a.env.keeper.Run() }

// Unsaved is what Close could not write.
func (a *App) Unsaved() []keep.Unsaved { return a.env.keeper.Left() }

func (a *App) top() screen { return a.stack[len(a.stack)-1] }

// Init starts the clock and the first screen.
func (a *App) Init() tea.Cmd {
	return tea.Batch(a.tick(), a.env.listen(), a.top().Init())
}

func (a *App) tick() tea.Cmd {
	gen := a.gen
	return tea.Every(a.env.TickEvery, func(time.Time) tea.Msg { return tickMsg{gen} })
}

// Update routes. The time is read once for each message, here.
func (a *App) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	a.env.look() // before the clock: what has happened is not later than now
	a.env.now = keep.Now(a.env.Clock)
	cmd := a.route(msg)
	if s, ok := a.top().(reading); ok {
		cmd = tea.Batch(cmd, s.read())
	}
	a.unsaved, a.unsavedWhy = a.env.unsavedText() // as they are now: the writer goes on while a frame is drawn
	for range 2 {                                 // a longer sentence, an alarm: the screen has less room, and may say more when it learns so
		if a.over != a.overhead(a.top()) {
			a.size(a.top())
		}
	}
	if s, ok := a.top().(placed); ok && a.w > 0 {
		s.place()
	}
	return a, cmd
}

func (a *App) route(msg tea.Msg) tea.Cmd {
	var cmds []tea.Cmd
	if k, ok := msg.(tea.KeyMsg); ok {
		if k = typed(k); k.Type == tea.KeyRunes && len(k.Runes) == 0 || a.env.holds(k) {
			return nil
		}
		if cmd, run := a.keyRun(k); run {
			return cmd
		}
		msg = k
	}
	switch msg := msg.(type) {
	case tickMsg:
		if msg.gen != a.gen {
			return nil
		}
		cmds = append(cmds, a.tick())
		if a.env.now.After(a.env.sayUntil) {
			a.env.say = ""
		}
		a.env.keeper.Pass()
		a.env.look()
		a.env.hearKeeper()
	case keptMsg:
		a.env.hearKeeper()
		cmds = append(cmds, a.env.listen())
		a.env.hearMoved()
	case tea.WindowSizeMsg:
		a.w, a.h = msg.Width, msg.Height
		for _, s := range a.stack {
			a.size(s)
		}
	case tea.ResumeMsg: // one new tick chain, and the mouse again
		a.gen++
		cmds = append(cmds, a.tick(), tea.EnableMouseCellMotion)
	case heldMsg:
		cmd := a.route(msg.msgs[0])
		if rest := msg.msgs[1:]; len(rest) > 0 {
			cmd = tea.Sequence(cmd, func() tea.Msg { return heldMsg{rest} })
		}
		return cmd
	case tea.MouseMsg: // screens count from below the usual two lines
		if a.env.holds(msg) {
			return nil
		}
		msg.Y -= max(0, a.over-topLines)
		return a.hand(msg, cmds)
	case tea.KeyMsg:
		if k := msg.String(); k == "alt+d" || k == "alt+delete" {
			return nil // deleting the word ahead reads past its end in the text fields of bubbles v1.0.0
		}
		if a.endOfRun(msg) {
			return nil
		}
		a.env.say = ""
		if msg.Paste && !a.top().Typing() {
			a.env.refuse(errPaste)
			return nil
		}
		if cmd, done := a.ownKey(msg); done {
			return cmd
		}
		a.asked = ""
	case pushMsg:
		return a.put(append(a.stack, msg.s))
	case replaceMsg:
		return a.put(append(a.stack[:len(a.stack)-1:len(a.stack)-1], msg.s))
	case rootMsg:
		return a.put([]screen{msg.s})
	case popMsg:
		if len(a.stack) == 1 { // nothing below: a rehearsal is over
			return tea.Quit
		}
		a.stack = a.stack[:len(a.stack)-1]
		a.size(a.top())
		return nil
	case answer:
		if slices.Contains(a.stack, msg.to) {
			cmds = append(cmds, msg.take())
			a.size(a.top()) // it may show some of it
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

// typed is a key without the signs that are not seen and turn the direction of
// writing: they come with pasted text, and a field would draw them.
func typed(msg tea.KeyMsg) tea.KeyMsg {
	unseen := func(r rune) bool { return unicode.Is(unicode.Cf, r) }
	if msg.Type == tea.KeyRunes && slices.ContainsFunc(msg.Runes, unseen) {
		msg.Runes = slices.DeleteFunc(slices.Clone(msg.Runes), unseen)
	}
	return msg
}

func (a *App) put(stack []screen) tea.Cmd {
	a.stack = stack
	a.size(a.top())
	return tea.Batch(a.top().Init(), tea.ClearScreen)
}

// size gives a screen the room below what stands over it.
func (a *App) size(s screen) {
	over := a.overhead(s)
	if s == a.top() {
		a.over = over
	}
	s.SetSize(a.w, max(0, a.h-over))
}

// retitle keeps the window's title at what matters from another window.
func (a *App) retitle() tea.Cmd {
	title := "tubside"
	if n := a.env.live.day.Standing(); n == 1 {
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
	question := a.env.leavesUnsaved()
	if tubs := a.env.live.day.FleeceIn(); a.env.live.day.Running() && len(tubs) > 0 {
		question = append(question, listed(tubs)+" "+verb(tubs, "has", "have")+" fleece in the water, and nothing rings while tubside is shut")
	}
	if len(question) > 0 && a.asked != k && a.env.Rehearsal == nil {
		a.asked = k
		a.env.tell("%s. %s again: shut it", strings.Join(question, "; "), map[string]string{"ctrl+c": "Ctrl+C", "ctrl+z": "Ctrl+Z"}[k])
		return nil, true
	}
	a.asked = ""
	return cmd, true
}

// leavesUnsaved says what is not on the disk yet because the disk does not take it.
func (e *env) leavesUnsaved() []string {
	waiting, err := e.keeper.Saved()
	if err == nil || waiting == 0 {
		return nil
	}
	return []string{counted(waiting, "event is", "events are") + " not saved, and would go into a file beside the record"}
}

// unsavedText says that the disk takes nothing, and why; "" if all is well.
func (e *env) unsavedText() (text, why string) {
	waiting, err := e.keeper.Saved()
	if err == nil {
		return "", ""
	}
	return fmt.Sprintf("NOT SAVED (%d)", waiting), measure.CleanText(err.Error(), mostSaid)
}

// hearMoved says where the record is now, if its file lost its place.
func (e *env) hearMoved() {
	if e.Told == nil {
		return
	}
	if told, where := e.Told(); told != "" {
		e.Where = where
		e.refuse(errors.New(told))
	}
}

// View draws the top screen; below the least size it says so, and the day's
// clocks go on all the same.
func (a *App) View() string {
	return plain(a.view(), a.env.Theme.ASCII)
}

func (a *App) view() string {
	if a.w == 0 {
		return ""
	}
	if a.w < leastWidth || a.h < leastHeight {
		return a.tooSmall()
	}
	s := a.top()
	if s.Title() == "" {
		return s.View()
	}
	return strings.Join(a.header(s), "\n") + "\n" + s.View()
}

func (a *App) tooSmall() string {
	text := fmt.Sprintf("This window is %dx%d; tubside needs %dx%d. Make it larger: the timers go on.", a.w, a.h, leastWidth, leastHeight)
	if al, ok := a.env.live.day.Pressing(); ok {
		text = "ALARM " + alarmPhrase(a.env.live.day, al, a.env.now) + ". " + text
	}
	return lipgloss.NewStyle().Width(a.w).MaxHeight(a.h).Render(text)
}
