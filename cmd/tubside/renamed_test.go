package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// desk is the whole program over a store, without a terminal.
type desk struct {
	t     *testing.T
	app   *tui.App
	clock *handClock
	seen  map[string]string // screens by name
}

type handClock struct{ at time.Time }

func (c *handClock) Now() time.Time { return c.at }

func newDesk(t *testing.T, s *store.Store, at time.Time) *desk {
	t.Helper()
	d := &desk{t: t, clock: &handClock{at}, seen: map[string]string{}}
	app := must.Get(tui.New(base.Deps{Journal: s, Ledger: s, Clock: d.clock, Local: time.UTC, Theme: theme.New(io.Discard, theme.Options{})})).In(t)
	d.app = app
	d.send(tea.WindowSizeMsg{Width: 160, Height: 60})
	return d
}

func (d *desk) send(msg tea.Msg) {
	_, cmd := d.app.Update(msg)
	d.run(cmd)
}

func (d *desk) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	wait := time.Minute
	switch name := runtime.FuncForPC(reflect.ValueOf(cmd).Pointer()).Name(); {
	case strings.Contains(name, "tea.Every"), strings.Contains(name, "cursor."):
		return
	case strings.Contains(name, ".Listen."): // until something is written
		wait = 300 * time.Millisecond
	}
	got := make(chan tea.Msg, 1)
	go func() { got <- cmd() }()
	select {
	case msg := <-got:
		v := reflect.ValueOf(msg)
		switch {
		case !v.IsValid():
		case v.Kind() == reflect.Slice && v.Type().Elem() == reflect.TypeFor[tea.Cmd](): // a batch or a sequence
			for i := range v.Len() {
				d.run(v.Index(i).Interface().(tea.Cmd))
			}
		case strings.Contains(v.Type().PkgPath(), "/tubside/tui"):
			d.send(msg)
		}
	case <-time.After(wait):
	}
}

func (d *desk) press(keys ...string) {
	named := map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "tab": tea.KeyTab, "end": tea.KeyEnd, "ctrl+s": tea.KeyCtrlS, "ctrl+u": tea.KeyCtrlU}
	for _, k := range keys {
		d.clock.at = d.clock.at.Add(time.Second)
		if kind, ok := named[k]; ok {
			d.send(tea.KeyMsg{Type: kind})
			continue
		}
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
	}
}

func (d *desk) types(text string) {
	d.press("ctrl+u")
	for _, r := range text {
		d.press(string(r))
	}
}

func (d *desk) text() string { return ansi.Strip(d.app.View()) }

func (d *desk) sees(text string) {
	d.t.Helper()
	if !strings.Contains(d.text(), text) {
		d.t.Fatalf("the screen does not say %q:\n%s", text, d.text())
	}
}

// home goes back until the menu is on top.
func (d *desk) home() {
	d.t.Helper()
	for range 12 {
		if strings.Contains(d.text(), "m  Methods") {
			return
		}
		d.press("esc")
	}
	d.t.Fatalf("no way home:\n%s", d.text())
}

// look keeps what a screen says, with all its pages. No time passes meanwhile: where
// seconds are counted the last page would never be the same again.
func (d *desk) look(name string) {
	all := d.text()
	for last := all; ; {
		d.send(tea.KeyMsg{Type: tea.KeyPgDown})
		next := d.text()
		if next == last {
			break
		}
		all, last = all+"\n"+next, next
	}
	d.seen[name] = all
}

// walk looks at every screen there is a way to.
func (d *desk) walk() {
	d.t.Helper()
	d.press("x") // a second of its clock later
	d.seen = map[string]string{}
	running := strings.Contains(d.text(), "To the tubs")
	d.seen["home"] = d.text()
	steps := map[string][]string{
		"fleeces": {"f"}, "card": {"f", "enter"}, "kit": {"k"}, "tray": {"k", "8"}, "scales": {"k", "end", "enter"}, "methods": {"m", "end"}, "its steps": {"m", "end", "enter"},
		"past days": {"d"}, "look-back": {"d", "enter"}, "its weighing": {"d", "enter", "w"}, "its parts": {"d", "enter", "p"},
		"drying": {"r"}, "weighing there": {"r", "enter"}, "laying elsewhere": {"r", "y"}, "alarms": {"a"}, "help": {"?"}, "plan, or more batches": {"p"},
	}
	if running {
		for name, keys := range map[string][]string{
			"day": nil, "far": {"f"}, "curve": {"v"}, "list of alarms": {"l"}, "what helps": {"w"}, "undo": {"u"}, "note": {"n"}, "end": {"e"},
			"tub 1": {"1"}, "tub 2": {"2"}, "skip": {"2", "s"}, "its tray": {"1", "y"},
		} {
			steps["day: "+name] = append([]string{"t"}, keys...)
		}
	}
	for name, keys := range steps {
		d.press(keys...)
		d.look(name)
		d.home()
	}
}

