package washday

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// Whole invented days, looked at every half minute: the large figure, the list,
// the lanes, the alarm and the big view are held against each other as they
// stand on the screen.

// What counts from when harm began counts up, with a sign, what runs down to it counts down.
func TestFiguresCountTheirWay(t *testing.T) {
	h := newHand(t, 1, 0)
	for of, at := range map[coach.CountOf]time.Duration{coach.SinceBelow: -7, coach.SinceLongest: -7, coach.SinceSoak: -7, coach.SinceWet: -7, coach.ToRelease: 7, coach.ToDue: 7} {
		p := coach.Prompt{Count: coach.Count{Of: of, At: h.s.e.Now.Add(at * time.Minute)}}
		want := "7:00"
		if at < 0 {
			want = "+7:00"
		}
		if got, _ := h.s.figure(p, "to go"); got != want {
			t.Errorf("%v, %v min from now: %q", of, at, got)
		}
	}
}

// pass lets time go by in half minutes and looks at the screen after each.
func (h *hand) pass(minutes int, look func()) {
	for range 2 * minutes {
		h.s.e.Now = h.s.e.Now.Add(30 * time.Second)
		h.s.pass()
		h.s.e.Say = ""
		h.s.Update(base.TickMsg{})
		look()
	}
}

// ifWrong is a text for a failure: a screen is drawn for it only then.
type ifWrong func() string

func (f ifWrong) String() string { return f() }

// must carries a command out.
func (h *hand) must(c session.Command) {
	h.t.Helper()
	if err := h.s.e.Live.Do(c, h.s.e.Now); err != nil {
		h.t.Fatalf("%T: %v", c, err)
	}
	h.s.Update(base.TickMsg{})
}

// usHand is newHand with US units.
func usHand(t *testing.T, tubs int, playMin float64) *hand {
	p := tuitest.StoryPlan(tubs)
	p.Kit.Units, p.Kit.JugL = measure.US, shed.JugFor(measure.US)
	d, now := tuitest.PlayFor(t, tuitest.StartStory(t, p), tuitest.StoryStart, playMin)
	s := storyScreen(d.Boiled(), now, theme.Options{NoColor: true})
	s.SetSize(120, 40)
	return &hand{t, s}
}

