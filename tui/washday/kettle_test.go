package washday

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// kettleHand is a day of one tub, in its presoak, whose hot wash wants the kettle.
func kettleHand(t *testing.T, w, height int) *hand {
	t.Helper()
	p := tuitest.StoryPlan(1)
	p.Batches, p.Kit.Kettle.CapacityL = p.Batches[:1], 1.9 // two boils
	s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
	s.SetSize(w, height)
	h := &hand{t, s}
	h.press("enter", "enter")
	return h
}

// TestDayKettleByOneKey: o says that the kettle is on, and the same key later that
// it has boiled; the foot shows it only while there is something to tell.
func TestDayKettleByOneKey(t *testing.T) {
	for _, size := range [][2]int{{120, 40}, {80, 24}} {
		h := kettleHand(t, size[0], size[1])
		h.wait(17 * 60)
		h.s.e.Say = ""
		h.sees("Enter kettle on")
		h.sees("NOW  the kettle")
		if strings.Contains(h.view(), "put the kettle on") {
			t.Errorf("the band says it, and the alarm beside it:\n%s", h.view())
		}
		h.press("o")
		h.sees("kettle on: ")
		h.sees("o boiled, next on")
		if strings.Contains(h.view(), "put the kettle on") {
			t.Errorf("it still asks:\n%s", h.view())
		}
		h.press("o") // far too soon: asked about, not written down
		h.sees("boiled already? Press o again")
		if !h.day().Kettle.BoiledAt.IsZero() {
			t.Fatal("a second press wrote a boil down")
		}
		h.wait(4 * 60)
		h.sees("NOW  the kettle")
		h.press("o")
		h.sees("keep it hot in a lidded pail: the next kettle is on")
		h.sees("o boiled ")
		h.wait(4 * 60)
		h.press("o")
		h.sees("the kettle has boiled")
		if h.day().Kettle.BoiledAt.IsZero() || strings.Contains(h.view(), "o boiled") {
			t.Errorf("not boiled:\n%s", h.view())
		}
		h.press("u")
		h.sees("undone: kettle boiled")
	}
	h := kettleHand(t, 120, 40)
	d := h.day()
	d.Plan.Kit.Kettle = shed.Kettle{}
	tuitest.Keeps(h.s.e, d, nil)
	h.wait(1)
	if strings.Contains(h.view(), "kettle on") {
		t.Errorf("no kettle, and a key for it:\n%s", h.view())
	}
	h.press("o")
	h.sees("no bath ahead needs the kettle")
}

// With every tub at its last baths and a batch that waits with hot washes ahead the key says
// when the kettle comes, not that nothing wants it.
func TestKettleThatComesLaterIsSaid(t *testing.T) {
	p := tuitest.StoryPlan(1)
	s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
	s.SetSize(80, 24)
	h := &hand{t, s}
	for h.phase(0) != shed.ToSpin.String() {
		h.wait(5)
		if err := s.e.Live.Do(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true}, s.e.Now); err != nil {
			t.Fatal(err)
		}
	}
	h.wait(5)
	h.press("o")
	h.sees("no bath needs the kettle yet: " + h.day().Waiting()[0].ID + "'s ")
}

