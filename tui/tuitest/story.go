package tuitest

import (
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

func init() { timetable.Memory = new(sync.Map) } // the stories are told over and over

// StoryStart is when the invented days of the pictures begin.
var StoryStart = time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)

// StoryUnits are those of the invented people.
var StoryUnits = measure.Metric

// StoryKit is the kit of an invented person.
func StoryKit() shed.Kit {
	k := shed.DefaultKit()
	k.Units, k.JugL = StoryUnits, shed.JugFor(StoryUnits)
	return k
}

// StoryPlan is an invented day: invented animals, an invented farm.
func StoryPlan(tubs int) shed.Plan {
	k := StoryKit()
	for i := len(k.Tubs); i < tubs; i++ {
		t := k.Tubs[i%3]
		t.ID, t.Name = "", "Tub "+string(rune('A'+i))
		k.Tubs = append(k.Tubs, t)
	}
	k.Tubs = k.Tubs[:tubs]
	p := shed.Plan{Kit: k, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{
		{ID: "f1", Animal: "Old Grey", Farm: "Invented Hill", Year: 2026, RawG: 3000, Wax: shed.High},
		{ID: "f2", Animal: "Curly", Farm: "Invented Hill", Year: 2026, RawG: 2000, Type: shed.Longwool, Wax: shed.Low},
	}}
	for i := range tubs + 1 {
		b := shed.Batch{FleeceID: "f1", RawG: 225}
		if i%3 == 2 {
			b = shed.Batch{FleeceID: "f2", RawG: 115, Form: shed.Locks}
		}
		p.Batches = append(p.Batches, b)
	}
	return p
}

// PlayFor lets a day run: the top prompt is done when due, for so many minutes. What
// is boiled is told to nobody.
func PlayFor(t testing.TB, d session.Day, now time.Time, forMin float64) (session.Day, time.Time) {
	t.Helper()
	r := &sessiontest.Run{T: t, Day: d, Now: now}
	for end := now.Add(sessiontest.Minutes(forMin)); r.Now.Before(end); {
		r.Tick(30 * time.Second).Asked(func(coach.Prompt) bool { return true })
	}
	return r.Day, r.Now
}

// Story is a canned state of the running day: a day at a moment, and the keys pressed
// then.
type Story struct {
	Name string
	Make func(t testing.TB) (session.Day, time.Time)
	Keys []string
}

// StoryEnv is what screens share over a canned day, nothing to save.
func StoryEnv(d session.Day, now time.Time, o theme.Options) *base.Env {
	e := &base.Env{
		Deps: base.Deps{Theme: theme.New(io.Discard, o), Local: time.UTC}, Now: now,
		Kit: d.Plan.Kit,
	}
	e.Clock = envClock{e}
	Keeps(e, d, nil)
	return e
}

// Keeps gives an Env a keeper with a day, whose clock is the env's.
func Keeps(e *base.Env, d session.Day, j ledger.Journal) {
	e.Keeper = keep.New(keep.With{Journal: j, Clock: envClock{e}, Bell: e.Bell, Local: e.Local})
	e.Keeper.Take(0, d)
	e.Live = &base.Live{Keeper: e.Keeper}
	e.Look()
}

type envClock struct{ e *base.Env }

func (c envClock) Now() time.Time { return c.e.Now }

func StartStory(t testing.TB, p shed.Plan) session.Day {
	t.Helper()
	return sessiontest.StartAt(t, p, StoryStart).Day
}

// goneCold is a day in US units at whose first rinse the hot tap has run cold, after
// so many more acts.
func goneCold(t testing.TB, acts int) (session.Day, time.Time) {
	p := StoryPlan(3)
	p.Kit.Units, p.Kit.JugL = measure.US, shed.JugFor(measure.US)
	r := &sessiontest.Run{T: t}
	r.Day, r.Now = PlayFor(t, StartStory(t, p), StoryStart, 45)
	tub := 2 // of little wax: washed once
	for r.Day.Tubs[tub].Phase != shed.ToFill || r.Day.Tubs[tub].Step().Kind != shed.Rinse {
		r.Now = r.Now.Add(time.Minute)
		if act := r.Day.NextAction(tub); act != shed.Lift || !r.Now.Before(r.Day.Tubs[tub].SoakEndAt(r.Now)) {
			r.Next(tub)
		}
	}
	k := r.Day.Plan.Kit
	k.HotTapC = measure.FToC(70)
	r.Do(session.ChangeKit{Kit: k})
	for range acts {
		r.Next(tub)
	}
	return r.Day, r.Now
}

