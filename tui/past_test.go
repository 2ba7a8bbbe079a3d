package tui

import (
	"errors"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/past"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

func TestPastDaysReviewAndWeigh(t *testing.T) {
	p := newPerson(t, true, withPastDay(3))
	p.says("Last day: Sat 14 Mar 2026")
	p.press("d")
	p.sees("Sat 14 Mar 2026", "4 of 4")
	p.everySize()
	p.wait(8 * 24 * time.Hour) // known to be dry
	p.press("enter")
	p.resize(80, 200)
	p.sees("nothing weighed yet", "4 of 4 on the rack", "first hot wash", "not weighed", "~65 °C", "second rinse still a little grey")
	p.resize(80, 24)
	p.everySize()
	p.press("w", "enter", "3", "0", "0", "enter")
	p.says("more than the 225 g it weighed raw")
	p.types("130 g")
	p.everySize()
	p.press("ctrl+s")
	p.says("A1: 130 g dry of 225 g raw, yield 58 %")
	p.press("enter", "4", "oz", "ctrl+s") // and the next at once
	p.press("esc", "home")
	p.resize(80, 200)
	p.sees("2 batches of 4 weighed")
	p.resize(80, 24)
	p.press("esc", "?", "esc")
	p.settled()
	p.press("home")
	p.sees("54 %")
	recs := must.Get(p.journal.Events(1)).In(t)
	r := ledger.ReviewOf(session.Replay(recs))
	if r.DryG < 243 || r.DryG > 244 || r.RawG != 450 {
		t.Errorf("kept %v g dry of %v g raw", r.DryG, r.RawG)
	}
	p.press("enter", "w", "end", "enter", "1", "2", "8", "ctrl+s")
	p.says("was weighed dry already")
	p.press("shift+tab", "shift+tab")
	p.types("129")
	p.press("ctrl+s")
	p.says("was weighed dry already") // another figure is another question
	p.press("ctrl+s", "esc")          // a slip is corrected
	p.settled()
	recs, _ = p.journal.Events(1)
	if d := session.Replay(recs); d.Fate["A2"].DryG+d.Fate["A1"].DryG > 260 {
		t.Errorf("fates %+v", d.Fate)
	}
}

// TestPastDayOverMidnight: a day that began on another date says on which, is found by either, and
// its fleece has the date that its tags have.
func TestPastDayOverMidnight(t *testing.T) {
	late := func(_ *person, d *base.Deps) { d.Local = time.FixedZone("", 14*3600) }
	p := newPerson(t, true, late, withFleeces, withPastDay(1))
	p.press("d")
	p.resize(120, 24)
	p.sees("Sun 15 Mar 2026", "Sat 23:00")
	p.press("/")
	p.types("14 Mar")
	p.sees("Sun 15 Mar 2026")
	p.press("esc", "enter")
	p.settled()
	p.resize(120, 200)
	p.sees("on the rack Sun 0")
	for _, after := range []string{`second rinse still a little grey`} {
		if !regexp.MustCompile(`(?m)^ +Sun 0\d:\d\d  .*` + after).MatchString(p.view()) {
			t.Errorf("%s without its day:\n%s", after, p.view())
		}
	}
	p.press("esc", "esc", "f")
	p.settled()
	p.sees("15 Mar 2026")
	p.seesNot("14 Mar 2026")
	p.press("down", "enter")
	p.settled()
	p.sees("15 Mar 2026")
	p.seesNot("14 Mar 2026")
}

// TestWhatGaveWayNamesItsRow: below a list stands of the chosen fleece what has no room in its row.
func TestWhatGaveWayNamesItsRow(t *testing.T) {
	p := newPerson(t, true, withFleeces, withPastDay(1))
	p.press("f", "end", "up", "down")
	p.settled()
	p.resize(80, 24)
	p.sees("Old Grey: ", "last washed 14 Mar 2026")
	p.press("home")
	p.seesNot("Old Grey: ")
}

// TestReviewOfTheDayJustEnded serves right after the end, before anything was
// Read back.
func TestReviewOfTheDayJustEnded(t *testing.T) {
	p := newPerson(t, true, withOpenDay(1, 100))
	p.press("enter")
	p.app.env.Keeper.Take(p.app.env.Live.ID, p.day().Boiled())
	for range 80 {
		if !p.app.env.Live.Day.Running() {
			break
		}
		p.wait(22 * time.Minute)
		if p.press("enter"); strings.Contains(p.app.env.Say, "Enter again") && !p.app.env.Live.Day.AllRacked() { // the band has changed meanwhile
			p.press("enter")
		}
		if p.app.env.Live.Day.AllRacked() {
			p.press("enter")
		}
	}
	p.sees("Looking back", "of 2 on the rack", "unwatched")
	p.everySize()
	p.press("w", "enter", "1", "2", "0", "enter", "enter", "enter", "down", "enter", "enter", "esc")
	p.resize(80, 200)
	p.sees("120 g dry")
	p.resize(80, 24)
	p.press("esc")
	p.sees("Plan a wash day")
}

func TestReviewSaysErrors(t *testing.T) {
	p := newPerson(t, true, withPastDay(1))
	p.press("d")
	p.journal.Fail(errors.New("page 7 is torn"))
	p.press("enter")
	p.says("couldn't be read: page 7 is torn")
	p.everySize()
	p.press("esc")
	p.journal.Fail(nil)
	p.press("enter")
	p.sees("of 2 on the rack")
}

// TestReviewWaitsForWrites: a past day is not read while something is still to
// be written to it, or its next event would be numbered twice.
func TestReviewWaitsForWrites(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withPastDay(1))
	p.press("d", "enter")
	p.sees("of 2 on the rack")
	p.journal.Fail(errors.New("disk full"))
	p.wait(8 * 24 * time.Hour) // known to be dry
	p.press("w", "enter", "1", "3", "0", "ctrl+s", "esc", "esc")
	p.press("d")
	p.journal.Fail(nil)
	if p.app.env.Saving() == 0 {
		t.Skip("written already")
	}
	p.press("esc", "d", "enter")
	p.settled()
	p.send(base.KeptMsg{})
	p.resize(80, 200)
	p.sees("130 g dry")
}