// TestAnswerText: what was heard and what was done, each with its time.
func TestAnswerText(t *testing.T) {
	for want, a := range map[string]ledger.AlarmReview{
		"heard after 3 min, lifted after 16 min":         {Answered: true, Heard: true, HeardS: 180, Done: true, DoneS: 960, Alarm: session.Alarm{DoneBy: "lifted"}},
		"kettle put on after 40 s":                       {Answered: true, Done: true, DoneS: 40, Alarm: session.Alarm{DoneBy: "kettle put on"}},
		"heard after 3 min, nothing done, stood for 1 h": {Answered: true, Heard: true, HeardS: 180, StoodS: 3600},
		"not answered, stood for 12 min":                 {StoodS: 720},
		"a worse alarm came after 5 min":                 {StoodS: 300, Alarm: session.Alarm{Outdone: true}},
	} {
		if got := lookback.AnswerText(a); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestAlarmTextWithoutAStep: an alarm of the whole day has no empty brackets. That the clock was set
// is told, but not counted among the alarms that somebody had to come for.
func TestAlarmTextWithoutAStep(t *testing.T) {
	d := tuitest.StartStory(t, tuitest.StoryPlan(1))
	now := tuitest.StoryStart.Add(time.Minute)
	for _, c := range []session.Command{session.SetClock{By: 5 * time.Second}, session.EndDay{Anyway: true}} {
		var err error
		if d, _, err = session.Do(d, c, now); err != nil {
			t.Fatal(err)
		}
		d, _ = session.Tick(d, now)
	}
	r := ledger.ReviewOf(d)
	if len(r.Alarms) != 0 || len(r.Clocks) != 1 || ledger.Summarise(1, d).Alarms != 0 {
		t.Fatalf("alarms %+v, clocks %+v", r.Alarms, r.Clocks)
	}
	said := fmt.Sprint(lookback.Words{Zone: time.UTC}.Summary(r))
	if !strings.Contains(said, "[alarms none] [clock set at 09:01]") {
		t.Errorf("%s", said)
	}
	a := ledger.AlarmReview{Alarm: r.Clocks[0], TubName: d.TubName(-1), StoodS: 0}
	if got, want := lookback.AlarmText(a), "the day: clock changed; not answered, stood for 0 s"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	a.TubName, a.Step = "North", "hot wash"
	if got, want := lookback.AlarmText(a), "North: clock changed (hot wash); "; !strings.HasPrefix(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestDayKettleForTheTubInHand: of two tubs that want the kettle o speaks of the one
// that was chosen, and says where the water goes, never only that it is next.
func TestDayKettleForTheTubInHand(t *testing.T) {
	for _, chosen := range []string{"1", "2"} {
		p := tuitest.StoryPlan(2)
		p.Kit.Kettle.CapacityL = 1.9 // two boils
		s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
		s.SetSize(80, 24)
		h := &hand{t, s}
		for range 4 { // both in their presoak
			h.press("enter")
			h.wait(5)
		}
		name := h.day().Plan.Kit.Tubs[chosen[0]-'1'].Name
		h.press(chosen, "o")
		h.sees("for " + name + "'s ")
		h.wait(12 * 60)
		h.press("o") // however late, it is the first of two
		h.sees("kettle on again: ")
		h.wait(60)
		h.press("o")
		h.sees("keep it hot in a lidded pail: the next kettle is on")
		h.wait(5 * 60)
		h.press("o")
		h.sees("the kettle has boiled: keep it for " + name + "'s ")
		h.press("o")
		h.sees("the kettle has boiled: keep it for " + name + "'s ")
	}
}

// TestCapitals: a millilitre in capitals would be something else.
func TestCapitals(t *testing.T) {
	if got, want := capitals("boil 750 mL for North's hot wash"), "BOIL 750 mL FOR NORTH'S HOT WASH"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestEnterIsTheKettleWhereTheBandSaysSo: where the band names the kettle first Enter
// tells of it, for the tub that is named; a tub chosen by hand has its own deed.
func TestEnterIsTheKettleWhereTheBandSaysSo(t *testing.T) {
	h := kettleHand(t, 80, 24)
	for i := 0; i < 40; i++ {
		if boil, ok := h.s.boilFirst(); ok && boil.Rank == coach.Now {
			break
		}
		h.wait(60)
	}
	h.sees("the kettle")
	h.sees("Enter kettle on")
	h.sees("dry hands at plug and kettle")
	seq, phase := h.day().LastSeq, h.phase(0)
	h.press("1", "enter")
	if h.day().Kettle.OnAt.IsZero() == false {
		t.Fatal("the chosen tub's Enter put the kettle on")
	}
	h.wait(10)
	h.press("esc", "enter")
	if h.day().Kettle.OnAt.IsZero() || h.phase(0) != phase {
		t.Fatalf("kettle %+v, phase %s (was %s), %d events more", h.day().Kettle, h.phase(0), phase, h.day().LastSeq-seq)
	}
}

// TestEnterTooManyIsNotTheKettle: a second Enter for a deed or an answer after which the band
// has gone to the kettle tells nothing of it until it has asked.
func TestEnterTooManyIsNotTheKettle(t *testing.T) {
	due := func(h *hand) {
		for i := 0; i < 40; i++ {
			if boil, ok := h.s.boilFirst(); ok && boil.Rank == coach.Now {
				break
			}
			h.wait(60)
		}
	}
	for what, last := range map[string]func(*Screen) *time.Time{"deed": func(s *Screen) *time.Time { return &s.acting }, "answer": func(s *Screen) *time.Time { return &s.answered }} {
		h := kettleHand(t, 80, 24)
		due(h)
		*last(h.s) = h.s.e.Now
		h.wait(1)
		h.press("enter")
		h.sees("If it's on, press Enter again")
		if !h.day().Kettle.OnAt.IsZero() {
			t.Fatalf("%s: nobody put the kettle on", what)
		}
		h.wait(1)
		h.press("enter")
		if h.day().Kettle.OnAt.IsZero() {
			t.Fatalf("%s: asked and answered, it is on", what)
		}
		h = kettleHand(t, 80, 24)
		*last(h.s) = h.s.e.Now
		due(h)
		if h.press("enter"); h.day().Kettle.OnAt.IsZero() {
			t.Fatalf("long after the last %s it asks", what)
		}
	}
}

// TestFilledWithoutItsKettle: a bath that was filled without the kettle water it was to
// have is not taken for as warm as with it.
func TestFilledWithoutItsKettle(t *testing.T) {
	fill := func(keys ...string) float64 {
		p := tuitest.StoryPlan(1)
		p.Batches = p.Batches[:1]
		p.Batches[0].Presoak = shed.PresoakNone
		s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
		s.SetSize(80, 24)
		h := &hand{t, s}
		h.press(append([]string{"1"}, keys...)...)
		if h.phase(0) != "sink in" {
			t.Fatalf("%v: phase %s\n%s", keys, h.phase(0), h.view())
		}
		return h.day().Tubs[0].Bath.FillC
	}
	with, without := fill("enter", "enter"), fill(".", ".")
	if !(with > without+5) || without > 51.5 {
		t.Errorf("with the kettle %.1f °C, from a tap of 51 °C alone %.1f °C", with, without)
	}
}

// TestPointAnswersItsQuestion: "press . again" is answered by a second full stop at any
// speed but that of a bounce, and so is the full stop that Enter's question offers.
func TestPointAnswersItsQuestion(t *testing.T) {
	waiting := func() *hand {
		h := washHand(t, 2, 80, 24, func(*shed.Plan) {})
		h.press("1")
		return h
	}
	point := func(h *hand, after time.Duration) {
		h.s.e.Now = h.s.e.Now.Add(after)
		h.s.Update(tuitest.KeyOf("."))
	}
	for _, row := range []struct {
		first string
		after time.Duration
		fills bool
	}{{".", 700 * time.Millisecond, true}, {".", 20 * time.Millisecond, false}, {"enter", 700 * time.Millisecond, true}, {"enter", 20 * time.Millisecond, false}} {
		h := waiting()
		h.press(row.first)
		point(h, row.after)
		if filled := h.phase(0) == shed.ToSink.String(); filled != row.fills {
			t.Errorf("%s and . after %v: %s, %q", row.first, row.after, h.phase(0), h.s.e.Say)
		}
	}
}

// A key for the kettle that comes right behind another deed, or that bounced, says that it
// did nothing.
func TestKettleKeyTooSoonSays(t *testing.T) {
	h := kettleHand(t, 80, 24)
	for range 40 {
		if _, due := h.s.kettleKey(); due && h.day().Kettle.OnAt.IsZero() {
			break
		}
		h.wait(60)
	}
	h.s.acting = h.s.e.Now
	h.write("o")
	if !strings.Contains(h.s.e.Say, "too soon") {
		t.Errorf("it says %q", h.s.e.Say)
	}
	h.wait(2)
	h.write("o")
	said := h.s.e.Say
	if strings.Contains(said, "too soon") {
		t.Errorf("it says %q", said)
	}
	h.s.e.Say = "" // as each key has it
	if h.write("o"); h.s.e.Say != errTwice.Error()+": "+said {
		t.Errorf("a bounce says %q", h.s.e.Say)
	}
}

// A kettle that has stood is told to boil again by the key that the foot names, and its line
// goes.
func TestKettleThatStoodHasAKey(t *testing.T) {
	h := boiledHand(t, 15) // not so long that the pail is to boil again too
	asks := "boil the kettle again"
	keys := map[int]string{120: "o kettle on again", 80: "o kettle on again", 40: "o again"}
	sizes := [][2]int{{40, 12}, {80, 24}, {120, 40}}
	for _, size := range sizes {
		h.s.SetSize(size[0], size[1])
		h.sees(asks)
		h.sees(keys[size[0]])
	}
	h.press("o", "1")
	for _, size := range sizes {
		h.s.SetSize(size[0], size[1])
		if strings.Contains(h.view(), asks) {
			t.Errorf("it still asks:\n%s", h.view())
		}
	}
}

// boiledHand has a tub to fill whose two kettles boiled, and the last has stood for so many minutes.
func boiledHand(t *testing.T, stoodMin int) *hand {
	t.Helper()
	h := kettleHand(t, 120, 40)
	h.wait(17 * 60)
	h.press("o")
	h.wait(5 * 60)
	h.press("o")
	h.wait(5 * 60)
	h.press("o", "1")
	for h.phase(0) != shed.ToFill.String() {
		if err := h.s.e.Live.Do(session.DoNext{Act: h.day().NextAction(0), Sooner: true}, h.s.e.Now); err != nil {
			t.Fatal(err)
		}
	}
	h.wait(stoodMin * 60)
	h.press("1")
	return h
}

// TestCooledWaterIsNotPoured: what boiled and stood is to boil again. Until somebody tells of that
// Enter asks, and one mix is shown, that of water that boils.
func TestCooledWaterIsNotPoured(t *testing.T) {
	h := boiledHand(t, 45)
	for _, size := range [][2]int{{40, 12}, {80, 24}, {120, 40}} {
		h.s.SetSize(size[0], size[1])
		h.sees("boil all of it again")
	}
	h.sees("BOIL AGAIN, THEN FILL")
	h.sees("o kettle on again")
	if strings.Contains(h.view(), " too cool)") {
		t.Errorf("a mix of cooled water:\n%s", h.view())
	}
	h.press("enter")
	h.sees("boiled water has cooled. Enter again if its water is in")
	if h.phase(0) != shed.ToFill.String() {
		t.Fatalf("filled with it: %s", h.phase(0))
	}
	h.press("esc", "o", "1")
	if strings.Contains(h.view(), "again, the pail") {
		t.Errorf("it still asks:\n%s", h.view())
	}
	h.sees("FILL WHEN THE KETTLE BOILS AT ")
	for range 2 { // both kettles
		h.wait(3 * 60)
		h.press("o")
	}
	h.press("1")
	h.press("enter")
	if h.phase(0) == shed.ToFill.String() {
		t.Errorf("not filled:\n%s", h.view())
	}
}

// TestKettleForAChosenTubIsAskedAbout: while another tub's boil comes first, the kettle's
// key says for which tub it would go on, and is pressed twice for it.
func TestKettleForAChosenTubIsAskedAbout(t *testing.T) {
	presoaking := func() *hand {
		s := storyScreen(tuitest.StartStory(t, tuitest.StoryPlan(2)), tuitest.StoryStart, theme.Options{NoColor: true})
		s.SetSize(120, 40)
		h := &hand{t, s}
		for range 4 {
			h.press("enter")
			h.wait(5)
		}
		h.wait(12 * 60) // the first tub's kettle is due
		return h
	}
	h := presoaking()
	h.press("2")
	if boil, other := h.s.otherBoil(h.s.kettle); !other || boil.Tub != 0 || h.s.kettle.c.Tub != 1 {
		t.Fatalf("%+v, %v, told of %+v\n%s", boil.Tub, other, h.s.kettle, h.view())
	}
	h.sees("o kettle on for South")
	h.press("o")
	h.sees("North's first hot wash comes first. Press o again if it's on for South")
	if k := h.day().Kettle; !k.OnAt.IsZero() {
		t.Fatalf("on at the first press: %+v", k)
	}
	h.press("o")
	if k := h.day().Kettle; k.OnAt.IsZero() || k.Tub != 1 {
		t.Errorf("after the second press: %+v", k)
	}
	h = presoaking()
	h.press("o")
	if k := h.day().Kettle; k.OnAt.IsZero() || k.Tub != 0 {
		t.Errorf("the first of the list is asked about: %+v", k)
	}
}