// listed are the lines of the list, first things first.
func (h *hand) listed() []string {
	lines := h.s.order(20)[1:]
	var out []string
	for _, l := range lines {
		if l = strings.TrimSpace(ansi.Strip(l)); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// minutesOf reads "9:30", "25" or "1:40" with its unit back as minutes.
func minutesOf(t *testing.T, figures, unit string) float64 {
	t.Helper()
	a, b, has := strings.Cut(figures, ":")
	x, err := strconv.ParseFloat(a, 64)
	if err != nil {
		t.Fatalf("figure %q: %v", figures, err)
	}
	if !has {
		return x
	}
	y, err := strconv.ParseFloat(b, 64)
	if err != nil {
		t.Fatalf("figure %q: %v", figures, err)
	}
	if strings.HasPrefix(unit, "h:min") {
		return 60*x + y
	}
	return x + y/60
}

var inMin = regexp.MustCompile(`  in (under 1 min|(?:(\d+) h ?)?(?:(\d+) min)?)`)

// dueIn is in how many whole minutes a line of the list wants hands; ok is false
// if it says something else.
func dueIn(line string) (float64, bool) {
	m := inMin.FindStringSubmatch(line)
	if m == nil {
		return 0, false
	}
	hours, _ := strconv.Atoi(m[2])
	mins, _ := strconv.Atoi(m[3])
	return float64(60*hours + mins), true
}

// TestForgottenBathHasOneFigure: from the moment a bath is below its release
// temperature one figure counts up from there, and band, list, lane, alarm and
// big view all say it; a lid put on then does not set it back, nor does hot
// water that is not enough.
func TestForgottenBathHasOneFigure(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("some hours, half minute by half minute")
	}
	for _, units := range []string{"metric", "US"} {
		for _, heard := range []bool{false, true} {
			for _, read := range []bool{false, true} {
				if us := units == "US"; !long.Run() && (heard == read || us != heard) {
					continue // two of the eight have each of the six
				}
				t.Run(fmt.Sprintf("%s heard %t read %t", units, heard, read), func(t *testing.T) {
					h, lift := newHand(t, 1, 34), "49 °C"
					if units == "US" {
						h, lift = usHand(t, 1, 34), "120 °F"
					}
					forgotten(h, lift, heard, read)
				})
			}
		}
	}
}

func forgotten(h *hand, lift string, heard, read bool) {
	t := h.t
	was, seen := 0.0, 0
	h.pass(6*60, func() {
		g := h.s.glances[0]
		if read && seen == 0 && h.s.e.Now.Sub(g.SoakEnd) == 70*time.Minute {
			h.must(session.TakeReading{TempC: 48, Sure: true})
			g = h.s.glances[0]
		}
		if !g.HasAlarm || g.Alarm.Kind != session.BelowRelease {
			if seen > 0 {
				t.Fatalf("%v: no longer below", h.s.e.Now)
			}
			return
		}
		if seen++; seen == 1 {
			h.s.SetSize(80, 24)
			if heard {
				h.must(session.Acknowledge{Tub: -1})
			}
		}
		switch seen {
		case 11:
			h.must(session.SetCover{Cover: cooling.LidAndFilm})
		case 21: // hot water, and not enough of it
			h.must(session.TopUp{VolumeL: 0.25, TempC: 60})
		}
		p, _ := h.s.Prompt()
		figures, unit := h.s.countdown(p)
		at := ifWrong(func() string {
			return fmt.Sprintf("%s, %q %q\n%s", h.s.e.Now.Format("15:04:05"), figures, unit, h.view())
		})
		if !strings.HasSuffix(unit, "min below "+lift) {
			t.Fatalf("the figure counts something else: %s", at)
		}
		m := minutesOf(t, figures, unit)
		if seen > 1 && !(m > was || m == was && m >= 10) || m > was+1.01 && seen > 1 {
			t.Fatalf("from %.2f to %.2f in half a minute: %s", was, m, at)
		}
		was = m
		says := draw.MinText(m) + " below " + lift
		if first := h.listed()[0]; !strings.Contains(first, says) || !strings.Contains(first, "lift and drain") {
			t.Fatalf("the list says %q: %s", first, at)
		}
		want, of := fmt.Sprintf("+%d", int(m)), "min cool"
		if m >= 90 {
			want, of = fmt.Sprintf("+%d:%02d", int(m/60), int(m)%60), "h:min cool"
		}
		if got, unit, _ := h.s.laneFigure(h.s.glances[0]); got != want || unit != of {
			t.Fatalf("the lane says %q %q: %s", got, unit, at)
		}
		if alarm := base.AlarmPhrase(h.day(), g.Alarm, h.s.e.Now); !strings.Contains(alarm, says) {
			t.Fatalf("the alarm says %q: %s", alarm, at)
		}
		wants := []string{"lift now", "at the side", "washing again"}
		if seen%20 == 7 { // in the smallest window too, which has no large figure
			h.s.SetSize(40, 12)
			wants = append(wants, says)
		}
		band := ansi.Strip(strings.Join(h.s.band(), "\n"))
		h.s.SetSize(80, 24)
		for _, want := range wants {
			if !strings.Contains(strings.Join(strings.Fields(band), " "), want) {
				t.Fatalf("the band does not say %q: %s", want, at)
			}
		}
		far := ansi.Strip(h.s.farView())
		for _, want := range []string{unit, "LIFT NOW", "AT THE SIDE", "WILL WANT WASHING AGAIN"} {
			if !strings.Contains(far, want) {
				t.Fatalf("the big view does not say %q:\n%s", want, far)
			}
		}
	})
	if seen < 60 {
		t.Errorf("below for %d half minutes only", seen)
	}
}

// harmed says from the state alone that waiting at a tub does harm now.
func harmed(d session.Day, tub int, now time.Time) bool {
	t := d.Tubs[tub]
	switch t.Phase {
	case shed.Soaking:
		at := t.LongestAt()
		return !at.IsZero() && !now.Before(at) || slicesHas(d, tub, session.BelowRelease)
	case shed.Draining, shed.ToFill, shed.ToSink, shed.ToSpin: // since its lift
		hot := t.WetFrom.Kind != shed.Presoak && t.NextStep().Kind.IsBath() // between two hot baths
		return hot && !t.WetSince.IsZero() && now.Sub(t.WetSince) >= 20*time.Minute
	case shed.Idle, shed.ToRack:
	}
	return false
}

func slicesHas(d session.Day, tub int, k session.AlarmKind) bool {
	for _, a := range d.Alarms {
		if a.Tub == tub && a.Kind == k {
			return true
		}
	}
	return false
}

var within = regexp.MustCompile(`within (\d+ h \d+ min|\d+ h|\d+ min)`)

// lateAndWithin holds every word of lateness on the screen against the state.
func lateAndWithin(h *hand) {
	t := h.t
	view := h.view()
	for i, l := range h.listed() {
		if strings.Contains(l, "late") && (strings.Contains(l, "to spare") || strings.Contains(l, "within")) {
			t.Fatalf("%v: late, and time to spare: %q\n%s", h.s.e.Now, l, view)
		}
		if i >= len(h.s.next) || strings.HasPrefix(l, "…") {
			break
		}
		a := h.s.next[i]
		if a.Boil || a.Tub < 0 {
			continue
		}
		if isLate := strings.Contains(l, " late"); isLate && !harmed(h.day(), a.Tub, h.s.e.Now) {
			t.Fatalf("%v: late, and no harm is done: %q\n%s", h.s.e.Now, l, view)
		}
	}
	p, ok := h.s.Prompt()
	if !ok || p.Tub < 0 {
		return
	}
	word, _ := h.s.bandWord(p)
	if strings.Contains(word, "LATE") && !strings.Contains(word, "ALARM") && !harmed(h.day(), p.Tub, h.s.e.Now) {
		t.Fatalf("%v: %q, and no harm is done\n%s", h.s.e.Now, word, view)
	}
	if strings.Contains(word, "NOW") && harmed(h.day(), p.Tub, h.s.e.Now) {
		t.Fatalf("%v: %q, and harm is done\n%s", h.s.e.Now, word, view)
	}
	// One spare time, wherever it stands.
	for i, a := range h.s.next {
		if a.Tub != p.Tub || a.Boil || i >= len(h.listed()) {
			continue
		}
		want := within.FindString(h.listed()[i])
		far := strings.ToLower(ansi.Strip(h.s.farView()))
		if got := within.FindString(ansi.Strip(strings.Join(strings.Fields(strings.Join(h.s.band(), " ")), " "))); got != want {
			t.Fatalf("%v: the list says %q, the band not\n%s", h.s.e.Now, want, view)
		}
		if got := within.FindString(strings.Join(strings.Fields(far), " ")); got != want {
			t.Fatalf("%v: the list says %q, the big view\n%s", h.s.e.Now, want, far)
		}
	}
}

// figureToNextMove holds the large figure against the list: while nothing is
// wanted now it counts to the first thing there is to do, the kettle too.
func figureToNextMove(h *hand) (kettle bool) {
	t := h.t
	p, ok := h.s.Prompt()
	if !ok || p.Tub < 0 {
		return false
	}
	list := h.listed()
	figures, unit := h.s.countdown(p)
	boil := strings.Contains(list[0], "boil ")
	at := ifWrong(func() string {
		return fmt.Sprintf("%s: %q %q\n%s", h.s.e.Now.Format("15:04:05"), figures, unit, h.view())
	})
	in, ahead := dueIn(list[0])
	for _, l := range list { // a shut list would not be one
		if other, ok := dueIn(l); ok && ahead && other < in {
			t.Fatalf("the list begins with %q and has %q: %s", list[0], l, at)
		}
	}
	if !ahead && !(boil && p.Rank == coach.Coming) { // hands are wanted now, and the band says for what
		return false
	}
	if figures == "" || strings.Contains(unit, "over") || strings.Contains(unit, "waiting") {
		t.Fatalf("no figure to the next move: %s", at)
	}
	if m := minutesOf(t, figures, unit); m >= in+1 || m < in {
		t.Fatalf("the list says %q: %s", list[0], at)
	}
	far := ansi.Strip(h.s.farView())
	seen := strings.Contains(far, unit)
	for scale := 0; strings.HasSuffix(unit, " now") && scale < 4; scale++ { // in large letters
		seen = seen || strings.Contains(far, strings.TrimSpace(paint.Figures("now", scale, false)[0]))
	}
	if !seen {
		t.Fatalf("the big view counts something else than %q:\n%s", unit, far)
	}
	if boil && (!strings.Contains(unit, "kettle") || !strings.Contains(far, "BOIL ")) {
		t.Fatalf("the kettle is next and not named: %s\n%s", at, far)
	}
	return boil
}

// TestFigureListAndWordAgree: whole days, one done at once and one by somebody
// slow, in both units: nobody is called late who does no harm, what is late has
// no time to spare, and the figure counts to the next move.
func TestFigureListAndWordAgree(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("some hours, half minute by half minute")
	}
	kettles := 0
	for _, c := range []struct {
		tubs, slow int // minutes after which anything is done
		us         bool
	}{{1, 25, false}, {2, 4, true}, {1, 0, true}, {3, 0, false}, {3, 25, true}}[:long.Of(2, 5)] {
		t.Run(fmt.Sprintf("%d tubs, %d min slow, US %t", c.tubs, c.slow, c.us), func(t *testing.T) {
			h := newHand(t, c.tubs, 0)
			if c.us {
				h = usHand(t, c.tubs, 0)
			}
			rest := 0
			h.pass(7*60, func() {
				lateAndWithin(h)
				if figureToNextMove(h) {
					kettles++
				}
				if rest--; rest > 0 {
					return
				}
				for _, a := range h.s.next {
					if !a.Boil && a.Rank <= coach.Now && a.Act != shed.FinishDay {
						h.must(session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true})
						rest = 2 * c.slow
						break
					}
				}
			})
		})
	}
	if kettles < 20 {
		t.Errorf("the kettle was next %d times only", kettles)
	}
}

