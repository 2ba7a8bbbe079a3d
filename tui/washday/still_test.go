package washday

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// says is what the picture tells a person to the minute or the second: band, counts of
// the lanes, list in any order. Estimates and bars are left out.
func (s *Screen) says() []string {
	s.look(0)
	var out []string
	for _, g := range s.glances {
		out = append(out, g.Prompt.Title+" "+s.leftText(g, 12))
	}
	n := len(out)
	for _, a := range s.next {
		out = append(out, fmt.Sprint(a.Tub, a.Rank, a.Title, s.whenText(a)))
	}
	slices.Sort(out[n:]) // of what may wait alike the order may be seconds old; what is first is below
	p, _ := s.Prompt()
	f, u := s.countdown(p)
	return append(out, f, u, fmt.Sprint(p.Tub, p.Rank), ansi.Strip(s.head()))
}

// Where a picture is said to be still, one drawn anew tells a person the same. With a
// tub due each minute that is a quarter of the seconds, for those of the last are counted.
func TestStillSaysTheSame(t *testing.T) {
	d, now := tuitest.PlayFor(t, tuitest.StartStory(t, tuitest.StoryPlan(12)), tuitest.StoryStart, 30)
	s := storyScreen(d.Boiled(), now, theme.Options{NoColor: true})
	s.SetSize(200, 60)
	s.e.Say = ""
	seconds := long.Of(300, 3600)
	still := 0
	says := s.says()
	for i := range seconds {
		s.e.Now = s.e.Now.Add(time.Second)
		seq, plan := s.e.Live.Day.LastSeq, s.e.Live.Plan.From
		s.pass()
		s.e.Live.Timetable(s.e.Now, 0)
		if s.e.Live.Day.LastSeq != seq || !s.e.Live.Plan.From.Equal(plan) || !s.Still() { // both come as a message
			says = s.says()
			continue
		}
		still++
		again := *s
		again.told, again.glances, again.next, again.prompts = told{}, nil, nil, nil
		if now := again.says(); !slices.Equal(now, says) {
			t.Fatalf("after %d s it is not the same:\n%s\nwas\n%s", i, strings.Join(now, "\n"), strings.Join(says, "\n"))
		}
	}
	if still < seconds/long.Of(6, 20) { // later in the hour something rings
		t.Errorf("still in %d of %d seconds", still, seconds)
	}
}

// What has to be seen at once is: a question, an alarm, a time that has come.
func TestNotStill(t *testing.T) {
	h := newHand(t, 3, 34)
	h.s.e.Say = ""
	h.s.Update(base.TickMsg{})
	at := h.s.e.Now
	after := func(d time.Duration) bool {
		h.s.e.Now = at.Add(d)
		return h.s.Still()
	}
	if after(restFor) {
		t.Error("an old picture is still")
	}
	if after(-time.Second) {
		t.Error("a picture of a later time is still")
	}
	for _, c := range []struct {
		left, least time.Duration // how long at is away when the second is over
		want        bool
	}{
		{0, 0, false}, {-time.Second, 0, true}, {30 * time.Second, 0, false}, {30 * time.Second, time.Minute, true}, {-30 * time.Second, time.Minute, true}, {-time.Minute, time.Minute, true},
		{-30 * time.Second, 0, false}, {3*time.Minute - time.Second, 0, true}, {3 * time.Minute, 0, false}, {-3 * time.Minute, 0, true}, {-3*time.Minute - time.Second, 0, false},
	} {
		now := at.Add(time.Second)
		if got := turns(now.Add(c.left), at, now, c.least); got != c.want && c.left != -time.Second {
			t.Errorf("%v away, seconds below %v: turns %v", c.left, c.least, got)
		}
	}
	if turns(time.Time{}, at, at.Add(time.Second), time.Minute) || turns(at, at, at.Add(time.Second), time.Minute) {
		t.Error("it turns where there is nothing to turn")
	}
	h.press("t")
	if h.s.e.Say = ""; h.s.Still() {
		t.Error("a question is still")
	}
	h.press("esc")
	h.s.e.Say = "a sentence"
	if h.s.Still() {
		t.Error("a sentence is still")
	}
	h.s.e.Say = ""
	h.s.chosen = -1
	h.s.e.Now = h.s.e.Now.Add(time.Hour)
	h.s.pass()
	h.s.Update(base.TickMsg{})
	h.s.e.Now = h.s.e.Now.Add(time.Second)
	if h.s.e.Say = ""; !h.s.ringing() || h.s.Still() {
		t.Error("an alarm that rings is still")
	}
}
