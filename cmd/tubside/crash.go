package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// crash keeps the first panic of any goroutine of ours and ends the screen, so
// that the terminal is put right before a word is said about it.
type crash struct {
	folder string

	mu    sync.Mutex
	what  any
	stack []byte
	kill  func()
}

// rescue is deferred wherever our code runs in a goroutine.
func (c *crash) rescue() {
	if r := recover(); r != nil {
		c.caught(r)
	}
}

func (c *crash) caught(what any) {
	stack := debug.Stack()
	c.mu.Lock()
	kill := c.kill
	if c.what == nil {
		c.what, c.stack = what, stack
	}
	c.mu.Unlock()
	if kill != nil {
		kill()
	}
}

// endsWith says how to end the screen.
func (c *crash) endsWith(kill func()) {
	c.mu.Lock()
	c.kill = kill
	crashed := c.what != nil
	c.mu.Unlock()
	if crashed { // before there was anything to end
		kill()
	}
}

// report writes the crash down and says so; nil if there was none.
func (c *crash) report() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.what == nil {
		return nil
	}
	const said = "tubside crashed (%v). Every event until then is saved: start it again to go on. "
	text := fmt.Sprintf("tubside %s, %s %s/%s\n%v\n\n%s", version, runtime.Version(), runtime.GOOS, runtime.GOARCH, c.what, c.stack)
	path, err := c.write(text)
	if err != nil {
		return fmt.Errorf(said+"A crash file could not be written (%w); this would be in it:\n%s", c.what, err, text)
	}
	return fmt.Errorf(said+"Details are in %s", c.what, path)
}

func (c *crash) write(text string) (path string, err error) {
	if err := os.MkdirAll(c.folder, 0o700); err != nil {
		return "", err
	}
	path = filepath.Join(c.folder, "crash-"+time.Now().UTC().Format("20060102-150405")+".txt")
	return path, os.WriteFile(path, []byte(text), 0o600)
}

// guard is the model with everything of ours that Bubble Tea calls rescued.
// Bubble Tea's own rescue prints to the screen and leaves no file.
type guard struct {
	app   tea.Model
	crash *crash
	last  string // what was shown
}

func (g *guard) Init() (cmd tea.Cmd) {
	defer g.crash.rescue()
	return g.crash.guardCmd(g.app.Init())
}

func (g *guard) Update(msg tea.Msg) (m tea.Model, cmd tea.Cmd) {
	m = g
	defer g.crash.rescue()
	g.app, cmd = g.app.Update(msg)
	return g, g.crash.guardCmd(cmd)
}

func (g *guard) View() (view string) {
	defer g.crash.rescue()
	if view = g.app.View(); view == g.last { // Bubble Tea copies a frame that is the same once more, at each of its ticks till another comes
		view += "\x1b[m"
	}
	g.last = view
	return view
}

// filter is what the face does with a message before Update, if it does.
func (g *guard) filter(_ tea.Model, msg tea.Msg) tea.Msg {
	defer g.crash.rescue()
	if f, ok := g.app.(interface{ Filter(tea.Msg) tea.Msg }); ok {
		return g.crash.guardMsg(f.Filter(msg))
	}
	return msg
}

// guardCmd rescues a command and the commands that it brings.
func (c *crash) guardCmd(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() (msg tea.Msg) {
		defer c.rescue()
		return c.guardMsg(cmd())
	}
}

// guardMsg guards the commands inside a batch or a sequence; the latter's type
// has no name outside Bubble Tea.
func (c *crash) guardMsg(msg tea.Msg) tea.Msg {
	v := reflect.ValueOf(msg)
	if v.Kind() != reflect.Slice || v.Type().Elem() != reflect.TypeFor[tea.Cmd]() {
		return msg
	}
	out := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
	for i := range v.Len() {
		cmd, _ := v.Index(i).Interface().(tea.Cmd)
		out.Index(i).Set(reflect.ValueOf(c.guardCmd(cmd)))
	}
	return out.Interface()
}

// guardedJournal rescues the writer's goroutine: what panics there is a save
// that failed.
type guardedJournal struct {
	ledger.Journal
	crash *crash
}

func (j guardedJournal) Append(id shed.DayID, events []session.Recorded, sum ledger.Summary) (err error) {
	defer func() {
		if r := recover(); r != nil {
			j.crash.caught(r)
			err = errors.New("the journal could not be written: the program crashed")
		}
	}()
	return j.Journal.Append(id, events, sum)
}