// TestKitShowsWhatIsKnownOfATub: minutes from 66 to 49 °C with each cover, and
// from how many baths.
func TestKitShowsWhatIsKnownOfATub(t *testing.T) {
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		withPastDay(3)(p, d)
		p.journal.Mu.Lock()
		defer p.journal.Mu.Unlock()
		sum := p.journal.Sums[1]
		sum.Lessons = []shed.BathLesson{{Tub: "t1", Cover: cooling.Lid, LogScale: 0.4, SDLog: 0.2}}
		p.journal.Sums[1] = sum
	})
	p.press("k", "down", "down", "down", "down")
	p.sees("North, 8 L from 66 °C to 49 °C", "lid", "from 1 bath", "an estimate from the tub's size")
	p.everySize()
}

// TestReviewTellsWhatWasDoneToABath: top-ups, covers, holds and long waits are
// part of the record.
func TestReviewTellsWhatWasDoneToABath(t *testing.T) {
	d, now := tuitest.PlayFor(t, tuitest.StartStory(t, tuitest.StoryPlan(1)), tuitest.StoryStart, 30)
	do := func(c session.Command, after time.Duration) {
		t.Helper()
		now = now.Add(after)
		var err error
		if d, _, err = session.Do(d, c, now); err != nil {
			t.Fatal(err)
		}
	}
	do(session.TopUp{Tub: 0, VolumeL: 0.5, TempC: 97}, 0)
	do(session.SetCover{Tub: 0, Cover: cooling.LidAndFilm}, time.Minute)
	do(session.Hold{Tub: 0}, time.Minute)
	do(session.Resume{Tub: 0}, 3*time.Minute)
	do(session.DoNext{Tub: 0, Act: shed.Lift, Sooner: true}, time.Minute)
	do(session.DoNext{Tub: 0, Act: shed.DrainTub}, 20*time.Minute)
	do(session.DoNext{Tub: 0, Act: shed.FillTub}, time.Minute)
	do(session.EndDay{Anyway: true}, time.Minute)
	e := tuitest.StoryEnv(d, now, theme.Options{NoColor: true})
	s := past.NewReview(e, e.Live.ID)
	s.SetSize(120, 400)
	text := s.View()
	for _, want := range []string{"topped up 500 mL at 97 °C", "under film and lid", "on hold 3 min", "the fleece hung 21 min before it"} {
		if !strings.Contains(text, want) {
			t.Errorf("the look back does not say %q:\n%s", want, text)
		}
	}
}

// TestDurationFitsItsEnds: how long the day took is what lies between the two times shown.
func TestDurationFitsItsEnds(t *testing.T) {
	p := newPerson(t, true)
	s := &past.ReviewScreen{Page: base.Page{Frame: base.Frame{E: p.app.env, W: 100}}}
	start := time.Date(2026, 3, 14, 9, 34, 50, 0, time.UTC)
	text := strings.Join(s.Summary(ledger.Review{Day: session.Day{StartedAt: start, EndedAt: start.Add(3*time.Hour + 19*time.Minute + 12*time.Second)}}), "\n")
	if want := "09:34 to 12:54 (3 h 20 min)"; !strings.Contains(text, want) {
		t.Errorf("not %s:\n%s", want, text)
	}
}

// TestShortListDrawsTheChosenDay: under a list that leaves room stands the chosen day, its tubs and its washes;
// in a small window there is the list alone.
func TestShortListDrawsTheChosenDay(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("d")
	p.settled()
	for _, want := range []string{"\n Mon 16 Mar 2026", "\n Sat 14 Mar 2026"} {
		for _, size := range [][2]int{{200, 60}, {80, 24}, {40, 12}} {
			p.app.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
			view := ansi.Strip(p.app.View())
			for _, drawn := range []string{want, "\n North ", "A1's hot wash in North"} {
				if strings.Contains(view, drawn) != (size[1] > 12) {
					t.Errorf("%v: %q\n%s", size, drawn, view)
				}
			}
		}
		p.app.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
		p.press("down")
		p.settled()
	}
}

// TestADayIsNamedByItsWash: one that was put to soak the evening before is of the day of its wash, at home and in the
// list, and is found by both.
func TestADayIsNamedByItsWash(t *testing.T) {
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		withRecord(p, d)
		first, _ := p.journal.Day(1)
		plan := first.Plan
		plan.Batches = []shed.Batch{{FleeceID: "f2", RawG: 100, Presoak: shed.PresoakQuick}}
		x := sessiontest.StartAt(p.t, plan, time.Date(2026, 4, 10, 21, 0, 0, 0, time.UTC)).Until(0, shed.Soaking)
		x.Wait(11 * 60).Rack(1).Do(session.EndDay{})
		x.Keep(p.journal)
		p.clock.At = x.Now.Add(time.Hour)
	})
	p.resize(120, 40)
	p.sees("Last day: Sat 11 Apr 2026")
	p.press("d")
	p.sees("Sat 11 Apr 2026  Fri 21:00")
	p.seesNot("Fri 10 Apr 2026")
	p.press("/")
	p.types("10 apr")
	p.sees("(1 of 3)", "Sat 11 Apr 2026")
	p.press("enter", "x")
	p.says("delete Sat 11 Apr 2026 for good")
}
