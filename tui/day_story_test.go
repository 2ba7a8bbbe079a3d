package tui

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// storyStart is when the invented days of the pictures begin.
var storyStart = time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)

// storyUnits are those of the invented people.
var storyUnits = measure.Metric

// storyKit is the kit of an invented person.
func storyKit() shed.Kit {
	k := shed.DefaultKit()
	k.Units, k.JugL = storyUnits, shed.JugFor(storyUnits)
	return k
}

// storyPlan is an invented day: invented animals, an invented farm.
func storyPlan(tubs int) shed.Plan {
	k := storyKit()
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

// playFor lets a day run: the top prompt is done when due, for so many minutes. What
// is boiled is told to nobody.
func playFor(t testing.TB, d session.Day, now time.Time, forMin float64) (session.Day, time.Time) {
	t.Helper()
	end := now.Add(time.Duration(forMin * float64(time.Minute)))
	for now.Before(end) {
		now = now.Add(30 * time.Second)
		d, _ = session.Tick(d, now)
		for _, p := range coach.Prompts(d.Boiled(), now) {
			if p.Rank != coach.Coming && p.Act != shed.FinishDay {
				var err error
				if d, _, err = session.Do(d, session.DoNext{Tub: p.Tub, Act: p.Act, Sooner: true}, now); err != nil {
					t.Fatal(err)
				}
				break
			}
		}
	}
	return d, now
}

// story is a canned state of the running day: a day at a moment, and the keys pressed
// then.
type story struct {
	name string
	make func(t testing.TB) (session.Day, time.Time)
	keys []string
}

// storyEnv is what screens share over a canned day, nothing to save.
func storyEnv(d session.Day, now time.Time, o theme.Options) *env {
	e := &env{
		Deps: Deps{Theme: theme.New(io.Discard, o), Local: time.UTC}, now: now,
		kit: d.Plan.Kit,
	}
	e.Clock = envClock{e}
	e.keeps(d, nil)
	return e
}

// storyScreen is the running day's screen over a canned day.
func storyScreen(d session.Day, now time.Time, o theme.Options) *dayScreen {
	s := newDayScreen(storyEnv(d, now, o)).(*dayScreen)
	s.focusAt = time.Time{}
	return s
}

// keeps gives an env a keeper with a day, whose clock is the env's.
func (e *env) keeps(d session.Day, j ledger.Journal) {
	e.keeper = keep.New(keep.With{Journal: j, Clock: envClock{e}, Bell: e.Bell, Local: e.Local})
	e.keeper.Take(0, d)
	e.live = &live{keeper: e.keeper}
	e.look()
}

type envClock struct{ e *env }

func (c envClock) Now() time.Time { return c.e.now }

// pass lets time pass to the env's now, without a frame.
func (s *dayScreen) pass() {
	s.e.keeper.Pass()
	s.e.look()
}

func startStory(t testing.TB, p shed.Plan) session.Day {
	t.Helper()
	d, _, err := session.Do(session.Day{}, session.StartDay{Plan: p}, storyStart)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// goneCold is a day in US units at whose first rinse the hot tap has run cold, after
// so many more acts.
func goneCold(t testing.TB, acts int) (session.Day, time.Time) {
	p := storyPlan(3)
	p.Kit.Units, p.Kit.JugL = measure.US, shed.JugFor(measure.US)
	d, now := playFor(t, startStory(t, p), storyStart, 45)
	tub := 2 // of little wax: washed once
	do := func(c session.Command) {
		var err error
		if d, _, err = session.Do(d, c, now); err != nil {
			t.Fatal(err)
		}
	}
	for d.Tubs[tub].Phase != shed.ToFill || d.Tubs[tub].Step().Kind != shed.Rinse {
		now = now.Add(time.Minute)
		if act := d.NextAction(tub); act != shed.Lift || !now.Before(d.Tubs[tub].SoakEndAt(now)) {
			do(session.DoNext{Tub: tub, Act: act})
		}
	}
	k := d.Plan.Kit
	k.HotTapC = measure.FToC(70)
	do(session.ChangeKit{Kit: k})
	for range acts {
		do(session.DoNext{Tub: tub, Act: d.NextAction(tub)})
	}
	return d, now
}

// stories are the states the pictures are drawn from: the whole day in turn.
func stories() []story {
	after := func(tubs int, playMin, idleMin float64, cmds ...session.Command) func(testing.TB) (session.Day, time.Time) {
		return func(t testing.TB) (session.Day, time.Time) {
			d, now := playFor(t, startStory(t, storyPlan(tubs)), storyStart, playMin)
			for _, c := range cmds {
				var err error
				if d, _, err = session.Do(d, c, now); err != nil {
					t.Fatal(err)
				}
			}
			for range int(idleMin * 2) { // nobody comes
				now = now.Add(30 * time.Second)
				d, _ = session.Tick(d, now)
			}
			return d, now
		}
	}
	return []story{
		{"begin", after(3, 0, 0), nil},
		{"washing", after(3, 34, 0, session.TakeReading{Tub: 0, TempC: 62}), nil},
		{"soak-over", after(3, 34, 12), nil},
		{"forgotten", after(3, 34, 110), nil},
		{"heard", after(3, 34, 12, session.Hold{Tub: 1}), nil},
		{"many-tubs", after(12, 40, 0), nil},
		{"us-units", func(t testing.TB) (session.Day, time.Time) {
			p := storyPlan(3)
			p.Kit.Units, p.Kit.JugL = measure.US, shed.JugFor(measure.US)
			return playFor(t, startStory(t, p), storyStart, 26)
		}, nil},
		{"hot-water-gone", func(t testing.TB) (session.Day, time.Time) { return goneCold(t, 0) }, []string{"3"}},
		{"cold-rinse", func(t testing.TB) (session.Day, time.Time) { return goneCold(t, 1) }, []string{"3"}},
		{"racked", after(2, 400, 0), nil},
		{"ended", after(3, 34, 0, session.EndDay{Anyway: true}), nil},
		{"far", after(3, 34, 0), []string{"f"}},
		{"far-alarm", after(3, 34, 12), []string{"f"}},
		{"helps", after(3, 34, 0), []string{"w"}},
		{"curve", after(3, 34, 0, session.TakeReading{Tub: 0, TempC: 62}), []string{"v"}},
		{"asking", after(3, 34, 0), []string{"t"}},
	}
}

// storyOf is the day's screen in a story.
func storyOf(t testing.TB, st story, o theme.Options) *dayScreen {
	d, now := st.make(t)
	s := storyScreen(d, now, o)
	s.SetSize(200, 60)
	for _, k := range st.keys {
		s.Update(keyOf(k))
	}
	return s
}

// TestDayFits: whatever the state, size and theme, the screen is exactly as
// large as the window, and plain characters stay plain.
func TestDayFits(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a great deal and starts no goroutine")
	}
	for _, o := range []theme.Options{{}, {ASCII: true}, {NoColor: true}, {Light: true}} {
		for _, st := range stories() {
			s := storyOf(t, st, o)
			for _, sz := range append(sizes, [2]int{47, 13}, [2]int{61, 18}, [2]int{76, 21}, [2]int{110, 33}, [2]int{160, 50}) {
				s.SetSize(sz[0], sz[1])
				checkFits(t, fmt.Sprintf("%s %v %+v", st.name, sz, o), plain(s.View(), o.ASCII), sz[0], sz[1], o.ASCII)
			}
		}
	}
}

func checkFits(t *testing.T, name, view string, w, h int, ascii bool) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) != h {
		t.Errorf("%s: %d lines, want %d", name, len(lines), h)
	}
	for i, l := range lines {
		if strings.Contains(l, cutSign) {
			t.Errorf("%s: line %d is cut: %q", name, i, ansi.Strip(l))
		}
		if n := ansi.StringWidth(l); n != w {
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

// TestStoryDump writes the stories with their colours where STORY_DUMP says,
// to be turned into pictures or shown with cat.
func TestStoryDump(t *testing.T) {
	dir := os.Getenv("STORY_DUMP")
	if dir == "" {
		t.Skip("writes the screens with their colours only when STORY_DUMP names a folder")
	}
	for _, st := range stories() {
		s := storyOf(t, st, theme.Options{})
		for _, sz := range sizes {
			s.SetSize(sz[0], sz[1])
			name := filepath.Join(dir, fmt.Sprintf("day-%s-%dx%d.ansi", st.name, sz[0], sz[1]))
			if err := os.WriteFile(name, []byte(s.View()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// labels are the names of the fields that the program's own text asks for in some way.
func labels(t *testing.T, asks *regexp.Regexp, in ...string) []string {
	t.Helper()
	var out []string
	for _, glob := range in {
		files, err := filepath.Glob(glob)
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
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