// Stories are the states the pictures are drawn from: the whole day in turn.
func Stories() []Story {
	after := func(tubs int, playMin, idleMin float64, cmds ...session.Command) func(testing.TB) (session.Day, time.Time) {
		return func(t testing.TB) (session.Day, time.Time) {
			r := &sessiontest.Run{T: t}
			r.Day, r.Now = PlayFor(t, StartStory(t, StoryPlan(tubs)), StoryStart, playMin)
			r.Do(cmds...)
			for range int(idleMin * 2) { // nobody comes
				r.Tick(30 * time.Second)
			}
			return r.Day, r.Now
		}
	}
	return []Story{
		{"begin", after(3, 0, 0), nil},
		{"washing", after(3, 34, 0, session.TakeReading{Tub: 0, TempC: 62}), nil},
		{"soak-over", after(3, 34, 12), nil},
		{"forgotten", after(3, 34, 110), nil},
		{"heard", after(3, 34, 12, session.Hold{Tub: 1}), nil},
		{"many-tubs", after(12, 40, 0), nil},
		{"us-units", func(t testing.TB) (session.Day, time.Time) {
			p := StoryPlan(3)
			p.Kit.Units, p.Kit.JugL = measure.US, shed.JugFor(measure.US)
			return PlayFor(t, StartStory(t, p), StoryStart, 26)
		}, nil},
		{"hot-water-gone", func(t testing.TB) (session.Day, time.Time) { return goneCold(t, 0) }, []string{"3"}},
		{"cold-rinse", func(t testing.TB) (session.Day, time.Time) { return goneCold(t, 1) }, []string{"3"}},
		{"racked", after(2, 400, 0), nil},
		{"ended", after(3, 34, 0, session.EndDay{Anyway: true}), nil},
		{"far", after(3, 34, 0), []string{"f"}},
		{"far-alarm", after(3, 34, 12), []string{"f"}},
		{"far-many-tubs", after(12, 40, 0), []string{"f"}},
		{"helps", after(3, 34, 0), []string{"w"}},
		{"curve", after(3, 34, 0, session.TakeReading{Tub: 0, TempC: 62}), []string{"v"}},
		{"asking", after(3, 34, 0), []string{"t"}},
	}
}

func CheckFits(t *testing.T, name, view string, w, h int, ascii bool) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) != h {
		t.Errorf("%s: %d lines, want %d", name, len(lines), h)
	}
	for i, l := range lines {
		if strings.Contains(l, draw.CutSign) {
			t.Errorf("%s: line %d is cut: %q", name, i, ansi.Strip(l))
		}
		if n := ansi.StringWidthWc(l); n != w {
			t.Errorf("%s: line %d is %d cells, want %d: %q", name, i, n, w, ansi.Strip(l))
		}
		for _, r := range ansi.Strip(l) {
			if ascii && r > 0x7e {
				t.Errorf("%s: line %d has %q in plain characters", name, i, r)
				break
			}
			if r < 0x20 {
				t.Errorf("%s: line %d has a control character %q", name, i, r)
			}
		}
	}
}

// Labels are the names of the fields that the program's own text asks for in some way.
func Labels(t *testing.T, asks *regexp.Regexp, in ...string) []string {
	t.Helper()
	var out []string
	for _, glob := range in {
		files := must.Get(filepath.Glob(glob)).In(t)
		for _, file := range files {
			text := must.Get(os.ReadFile(file)).In(t)
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			for _, m := range asks.FindAllStringSubmatch(string(text), -1) {
				out = append(out, m[1])
			}
		}
	}
	if len(out) < 5 {
		t.Fatalf("only %d fields found", len(out))
	}
	return out
}

func KeyOf(k string) tea.KeyMsg {
	named := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight,
		"tab": tea.KeyTab, "ctrl+c": tea.KeyCtrlC, "ctrl+z": tea.KeyCtrlZ, "shift+tab": tea.KeyShiftTab, "ctrl+s": tea.KeyCtrlS, "backspace": tea.KeyBackspace, "ctrl+u": tea.KeyCtrlU,
		"f1": tea.KeyF1, "home": tea.KeyHome, "end": tea.KeyEnd, "pgdown": tea.KeyPgDown, "pgup": tea.KeyPgUp, "shift+up": tea.KeyShiftUp, "shift+down": tea.KeyShiftDown,
	}
	if t, ok := named[k]; ok {
		return tea.KeyMsg{Type: t}
	}
	if k == " " {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
}

// Sizes are the windows the pictures are drawn for.
var Sizes = [][2]int{{40, 12}, {80, 24}, {120, 40}, {200, 60}}
