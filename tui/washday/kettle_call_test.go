package washday

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// Wet fleece that has hung too long for want of its kettle is not asked to be filled for
// now: the water is not there.
func TestLateFillWaitsForItsKettle(t *testing.T) {
	h := newHand(t, 1, 1)
	for kettle, want := range map[coach.KettleWait]string{
		coach.KettleReady: "now, 6 min late, hanging wet", coach.KettleFirst: "6 min late, hanging wet", coach.KettleBoils: "6 min late, hanging wet",
	} {
		a := coach.NextAct{Prompt: coach.Prompt{Act: shed.FillTub, Kettle: kettle, Count: coach.Count{Of: coach.SinceWet, At: h.s.e.Now.Add(-6 * time.Minute)}}}
		if got := h.s.whenText(a); got != want {
			t.Errorf("kettle %d: %q, want %q", kettle, got, want)
		}
	}
}

// The call over a fill that waits for its kettle does not say fill, and kettle only where that goes
// on for this very fill: now, or in so long.
func TestCallOfAFillThatWaits(t *testing.T) {
	h := newHand(t, 1, 1)
	for kettle, want := range map[coach.KettleWait]string{coach.KettleReady: "fill", coach.KettleFirst: "kettle", coach.KettleBoils: "wait"} {
		h.s.prompts = []coach.Prompt{{Act: shed.FillTub, Kettle: kettle}}
		h.s.next, h.s.focus, h.s.chosen = []coach.NextAct{{Prompt: coach.Prompt{Rank: coach.Now}, Boil: true}}, 0, 0
		if c, ok := h.s.called(); !ok || c.deed != want || c.name != "North" || (c.figure == "now") == (want == "wait") {
			t.Errorf("kettle %d: %+v", kettle, c)
		}
	}
}

// A tub chosen by hand whose kettle is not the next waits, whatever the kettle goes on for before; in
// the text is the same tub's.
func TestCallOfAnotherTubsKettle(t *testing.T) {
	h := washHand(t, 2, 120, 40, func(*shed.Plan) {})
	h.press("1")
	if c, ok := h.s.called(); !ok || c.name != "North" || c.deed != "kettle" || c.figure != "now" {
		t.Errorf("%+v", c)
	}
	h.press("2")
	if c, ok := h.s.called(); !ok || c.name != "South" || c.deed != "kettle" || c.unit != "min to go" || strings.Trim(c.figure, "0:") == "" {
		t.Errorf("%+v\n%s", c, h.view())
	}
	h.sees("first boil 1 kettle + 1.5 L for North's first hot wash, now")
	h.s.next = slices.DeleteFunc(slices.Clone(h.s.next), func(a coach.NextAct) bool { return a.Boil && a.Tub == 1 })
	if c, _ := h.s.called(); c.deed != "wait" || c.figure != "" {
		t.Errorf("nobody knows when: %+v", c)
	}
}

// A wash that would begin under the coolest start of its step is asked about, with what would do: as
// it is, and from the tap alone instead of with its kettle.
func TestCoolStartIsAskedAbout(t *testing.T) {
	h := washHand(t, 1, 120, 40, func(p *shed.Plan) { p.Kit.Kettle, p.Kit.HotTapC, p.Kit.Units = shed.Kettle{}, 60.5, measure.US })
	h.press("1", "enter")
	h.sees("North would begin at 138 °F, under the coolest start of 140 °F: use a kettle. Enter again to go ahead")
	if h.phase(0) != shed.ToFill.String() {
		t.Fatalf("filled: %s", h.phase(0))
	}
	if h.press("enter"); h.phase(0) == shed.ToFill.String() {
		t.Errorf("not filled:\n%s", h.view())
	}
	h = washHand(t, 1, 120, 40, func(*shed.Plan) {})
	h.press("1", "enter")
	h.sees(". if filled from the tap alone, to begin at 50 °C, ")
}

// Where the kettle is refilled for the very fill that the band is at, that is said once; an idle tub is
// called what its lane calls it.
func TestRefillIsSaidOnce(t *testing.T) {
	h := kettleHand(t, 120, 40)
	for h.phase(0) != "fill" {
		h.must(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true})
	}
	h.must(session.TellKettle{Sure: true})
	for range 10 {
		if boil, ok := h.s.boilFirst(); ok && boil.Refill {
			break
		}
		h.wait(60)
	}
	said := ""
	for _, l := range h.s.boilText(h.s.next[0], h.s.prompts[0]) {
		said += l.s + ";"
	}
	if !strings.Contains(said, "BOIL 1.75 L MORE FOR NORTH'S ") || !strings.Contains(said, "; then fill") || strings.Contains(said, " more, then fill") {
		t.Error(said)
	}
	h.sees("Enter boiled, next on")
	h.press("1")
	if h.sees("BOIL 1.75 L MORE, THEN FILL"); strings.Contains(h.view(), "first boil") {
		t.Errorf("said twice:\n%s", h.view())
	}
	for h.day().NextAction(0) != shed.Wait {
		h.must(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true})
	}
	h.s.prompts, h.s.next, h.s.focus, h.s.chosen = []coach.Prompt{{Act: shed.Wait, Rank: coach.Resting}}, nil, 0, 0
	if c, ok := h.s.called(); !ok || c.deed != "empty" {
		t.Errorf("%+v", c)
	}
	if word, _ := h.s.bandWord(h.s.prompts[0]); word != "EMPTY" {
		t.Error(word)
	}
}

