//go:build unix

package main

import (
	"math"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// worksUntil works at the tubs by the screen alone, as a person would: Enter on
// whatever it asks for, nothing while it says NEXT. It stops when the screen
// shows a text, and gives up after a while.
func (w *window) worksUntil(text string, within time.Duration) {
	w.t.Helper()
	w.worksTill(text, within, func(s string) bool { return strings.Contains(s, text) })
}

// readsFor: who is asked reads the question before they press again; sooner is a press that bounced.
const readsFor = 800 * time.Millisecond

func (w *window) worksTill(what string, within time.Duration, come func(string) bool) {
	w.t.Helper()
	for deadline := time.Now().Add(within); time.Now().Before(deadline); {
		s := w.text()
		if come(s) {
			return
		}
		wait := true
		for _, word := range []string{" NOW  ", " LATE  ", " HURRY  ", " ALARM "} {
			wait = wait && !strings.Contains(s, word)
		}
		switch {
		case !wait && strings.Contains(s, "o kettle on") && (strings.Contains(s, "KETTLE FIRST") || strings.Contains(s, " BOIL ")):
			w.press("o")
		case strings.Contains(s, "o boiled, next on") && strings.Contains(s, "refill the kettle"):
			w.press("o")
		case !wait && strings.Contains(s, " ALARM ") && strings.Contains(s, "KETTLE"): // it is heard; meanwhile the list leads
			w.press(" ")
		case !wait:
			if strings.Contains(s, "Enter again") {
				time.Sleep(readsFor)
			}
			w.press("enter")
		}
		time.Sleep(120 * time.Millisecond) // seven seconds of the day
	}
	w.t.Fatalf("the screen did not come to %q within %v:\n%s", what, within, w.text())
}

// TestWholeDayWithThreeTubs is an invented day in a real terminal: three tubs
// by keys, a reading, a top-up, a power cut in the middle, weights; then the
// saved record is held against what was done. The clock runs sixty times
// as fast; the power cut takes its time from the same clock.
func TestWholeDayWithThreeTubs(t *testing.T) {
	if !long.Run() {
		t.Skip("takes five minutes of real time; TestDayThroughPowerCut and TestBatchFromRackToBag are its parts")
	}
	t.Parallel()
	dir, path := t.TempDir(), program(t)
	s := must.Get(store.Open(dir + "/" + fileName)).In(t)
	kit := shed.DefaultKit()
	must.Do(t, s.SaveKit(kit))
	for _, f := range []shed.Fleece{
		{Animal: "Bramble", Farm: "Nowhere Fold", Year: 2026, RawG: 2500, Wax: shed.High},
		{Animal: "Pip", Farm: "Nowhere Fold", Year: 2026, RawG: 1800, Type: shed.Longwool, Wax: shed.Low},
	} {
		must.Get(s.SaveFleece(f)).In(t)
	}
	must.Do(t, s.Close())

	args := []string{"--new", "--data", dir, "--clock-pace", "60", "--clock-from", time.Now().UTC().Format(time.RFC3339)}
	w := open(t, nil, path, args...)
	w.see("Plan a wash day")
	w.press("p")
	w.see("No batch yet")
	w.addBatches("Bramble", "400", false)
	w.see("A2")
	w.addBatches("Pip", "115", true)
	w.see("B1")
	w.press("s")
	w.worksUntil("FILL FOR THE FIRST HOT WASH", 60*time.Second)
	// The lane tells of it, with minutes in large figures: the list is short where others are due.
	soaks := regexp.MustCompile(`1 North [^\n]*\n +(?:first )?(?:hot )?wash +2/7[^\n]*\n[^\n│]* °C, lid[ ▀▄█]*[▀▄█]`)
	w.worksTill("North in its first wash", 60*time.Second, soaks.MatchString)

	// A reading and a top-up at the first tub, then the plug is pulled.
	w.press("1")
	w.until("show North soaking in its wash", func(s string) bool {
		return strings.Contains(s, "1 North   A1 Bramble, loose, first hot wash") && strings.Contains(s, "LIFT AND DRAIN")
	})
	w.press("r")
	w.see("WHAT DOES THE THERMOMETER SAY?")
	w.write("63")
	w.press("enter")
	w.see("63 °C")
	w.press("t")
	w.see("HOW MUCH WATER WENT IN?")
	w.press("enter", "enter")
	w.see("poured in")
	w.press("esc")
	w.see("saved")
	time.Sleep(200 * time.Millisecond)
	w.signal(syscall.SIGKILL)
	w.end()
	before, _ := kept(t, dir)
	time.Sleep(1700 * time.Millisecond) // a hundred seconds of the day, nobody watching

	w = open(t, nil, path, args...)
	w.see("still open")
	w.press("enter")
	w.worksUntil("FINISH THE DAY", 9*time.Minute)
	time.Sleep(1200 * time.Millisecond) // Enter waits a moment after the band has changed
	w.press("enter")
	w.see("Enter again to finish the day")
	w.press("enter")
	w.see("Looking back")
	w.press("ctrl+c")
	w.end()

	d := lastDay(t, dir)
	if d.Running() || d.EndEarly || !d.AllRacked() {
		t.Fatalf("the record is not a finished day: ended %v, early %v", d.EndedAt, d.EndEarly)
	}
	// Two batches with much wax: presoak, two washes, two rinses; the locks:
	// presoak, one wash, two rinses.
	if got := len(d.Baths); got != 2*5+4 {
		t.Errorf("%d baths on record, want 14", got)
	}
	if len(d.Resumed) != 1 || d.Resumed[0] < 80*time.Second || d.Resumed[0] > 10*time.Minute {
		t.Errorf("gaps in the watch: %v, want one of about two minutes", d.Resumed)
	}
	readings, topUps := 0, 0
	for _, b := range d.Baths {
		soaked := b.LiftedAt.Sub(b.SunkAt).Minutes()
		// A bath may lie until its longest soak, a presoak until the kettle has boiled for the
		// baths before it, an hour of the day; and three seconds of real time for a slow machine.
		most := b.Step.LongestMin + 5
		if b.Step.Kind == shed.Presoak {
			most = b.PlanMin + 75
		}
		if soaked < b.PlanMin-0.5 || soaked > most {
			t.Errorf("%s in the %s soaked %.1f min, planned %.1f", b.Batch, b.Step.Name, soaked, b.PlanMin)
		}
		if b.Step.Kind == shed.Wash && !(b.SinkC > 60 && b.SinkC < 68 && b.LiftC > 49 && b.LiftC < b.SinkC+4) {
			t.Errorf("%s in the %s: %.1f °C at sink-in, %.1f at lift", b.Batch, b.Step.Name, b.SinkC, b.LiftC)
		}
		for _, r := range b.Readings {
			readings++
			if r.TempC != 63 || math.Abs(r.ForecastC-63) > 8 {
				t.Errorf("reading %+v", r)
			}
		}
		for _, c := range b.Changes {
			if c.AddL > 0 {
				topUps++
				if c.AddL != 0.5 || c.AddC != 97 {
					t.Errorf("top-up %+v", c)
				}
			}
		}
	}
	if readings != 1 || topUps != 1 {
		t.Errorf("%d readings and %d top-ups on record, want one each", readings, topUps)
	}
	// What was kept before the cut is the beginning of what is kept now.
	if before.StartedAt != d.StartedAt || before.LastSeq >= d.LastSeq {
		t.Errorf("the day begins at %v with %d events; before the cut %v with %d", d.StartedAt, d.LastSeq, before.StartedAt, before.LastSeq)
	}
	for _, a := range ledger.ReviewOf(d).Alarms {
		if !a.Answered && a.Priority > session.LowPriority { // the kettle is put on without a key
			t.Errorf("an alarm nobody answered: %+v", a)
		}
	}
}

// addBatches fills in the form for batches of a fleece in the ledger.
func (w *window) addBatches(animal, grams string, locks bool) {
	w.t.Helper()
	w.press("a")
	w.see("Which fleece")
	for range 5 {
		if strings.Contains(w.text(), "> "+animal) {
			break
		}
		w.press("down")
		time.Sleep(50 * time.Millisecond)
	}
	w.see("> " + animal)
	w.press("enter")
	w.see("How much of it")
	if locks {
		w.press("right")
		w.see("locks, in layers")
	}
	w.press("tab", "tab")
	w.write(grams)
	w.press("ctrl+s")
}

// lastDay is the newest day in a folder, running or not.
func lastDay(t *testing.T, dir string) session.Day {
	t.Helper()
	s := must.Get(store.Open(dir + "/" + fileName)).In(t)
	defer func() { _ = s.Close() }()
	days, err := s.Days(1)
	if err != nil || len(days) != 1 {
		t.Fatalf("days: %v %v", days, err)
	}
	recs := must.Get(s.Events(days[0].ID)).In(t)
	return session.Replay(recs)
}