// TestNobodyIsLateAtTheStart: a day that has just begun and that nobody has
// touched says what can be done when, not that it is late.
func TestNobodyIsLateAtTheStart(t *testing.T) {
	h := newHand(t, 3, 0)
	h.pass(60, func() {
		lateAndWithin(h)
		if strings.Contains(strings.ToUpper(h.view()), "LATE") {
			t.Fatalf("%v: late before anything is wet\n%s", h.s.e.Now, h.view())
		}
	})
}

// TestChosenTubSpeaksForItself: the figure beside a tub that was chosen is that tub's,
// and what comes first stands in the list.
func TestChosenTubSpeaksForItself(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("3")
	p, _ := h.s.Prompt()
	figures, unit := h.s.countdown(p)
	left := p.Count.At.Sub(h.s.e.Now).Minutes()
	if m := minutesOf(t, figures, unit); p.Tub != 2 || m > left || m < left-1 || unit != "min to go" {
		t.Errorf("tub %d has %.1f min, and the figure says %q %q", p.Tub+1, left, figures, unit)
	}
	if first := h.listed()[0]; !strings.Contains(first, "North") || !strings.Contains(first, "boil ") {
		t.Errorf("the list begins with %q", first)
	}
	if c, ok := h.s.called(); !ok || c.name != "Tray" || c.deed != "lift" || c.figure != figures {
		t.Errorf("called %+v", c)
	}
}
