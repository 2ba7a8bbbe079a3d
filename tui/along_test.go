package tui

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/past"
	"github.com/charmbracelet/lipgloss"
)

// fakeAlong keeps what is written, by the file's name, or "print " and the job's.
type fakeAlong struct {
	printer bool
	written map[string]string
	counted []string // the tags that count as printed
	refuse  error    // of noting that
}

func (a *fakeAlong) Place(name string) string { return "/home/invented/" + name }

func (a *fakeAlong) Ready(typed string) (string, error) {
	if strings.Contains(typed, "nowhere") {
		return "", errors.New("there is no folder nowhere")
	}
	return strings.Replace(typed, "~", "/home/invented", 1), nil
}

func (a *fakeAlong) File(path string, write func(io.Writer) error) error {
	if a.written[path] != "" {
		return errors.New(path + " exists already: give another name, nothing is written over")
	}
	var b strings.Builder
	err := write(&b)
	a.written[path] = b.String()
	return err
}

func (a *fakeAlong) Printer() bool { return a.printer }

func (a *fakeAlong) Print(name string, write func(io.Writer) error) error {
	return a.File("print "+name, write)
}

func (a *fakeAlong) Page(w io.Writer, id shed.DayID, d session.Day, _ measure.System) error {
	_, err := fmt.Fprintf(w, "page of %d, %s", id, d.StartedAt.Format("2006-01-02"))
	return err
}

func (a *fakeAlong) Card(w io.Writer, fleece string, _ measure.System) error {
	_, _ = io.WriteString(w, "card of "+fleece)
	return base.Warning("a letter is missing in it")
}

func (a *fakeAlong) DayTags(w io.Writer, id shed.DayID, d session.Day, _ measure.System) (func() error, error) {
	return a.tags(w, fmt.Sprintf("tags of %d: %d", id, len(d.Washed())))
}

func (a *fakeAlong) FleeceTags(w io.Writer, fleece string, _ measure.System) (func() error, error) {
	return a.tags(w, "tags of "+fleece)
}

func (a *fakeAlong) tags(w io.Writer, text string) (func() error, error) {
	_, err := io.WriteString(w, text)
	return func() error {
		a.counted = append(a.counted, text)
		return a.refuse
	}, err
}

func withAlong(_ *person, d *base.Deps) { d.Along = &fakeAlong{written: map[string]string{}} }

// TestTakenAlong: a look back, tags, a fleece's card and a plan go into the file that is
// proposed or typed, never over another, or to the printer where there is one; Esc writes
// nothing.
func TestTakenAlong(t *testing.T) {
	p := newPerson(t, true, withRecord, withAlong)
	a := p.app.env.Along.(*fakeAlong)
	has := func(path, text string) {
		t.Helper()
		p.settled()
		if !strings.HasPrefix(a.written[path], text) {
			t.Errorf("%s has %q, not %q", path, a.written[path], text)
		}
	}
	p.resize(120, 40)
	p.press("d", "enter", "s")
	p.sees("the look back, as a page (HTML)", "tags for its bags, to cut out (PDF)")
	p.everySize()
	p.press("enter")
	p.sees("/home/invented/wash-day-2-2026-03-16.html")
	p.press("esc")
	if p.settled(); len(a.written) > 0 {
		t.Fatalf("Esc wrote %q", a.written)
	}
	p.press("s", "enter", "enter")
	has("/home/invented/wash-day-2-2026-03-16.html", "page of 2, 2026-03-16")
	p.says("in /home/invented/wash-day-2-2026-03-16.html")
	p.press("s", "enter", "enter")
	p.settled()
	p.says("exists already: give another name")
	p.press("s", "down", "enter")
	p.types("x.txt")
	p.press("enter")
	has("x.txt", " The hot wash of A1")
	a.printer = true
	p.press("s", "down", "down", "enter", "down", "enter")
	has("print wash-day-2-2026-03-16-tags.pdf", "tags of 2: ")
	p.says("sent to the printer")
	p.press("esc", "esc", "f", "enter", "s", "enter", "enter", "enter")
	has("/home/invented/curly-2026.pdf", "card of f2")
	p.says("but a letter is missing in it")
}

// TestTagsCountOncePrinted: tags count as printed when their file is there or the printer has
// taken them, and not before; where that is not noted, the screen says so.
func TestTagsCountOncePrinted(t *testing.T) {
	p := newPerson(t, true, withRecord, withAlong)
	a := p.app.env.Along.(*fakeAlong)
	a.printer = true
	p.resize(120, 40)
	counts := func(when string, want int) {
		t.Helper()
		p.settled()
		if len(a.counted) != want {
			t.Errorf("%s: %q count as printed, want %d", when, a.counted, want)
		}
	}
	toFile, toPrinter := []string{"enter", "enter"}, []string{"down", "enter"}
	dayTags := func(where ...string) { p.press("s", "down", "down", "enter"); p.press(where...) }
	p.press("d", "enter")
	a.written["/home/invented/wash-day-2-2026-03-16-tags.pdf"] = "there already"
	a.written["print wash-day-2-2026-03-16-tags.pdf"] = "no paper"
	dayTags(toFile...)
	counts("a file that is there already", 0)
	dayTags(toPrinter...)
	counts("a printer that refuses", 0)
	clear(a.written)
	dayTags(toFile...)
	counts("in a file", 1)
	changes := p.app.env.Record.Changes
	dayTags(toPrinter...)
	counts("on the printer", 2)
	if p.app.env.Record.Changes == changes {
		t.Error("what the fleece list says of its tags is not read anew")
	}
	a.refuse = errors.New("the disk is full")
	p.press("esc", "esc", "f", "enter", "s", "down", "enter")
	p.press(toPrinter...)
	counts("a fleece's", 3)
	p.says("sent to the printer, but the disk is full")
}

// TestPlainReview: without a screen the look back tells what to change itself, and names no key.
func TestPlainReview(t *testing.T) {
	p := newPerson(t, true, withPoorDays(false))
	last := must.Get(p.journal.Day(3)).In(t)
	review := func(wide int) []string {
		return past.PlainReview(3, last, past.AdviceOf(p.journal, p.ledger, last), measure.Metric, time.UTC, p.clock.At, wide)
	}
	for _, wide := range []int{60, 80, 132} {
		for _, l := range review(wide) {
			if lipgloss.Width(l) > wide {
				t.Errorf("wider than %d: %q", wide, l)
			}
		}
	}
	text := strings.Join(review(100), "\n")
	if !strings.Contains(text, "Worth changing: Time you need to reach a tub: 10 min, not 5 min. You came late to") || strings.Contains(text, "t shows") || strings.Contains(text, "w weighs") {
		t.Error(text)
	}
}

// A path that can't be written stays in its form, to be put right there; ~ is home.
func TestPathThatFailsStaysToBePutRight(t *testing.T) {
	p := newPerson(t, true, withRecord, withAlong)
	a := p.app.env.Along.(*fakeAlong)
	p.press("d", "enter", "s", "enter")
	p.types("/nowhere/day.html")
	p.press("enter")
	p.sees("there is no folder nowhere", "/nowhere/day.html")
	p.types("~/day.html")
	p.press("enter")
	if p.settled(); a.written["/home/invented/day.html"] == "" {
		t.Errorf("written %v:\n%s", a.written, p.view())
	}
}
