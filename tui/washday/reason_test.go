package washday

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
)

// runOut are the minutes to a limit, or past it, and whatever stands behind them.
var runOut = regexp.MustCompile(`(?i)(?:within (?:a minute|[0-9 h]+ min|\d+ h)|past (?:its )?limit|[0-9] min to spare|no time to spare|late by then)(.{0,60})`)

// unreasoned is the first of such minutes in a text that does not say what they run out to.
func unreasoned(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	for _, m := range runOut.FindAllStringSubmatch(text, -1) {
		if !strings.HasPrefix(m[1], " (") {
			return m[0]
		}
	}
	return ""
}

// TestMinutesSayTheirReason: minutes to a limit, in band, list, big view and the line of what
// comes first, say what limit it is, in every window from the smallest, and where a
// break is why it is missed, that.
func TestMinutesSayTheirReason(t *testing.T) {
	t.Parallel()
	sizes, seen, breaks := [][2]int{{40, 12}, {46, 14}, {60, 16}, {80, 24}, {100, 30}, {120, 40}, {200, 60}}, 0, 0
	for i, slow := range long.Of([]int{12, 0}, []int{12, 0, 4, 25}) {
		h := newHand(t, 3-2*(i%2), 0)
		rest, n, away := 0, 0, false
		h.pass(5*60, func() {
			if n++; n%long.Of(13, 5) == 0 {
				for _, size := range sizes {
					h.s.SetSize(size[0], size[1])
					p, _ := h.s.Prompt()
					texts := []string{ansi.Strip(strings.Join(h.s.waits(size[0]), " ")), ansi.Strip(h.s.farView()), ansi.Strip(strings.Join(h.s.order(40), " "))}
					for _, o := range h.s.orders(p) {
						texts = append(texts, o.text, o.brief)
					}
					if size[0] < 120 { // no list beside it, no figure in the middle of a line
						texts = append(texts, strings.Join(shownBand(h.s), " "))
					}
					for _, text := range texts {
						seen += strings.Count(text, "within ")
						breaks += strings.Count(text, "break)")
						if bad := unreasoned(text); bad != "" {
							t.Fatalf("%v, %d slow, %v: %q\n%s", h.s.e.Now, slow, size, bad, h.view())
						}
					}
				}
			}
			for _, t := range h.day().Tubs { // a break in which fleece hangs too long
				if !away && t.Phase == shed.ToFill && !t.WetBy().IsZero() && !t.Step().HasRelease() { // a wash would wait for it
					away = true
					h.must(session.TakeBreak{ForMin: 50})
				}
			}
			if _, is := h.s.e.Live.Day.Away(h.s.e.Now); is {
				return
			}
			if rest--; rest > 0 {
				return
			}
			for _, a := range h.s.next {
				if !a.Boil && a.Rank <= coach.Now && a.Act != shed.FinishDay {
					h.must(session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true})
					rest = 2 * slow
					break
				}
			}
		})
	}
	if seen < 100 || breaks == 0 {
		t.Errorf("%d minutes to a limit, %d of a break", seen, breaks)
	}
	h := newHand(t, 1, 0)
	a := coach.NextAct{Prompt: coach.Prompt{Act: shed.Lift, Rank: coach.Coming, Limit: coach.LongestSoak, MustBy: h.s.e.Now.Add(20 * time.Minute), Count: coach.Count{Of: coach.ToDue, At: h.s.e.Now.Add(10 * time.Minute)}}, Late: 5 * time.Minute}
	for i, size := range slices.Concat(sizes, sizes) {
		if a.Away = "quiet hours"; i < len(sizes) {
			a.Away = "break"
		}
		h.s.SetSize(size[0], size[1])
		line := strings.Join(strings.Fields(ansi.Strip(strings.Join(h.s.orderAct(0, a, 5, 14), " "))), " ")
		if !strings.Contains(line, "5 min past") || !strings.Contains(line, a.Away+")") || !strings.Contains(line, "soak") {
			t.Errorf("%v: %q", size, line)
		}
	}
}

// TestPastItsLimitIsToCome: what the plan takes only once it is past its limit is not past it yet, and need
// not come to that where hands may come sooner than the break ends.
func TestPastItsLimitIsToCome(t *testing.T) {
	h := newHand(t, 1, 0)
	a := coach.NextAct{Prompt: coach.Prompt{Act: shed.Lift, Rank: coach.Coming, Limit: coach.LongestSoak}, Late: 12 * time.Minute}
	for _, c := range []struct {
		after             bool
		away, full, brief string
	}{
		{false, "break", "else 12 min past limit (longest soak, your break)", "else 12 min past limit (longest soak, break)"},
		{true, "break", "will be 12 min past its limit (longest soak, your break)", "12 min past limit (longest soak, break)"},
		{false, "", "will be 12 min past its limit (longest soak)", "12 min past limit (longest soak)"},
	} {
		a.After, a.Away, a.DueAt = c.after, c.away, h.s.e.Now.Add(3*time.Minute)
		a.MustBy, a.Count = a.DueAt, coach.Count{Of: coach.ToDue, At: a.DueAt}
		if full, brief := h.s.whenSpare(a); full != "in 3 min · "+c.full || brief != "in 3 min · "+c.brief {
			t.Errorf("%+v: %q, %q", c, full, brief)
		}
	}
}

// shownBand is the words of the band as they are drawn.
func shownBand(s *Screen) []string {
	text, figures, unit := s.bandText()
	_, figW := s.figureBeside(text, figures, unit)
	var out []string
	for _, l := range wrapBand(text, s.rooms.w-figW, s.rooms.band.Height) {
		out = append(out, ansi.Strip(l.s))
	}
	return out
}
