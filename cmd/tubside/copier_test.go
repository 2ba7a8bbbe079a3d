package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// copyDesk is a record and its copier under a clock of the test's own.
type copyDesk struct {
	t     *testing.T
	s     *store.Store
	c     *copier
	now   time.Time
	also  string
	apart bool
	day   shed.DayID
	event uint64
}

func newCopyDesk(t *testing.T) *copyDesk {
	t.Helper()
	s := must.Get(store.Open(filepath.Join(t.TempDir(), fileName))).In(t)
	t.Cleanup(func() { _ = s.Close() })
	d := &copyDesk{t: t, s: s, now: time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)}
	d.c = d.copier()
	return d
}

func (d *copyDesk) copier() *copier {
	return newCopier(d.s, wallClock{}, func() (place, error) { return place{d.also, d.apart}, nil })
}

// write goes on with the day; ended ends it.
func (d *copyDesk) write(ended bool) {
	d.t.Helper()
	if d.day == 0 {
		id, err := d.s.NewDay()
		if err != nil {
			d.t.Fatal(err)
		}
		d.day = id
	}
	d.event++
	sum := ledger.Summary{ID: d.day, StartedAt: d.now, Batches: 2}
	if ended {
		sum.EndedAt = d.now
	}
	if err := d.s.Append(d.day, []session.Recorded{{Seq: d.event, At: d.now, Event: session.NoteAdded{Tub: -1, Text: "a note"}}}, sum); err != nil {
		d.t.Fatal(err)
	}
}

// after lets time pass, and says how many copies there are.
func (d *copyDesk) after(by time.Duration) int {
	d.t.Helper()
	for end := d.now.Add(by); d.now.Before(end); {
		d.now = d.now.Add(min(time.Minute, end.Sub(d.now)))
		d.c.step(d.now)
	}
	return d.copies(d.c.folder)
}

func (d *copyDesk) copies(folder string) int {
	d.t.Helper()
	all, err := store.Copies(folder)
	if err != nil {
		d.t.Fatal(err)
	}
	return len(all)
}

func (d *copyDesk) want(what string, got, want int) {
	d.t.Helper()
	if got != want {
		d.t.Fatalf("%s: %d copies, want %d", what, got, want)
	}
	if text := d.c.told(); text != "" {
		d.t.Fatalf("%s: %s", what, text)
	}
}

func TestCopiesByThemselves(t *testing.T) {
	d := newCopyDesk(t)
	d.write(false)
	d.want("at the start", d.after(time.Minute), 1)
	d.write(false)
	d.want("half an hour", d.after(30*time.Minute), 1)
	d.want("an hour", d.after(40*time.Minute), 2)
	d.want("idle hours", d.after(5*time.Hour), 2)
	d.write(false)
	d.want("an event after hours", d.after(time.Minute), 3)
	d.now = d.now.Add(time.Hour).Truncate(time.Hour)
	d.write(true)
	d.want("the end of the day", d.after(time.Minute), 4)
	d.want("nothing more", d.after(50*time.Hour), 4)

	d.c = d.copier() // the next start
	d.want("nothing was written since", d.after(5*time.Hour), 4)
	d.day, d.event = 0, 0
	d.write(false)
	d.c = d.copier()
	d.want("a start after something was", d.after(time.Minute), 5)

	d.write(true) // ended and left at once
	d.c.run(1)
	time.Sleep(20 * time.Millisecond)
	d.c.close()
	d.want("the end of the program", d.copies(d.c.folder), 6)
}

// A clock that is set back or ahead neither stops the copies nor has one made each minute.
func TestCopiesWithAClockThatWasSet(t *testing.T) {
	d := newCopyDesk(t)
	d.write(false)
	d.after(time.Minute)
	for _, to := range []time.Time{d.now.AddDate(-50, 0, 0), d.now.AddDate(173, 0, 0), d.now} {
		was := d.c.last
		d.now = to
		d.write(false)
		d.after(2 * time.Minute)
		made := d.c.last
		if made == was {
			t.Errorf("at %v: no copy", to)
		}
		d.write(false)
		if d.after(50 * time.Minute); d.c.last != made {
			t.Errorf("50 min after %v: one more", to)
		}
		if _, err := os.Stat(made.Path); err != nil {
			t.Errorf("at %v: %v", to, err)
		}
	}
}

// What fails is said once, tried again after some minutes, and the day goes on.
func TestCopiesThatFail(t *testing.T) {
	d := newCopyDesk(t)
	must.Do(t, os.WriteFile(d.c.folder, nil, 0o600))
	d.write(false)
	for range 200 {
		d.now = d.now.Add(time.Minute)
		d.c.step(d.now)
	}
	if text := d.c.told(); !strings.Contains(text, "no copy could be made in "+d.c.folder) || !strings.Contains(text, "make room") {
		t.Errorf("said %q", text)
	}
	if text := d.c.told(); text != "" {
		t.Errorf("said again: %s", text)
	}
	must.Do(t, os.Remove(d.c.folder))
	d.want("a folder again", d.after(6*time.Minute), 1)
}

// A stick that is out is said once; when it is back it has the newest copy.
func TestSecondPlaceForCopies(t *testing.T) {
	d := newCopyDesk(t)
	stick := filepath.Join(t.TempDir(), "stick")
	d.also = stick
	d.write(false)
	for range 5 {
		d.write(false)
		d.after(time.Hour)
	}
	if text := d.c.told(); !strings.Contains(text, stick+", is not there") {
		t.Errorf("said %q", text)
	}
	if text := d.c.told(); text != "" {
		t.Errorf("said again: %s", text)
	}
	if _, err := os.Stat(stick); !errors.Is(err, os.ErrNotExist) {
		t.Error("a folder was made where the stick is missing")
	}
	must.Do(t, os.Mkdir(stick, 0o700))
	d.after(2 * time.Minute)
	d.want("the stick is back", d.copies(stick), 1)
	newest, err := store.Copies(d.c.folder)
	there, err2 := store.Copies(stick)
	if err != nil || err2 != nil || filepath.Base(newest[0].Path) != filepath.Base(there[0].Path) {
		t.Errorf("%v, %v: not the newest", newest, there)
	}
	d.write(false)
	d.after(time.Hour)
	d.want("the next hour", d.copies(stick), 2)
	must.Do(t, os.RemoveAll(stick))
	d.write(false)
	d.after(time.Hour)
	if text := d.c.told(); !strings.Contains(text, "is not there") {
		t.Errorf("out again: %q", text)
	}
}

// The record's file is lost while the program runs: it is said, once, without a deed.
func TestCopierSeesALostFile(t *testing.T) {
	d := newCopyDesk(t)
	d.write(false)
	d.after(time.Minute)
	must.Do(t, os.Truncate(d.s.Path(), 0))
	d.after(3 * time.Minute)
	if text := d.c.told(); !strings.Contains(text, "no longer saved") {
		t.Errorf("said %q", text)
	}
	if text := d.c.told(); text != "" {
		t.Errorf("said again: %s", text)
	}
	if n := d.copies(d.c.folder); n != 1 {
		t.Errorf("%d copies", n)
	}
}

// The folder where a stick is put in is left when the stick is out: nothing goes there.
func TestEmptyFolderWhereAStickWas(t *testing.T) {
	d := newCopyDesk(t)
	d.also, d.apart = t.TempDir(), true
	d.write(false)
	d.after(5 * time.Minute)
	if text := d.c.told(); !strings.Contains(text, "is not there") {
		t.Errorf("said %q", text)
	}
	if n := d.copies(d.also); n != 0 {
		t.Errorf("%d copies in the empty folder", n)
	}
}