// While the one kettle is on for a tub no other's boil is told to come first; the state under the
// kettle's band says whose it is, and a bath that is to be refilled has its key in the foot.
func TestOneKettle(t *testing.T) {
	hot := func() *hand {
		return washHand(t, 2, 120, 40, func(*shed.Plan) {})
	}
	h := hot()
	h.press("1", "o")
	for range 12 {
		h.wait(60)
		for _, k := range []string{"1", "2"} {
			if h.press(k); strings.Contains(h.view(), "first boil") && !strings.Contains(h.view(), " for North's first hot wash, ") {
				t.Fatalf("North's kettle is on:\n%s", h.view())
			}
		}
	}
	h = hot()
	h.press("1", ".", ".") // from the tap alone: too cool to begin
	h.sees("the bath is only about 50 °C, and one kettle")
	if h.s.SetSize(80, 24); !slices.ContainsFunc(h.s.foot(), func(it base.FootItem) bool { return it.Key == "b" }) {
		t.Errorf("no key for it in the foot:\n%s", h.view())
	}
	h = kettleHand(t, 120, 40)
	for _, ok := h.s.boilFirst(); !ok; _, ok = h.s.boilFirst() {
		h.wait(60)
	}
	if lines, _, _ := h.s.bandText(); !strings.HasPrefix(lines[len(lines)-1].s, " at North: about ") {
		t.Errorf("the last line names no tub: %q", lines[len(lines)-1].s)
	}
}

// A boil that waits for another's water to be poured says so, where nothing is on.
func TestBoilBehindBoiledWater(t *testing.T) {
	h := newHand(t, 1, 1)
	behind := coach.NextAct{Prompt: coach.Prompt{Act: shed.Wait, Rank: coach.Coming}, Boil: true, Behind: true}
	for said, k := range map[string]session.KettleRun{"once the kettle is free": {OnAt: h.s.e.Now}, "once the kettle is poured": {OnAt: h.s.e.Now, BoiledAt: h.s.e.Now}} {
		h.s.e.Live.Day.Kettle = k
		if got := h.s.whenText(behind); got != said {
			t.Errorf("%q, want %q", got, said)
		}
	}
}

// TestKettleCallIsListed: however short the list is, a kettle that is to go on, or that should have
// boiled, has its line among those that are shown, with its number, and the rest is counted.
func TestKettleCallIsListed(t *testing.T) {
	h := newHand(t, 5, 0)
	boil := coach.NextAct{Prompt: coach.Prompt{Tub: 4, Title: "boil 3 L for the hot wash", Rank: coach.Now}, Boil: true}
	on := boil
	on.BoilOn, on.Rank, on.DueAt = true, coach.Coming, h.s.e.Now
	acts := h.s.next
	for _, call := range []coach.NextAct{boil, on} {
		for at := range len(acts) + 1 {
			h.s.next = slices.Insert(slices.Clone(acts), at, call)
			for rows := 3; rows < 9; rows++ {
				lines := strings.Split(ansi.Strip(strings.Join(h.s.order(rows), "\n")), "\n")
				shown, more := 0, 0
				_, _ = fmt.Sscanf(lines[0], " in this order, %d more", &more)
				for _, l := range lines[1:] {
					if strings.TrimSpace(l) != "" {
						shown++
					}
				}
				if more > 0 && shown < rows-1 {
					t.Errorf("%d rows of %d tell nothing:\n%s", rows-1-shown, rows, strings.Join(lines, "\n"))
				}
				if text := strings.Join(lines, "\n"); !strings.Contains(text, fmt.Sprintf(" %d  ", at+1)) || !strings.Contains(text, call.Title) || shown+more != len(h.s.next) || len(lines) > rows || len(lines) < min(rows, len(h.s.next)+1) {
					t.Errorf("at %d of %d in %d rows: %d shown, %d more:\n%s", at+1, len(h.s.next), rows, shown, more, text)
				}
			}
		}
	}
}

// TestBoiledWaterIsForNow: the words hurry who has boiled water standing, and nobody else.
func TestBoiledWaterIsForNow(t *testing.T) {
	h := newHand(t, 1, 0)
	for _, in := range []time.Duration{0, 10 * time.Minute} {
		a := coach.NextAct{Prompt: coach.Prompt{Act: shed.FillTub, Rank: coach.Now, Limit: coach.HangsWet}}
		if in > 0 {
			a.MustBy = h.s.e.Now.Add(in)
		}
		can := h.s.soonOf(a).lead
		if a.Pours = true; h.s.soonOf(a).lead != "now" || can != whenYouCan {
			t.Errorf("within %v: %q, boiled %q", in, can, h.s.soonOf(a).lead)
		}
	}
}
