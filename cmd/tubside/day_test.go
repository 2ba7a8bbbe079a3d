//go:build unix

package main

import (
	"path/filepath"
	"regexp"
	"slices"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// look gives the screen the moment in which it takes no Enter, lest one that
// was meant for another tub does something here.
func (w *window) look(text string) {
	w.t.Helper()
	w.see(text)
	time.Sleep(1200 * time.Millisecond)
}

// kept is the one day in a folder, as the store has it.
func kept(t *testing.T, dir string) (session.Day, []string) {
	t.Helper()
	s := must.Get(store.Open(filepath.Join(dir, fileName))).In(t)
	defer func() { _ = s.Close() }()
	id, ok, err := s.OpenDay()
	if err != nil || !ok {
		t.Fatalf("no open day: %v", err)
	}
	recs := must.Get(s.Events(id)).In(t)
	var kinds []string
	for _, r := range recs {
		kinds = append(kinds, session.KindOf(r.Event))
	}
	return session.Replay(recs), kinds
}

// beginsDay goes from the first start to a day with one fleece, its first bath to be
// filled.
func (w *window) beginsDay() {
	w.t.Helper()
	w.see("first start")
	w.press("ctrl+s") // the kit as it is
	w.see("Plan a wash day")
	w.press("p")
	w.see("No batch yet")
	w.press("a")
	w.see("New fleece")
	w.write("Bramble") // an invented ewe
	w.press("tab", "tab", "tab")
	w.write("2500")
	w.press("ctrl+s")
	w.see("A1")
	w.press("s")
	w.look("FILL FOR THE PRESOAK")
}

// toLift says that the list has the lift with its minutes.
var toLift = regexp.MustCompile(`lift and drain +in 1\d min`).MatchString

// A first start on an empty folder, a day begun with a few keys, the plug
// pulled, and the day taken up again where it was.
func TestDayThroughPowerCut(t *testing.T) {
	if testing.Short() {
		t.Skip("in real time")
	}
	t.Parallel()
	dir, path := t.TempDir(), program(t)
	w := open(t, nil, path, "--new", "--data", dir)
	w.beginsDay()
	w.press(".")
	w.look("LOWER THE FLEECE IN")
	w.press("enter")
	w.until("say when to lift", toLift)
	w.see("saved")
	w.signal(syscall.SIGKILL)
	w.end()

	d, kinds := kept(t, dir)
	if want := []string{"day started", "bath filled", "fleece sunk"}; !slices.Equal(kinds, want) {
		t.Fatalf("kept %q, want %q", kinds, want)
	}
	if d.Tubs[0].Phase != shed.Soaking || d.FleeceOf("A1").Animal != "Bramble" {
		t.Errorf("%v with %q", d.Tubs[0].Phase, d.FleeceOf("A1").Animal)
	}

	w = open(t, nil, path, "--data", dir)
	w.see("still open")
	w.press("enter")
	w.until("say when to lift", toLift)
	w.press("1")
	w.look("LIFT AND DRAIN")
	w.press("n")
	w.write("a gust of wind")
	w.press("enter")
	w.see("noted")
	w.press("ctrl+c") // with fleece in the water it asks
	w.see("no alarms ring once tubside is closed. Press Ctrl+C again")
	w.press("ctrl+c")
	if code := w.end(); code != 0 {
		t.Errorf("ended with %d:\n%s", code, w.text())
	}
	w.restored()

	d, kinds = kept(t, dir)
	if want := []string{"watch resumed", "note added"}; len(kinds) != 5 || !slices.Equal(kinds[3:], want) {
		t.Errorf("then kept %q, want %q at the end", kinds, want)
	}
	if len(d.Notes) != 1 || d.Notes[0].Text != "a gust of wind" || d.Tubs[0].Phase != shed.Soaking {
		t.Errorf("notes %v, %v", d.Notes, d.Tubs[0].Phase)
	}
}