// holds is whether a text holds a word; large letters have capitals only.
func holds(text, word string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(word))
}

// says holds all screens against a name that must not stand anywhere, and those
// that name something against what has to.
func (d *desk) says(when, never string, wanted map[string][]string) {
	d.t.Helper()
	for name, text := range d.seen {
		if holds(text, never) {
			d.t.Errorf("%s, %s still says %s:\n%s", when, name, never, text)
		}
	}
	for name, words := range wanted {
		for _, w := range words {
			if !holds(d.seen[name], w) {
				d.t.Errorf("%s, %s does not say %s:\n%s", when, name, w, d.seen[name])
			}
		}
	}
}

// correct puts every name right by keys, from home: each then begins with to.
func (d *desk) correct(to string) {
	d.t.Helper()
	d.press("f", "e")
	d.sees("Which sheep")
	d.types(to + "ewe")
	d.press("tab")
	d.types(to + "farm")
	d.press("tab")
	d.types("2023")
	d.press("ctrl+s")
	d.sees(to + "ewe, " + to + "farm is saved")
	d.press("e", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter")
	d.sees("Colour")
	d.types(to + "grey")
	d.press("tab")
	d.types(to + "note")
	d.press("ctrl+s")
	d.sees("is saved")
	d.home()
	d.press("k", "5")
	d.types(to + "tub")
	d.press("ctrl+s", "8")
	d.types(to + "tray 2, low 2")
	d.press("ctrl+s", "end", "enter")
	d.types(to + "scale 1 g")
	d.press("ctrl+s")
	d.sees(to + "scale 1 g")
	d.home()
	d.press("m", "end", "enter", "n")
	d.types(to + "way")
	d.press("ctrl+s")
	d.home()
}

// wrongDay keeps a day that runs, with Qq in every name: A1 of the fleece and B1 of
// its twin on the rack, A2 in the water. All is invented.
func wrongDay(t *testing.T, s *store.Store, now time.Time) (shed.DayID, time.Time) {
	t.Helper()
	k := shed.DefaultKit()
	k.Tubs = k.Tubs[:2]
	k.Tubs[0].Name = "Qqtub"
	k.Trays = []shed.Tray{{ID: "r1", Name: "Qqtray", Places: 2}, {ID: "r2", Name: "low", Places: 2}}
	k.Scales = []shed.Scale{{Name: "Qqscale", StepG: 1}}
	twin, errA := s.SaveFleece(shed.Fleece{Animal: "Qqewe", Farm: "Qqfarm", Year: 2021, RawG: 900})
	f, errB := s.SaveFleece(shed.Fleece{Animal: "Qqewe", Farm: "Qqfarm", Year: 2019, RawG: 2500, Colour: "Qqgrey", Notes: "Qqnote"})
	m := shed.BuiltInMethod()
	m.ID, m.Name, m.About = "", "Qqway", ""
	m, errC := s.SaveMethod(m)
	must.Do(t, errors.Join(errA, errB, errC, s.SaveKit(k)))
	batch := func(of shed.Fleece) shed.Batch {
		return shed.Batch{FleeceID: of.ID, RawG: 200, Presoak: shed.PresoakNone, RawScale: k.Scales[0]}
	}
	r := sessiontest.StartAt(t, shed.Plan{Kit: k, Method: m, Fleeces: []shed.Fleece{f, twin}, Batches: []shed.Batch{batch(f), batch(twin), batch(f)}}, now)
	act := func(tub int) {
		r.Now = r.Now.Add(2 * time.Minute)
		r.Next(tub)
	}
	for r.Day.Fate["A1"].RackedAt.IsZero() || r.Day.Fate["B1"].RackedAt.IsZero() {
		for tub := range r.Day.Tubs {
			if b := r.Day.Tubs[tub].Batch; b == "A1" || b == "B1" {
				act(tub)
			}
		}
	}
	r.Do(session.WeighWet{Batch: "A1", MassG: 170, Scale: k.Scales[0]})
	for tub := range r.Day.Tubs {
		for r.Day.Fate["A2"].SunkAt.IsZero() && r.Day.NextAction(tub) != shed.Wait {
			act(tub)
		}
	}
	return r.Keep(s), r.Now
}

// printed is all that a command says over a store.
func printed(t *testing.T, dir string, args ...string) string {
	t.Helper()
	code, out, errs := says(t, append([]string{"--data", dir}, args...)...)
	if code != 0 {
		t.Fatalf("%v: code %d\n%s", args, code, errs)
	}
	return out + errs
}

// A name that is put right, while a day runs and after it, stands on every screen
// and in what every command says; and the old one nowhere. The twin of that name
// keeps it until it is put right itself.
func TestCorrectedNamesReachEverything(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds of real time")
	}
	t.Parallel()
	dir := t.TempDir()
	open := func() *store.Store {
		t.Helper()
		s := must.Get(store.Open(filepath.Join(dir, fileName))).In(t)
		return s
	}
	s := open()
	id, now := wrongDay(t, s, time.Date(2026, 6, 13, 8, 0, 0, 0, time.UTC))
	must.Do(t, s.Close())
	if text := printed(t, dir, "tags"); strings.Count(text, "Qqewe") != 3 {
		t.Fatalf("printed %s", text)
	}

	s = open()
	w := newDesk(t, s, now.Add(7*time.Minute)) // an undo asks first now
	w.home()
	w.walk()
	naming := func(to string) map[string][]string {
		ewe := to + "ewe, " + to + "farm"
		return map[string][]string{
			"home": {ewe}, "fleeces": {to + "ewe", to + "farm"}, "card": {ewe, to + "note", to + "grey"}, "kit": {to + "tub", to + "tray", to + "scale"}, "past days": {ewe},
			"look-back": {ewe, to + "tub", to + "tray", to + "way"}, "drying": {ewe, to + "tray"}, "its weighing": {ewe}, "its steps": {to + "way"},
			"day: day": {to + "ewe", to + "tub"}, "day: far": {to + "tub"}, "day: undo": {},
		}
	}
	only := func(wanted map[string][]string, names ...string) {
		for _, n := range names {
			delete(wanted, n)
		}
	}
	wanted := naming("Qq")
	only(wanted, "home") // no day has ended
	w.says("before", "Zz", wanted)

	twin := func(to string) { // the other one, by its own mark
		w.press("f", "end", "e")
		w.types(to + "twin")
		w.press("tab")
		w.types(to + "farm")
		w.press("ctrl+s")
		w.sees(to + "twin")
		w.home()
	}
	w.correct("Zz")
	w.walk()
	if text := w.seen["look-back"]; !strings.Contains(text, "Qqewe, Qqfarm") {
		t.Errorf("the twin has lost its name:\n%s", text)
	}
	twin("Zz")
	w.walk()
	wanted = naming("Zz")
	only(wanted, "home")
	wanted["card"] = append(wanted["card"], "printed with the old name: 2")
	wanted["look-back"] = append(wanted["look-back"], "Zztwin, Zzfarm")
	w.says("put right while it runs", "Qq", wanted)

	// The day ends; then once more.
	w.press("t", "e", "e", "n", "d", "enter")
	w.home()
	w.correct("Yy")
	twin("Yy")
	w.walk()
	wanted = naming("Yy")
	only(wanted, "day: day", "day: far", "day: undo")
	w.says("put right after it", "Qq", wanted)
	w.says("put right after it", "Zz", nil)
	must.Do(t, errors.Join(w.app.Close(), s.Close()))

	code := must.Get(tag.Code(id, "A1")).In(t)
	record := filepath.Join(t.TempDir(), "all.json")
	printed(t, dir, "export", "--json", record)
	text := must.Get(os.ReadFile(record)).In(t)
	for _, part := range []string{`"fleeces":["Yyewe, Yyfarm","Yytwin, Yyfarm"]`, `"animal":"Qqewe"`} { // a summary is of now, an event of its day
		if !bytes.Contains(text, []byte(part)) {
			t.Errorf("the record does not say %s", part)
		}
	}
	other := t.TempDir()
	printed(t, other, "import", "--new", record)
	for _, in := range []string{dir, other} {
		for _, c := range []struct {
			args []string
			says []string
			told string // of what was printed before, here
		}{
			{[]string{"tags", "--code", code}, []string{"Yyewe", "Yyfarm, clip of 2023", "Yygrey", "Yynote", "Yytray"}, "tags printed with the old name: 1"},
			{[]string{"tags", "--fleece", "Yyewe"}, []string{"Yyewe"}, "tags printed with the old name: 2"},
			{[]string{"export", "--csv", "-"}, []string{"Yyewe", "Yyfarm", "2023", "Yygrey", "Yynote", "Yytray", "Yyscale", "Yytwin"}, ""},
			{[]string{"tags"}, []string{"Yyewe", "Yytwin"}, "tags printed with the old name: 1"},
		} {
			text := printed(t, in, c.args...)
			if strings.Contains(text, "Qq") || strings.Contains(text, "Zz") {
				t.Errorf("%v says an old name:\n%s", c.args, text)
			}
			for _, word := range c.says {
				if !strings.Contains(text, word) {
					t.Errorf("%v does not say %s:\n%s", c.args, word, text)
				}
			}
			if in == dir && !strings.Contains(text, c.told) {
				t.Errorf("%v does not say %q:\n%s", c.args, c.told, text)
			}
		}
	}
	s = open()
	defer func() { _ = s.Close() }()
	if old, err := s.Printed(); err != nil || len(old) != 3 || old[0].Name != "Yyewe, Yyfarm" {
		t.Errorf("printed %+v (%v)", old, err)
	}
	var table bytes.Buffer
	if err := exchange.WriteCSV(&table, s, time.UTC); err != nil || strings.Count(table.String(), "\n") != 4 {
		t.Errorf("%v\n%s", err, &table)
	}
}
