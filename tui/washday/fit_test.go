package washday

import (
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestWrappedKeepsFiguresWhole: neither a minus, a range, a fraction nor a unit
// parts from its figure, wherever the line ends.
func TestWrappedKeepsFiguresWhole(t *testing.T) {
	text := "from -60 °C to 55-148 min, 2 1/2 tsp) of it, 3.25 L; then 12 % more"
	for w := 12; w < 70; w++ {
		for _, l := range draw.Wrapped(text, w) {
			for _, whole := range []string{"-60 °C", "55-148 min,", "2 1/2 tsp)", "3.25 L;", "12 %"} {
				parts := strings.Fields(whole)
				if slices.ContainsFunc(strings.Fields(l), func(word string) bool { return word == parts[0] }) && !strings.Contains(l, whole) {
					t.Errorf("in %d cells %q has parted in %q", w, whole, l)
				}
			}
		}
	}
}

// TestWhole: parts go whole, the least important first, and what stays stays.
func TestWhole(t *testing.T) {
	paras := []draw.Para{{Lines: []string{"must"}, Rank: 0}, {Lines: []string{"why 1", "why 2"}, Rank: 2}, {Lines: []string{"how"}, Rank: 1}}
	for h, want := range []string{"must", "must", "must how", "must how", "must why 1 why 2 how"} {
		if got := strings.Join(draw.Whole(h, paras...), " "); got != want {
			t.Errorf("in %d lines %q, want %q", h, got, want)
		}
	}
}

// TestCutsAreSigned: what is held shows that it was cut, what may be shortened
// that it was shortened, and a block that lines were lost.
func TestCutsAreSigned(t *testing.T) {
	for _, got := range []string{draw.Fit("lift and drain", 9), draw.Block([]string{"one", "two"}, 9, 1)} {
		if !strings.HasSuffix(got, draw.CutSign) {
			t.Errorf("%q does not say that it is cut", got)
		}
	}
	if got := draw.Short("Old Grey of the fold", 9); got != "Old Grey"+draw.ShortSign {
		t.Errorf("%q", got)
	}
	if got := draw.Block([]string{"one", "   "}, 5, 1); got != "one  " {
		t.Errorf("only air was lost: %q", got)
	}
}

// TestCautionHasItsLine: two details that fit one line go on it; a caution, which gives way at a tub on hold too,
// shares none with them: it would have their colour.
func TestCautionHasItsLine(t *testing.T) {
	th := tuitest.StoryEnv(session.Day{}, tuitest.StoryStart, theme.Options{}).Theme
	text := []bandLine{{s: " EMPTY THE TUB", style: th.Next, keep: true}, {s: " house drain", style: th.Text}, {s: " 8 L", style: th.Text}, {s: " Caution: wax clogs", style: th.Caution}}
	for h, want := range map[int]string{4: "EMPTY THE TUB|house drain|8 L|Caution: wax clogs", 3: "EMPTY THE TUB|house drain · 8 L|Caution: wax clogs", 2: "EMPTY THE TUB|house drain · 8 L"} {
		var got []string
		for _, l := range wrapBand(text, 80, h) {
			got = append(got, strings.TrimSpace(l.s))
		}
		if strings.Join(got, "|") != want {
			t.Errorf("in %d lines %q, want %q", h, got, want)
		}
	}
}

// TestFootKeepsTheWayOut: however narrow, how to leave and where help is stand
// whole, and where keys are left out help says so.
func TestFootKeepsTheWayOut(t *testing.T) {
	keys := newDayKeys()
	for w := base.LeastWidth; w < 260; w++ {
		all := keys.all()
		var words []string
		for _, it := range base.FootItems(w, all, keys.help) {
			words = append(words, it.Key+" "+it.Text)
			if it.X+it.W > w {
				t.Fatalf("%q runs out of %d cells", it.Text, w)
			}
		}
		if !slices.Contains(words, "Esc, q back") || !strings.HasPrefix(words[len(words)-1], "? ") {
			t.Fatalf("in %d cells: %v", w, words)
		}
		if missing := len(words) < len(all); missing != (words[len(words)-1] == "? all keys") {
			t.Fatalf("in %d cells of %d keys: %v", w, len(all), words)
		}
	}
}

// TestDeedIsNeverCut: in every window of every state the band says the whole deed of what is
// called, large or in words.
func TestDeedIsNeverCut(t *testing.T) {
	tried := 0
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{NoColor: true})
		for w := base.LeastWidth; w <= 200; w += 8 {
			for h := base.LeastHeight; h <= 60; h += 3 {
				if tried++; !long.Turn(tried, 9) {
					continue
				}
				s.SetSize(w, h)
				p, ok := s.Prompt()
				if !ok || s.far || s.ask != nil || !s.e.Live.Day.Running() {
					continue
				}
				band := strings.Join(strings.Fields(ansi.Strip(strings.Join(s.band(), " "))), " ")
				rest, deed := band, s.orders(p)[0].text
				for _, word := range strings.Fields(deed) { // a figure may stand beside a line of it
					_, after, found := strings.Cut(rest, word)
					if rest = after; !found {
						t.Fatalf("%s %dx%d: %q is cut:\n%s", st.Name, w, h, deed, strings.Join(s.band(), "\n"))
					}
				}
				if strings.Contains(band, draw.CutSign) || strings.Contains(band, draw.ShortSign) {
					t.Fatalf("%s %dx%d: the band is cut:\n%s", st.Name, w, h, strings.Join(s.band(), "\n"))
				}
			}
		}
	}
}

// TestTightBandKeepsWhatMatters: where what has to stand has no room, the tub goes before its
// deed and a caution that was read is brief: nothing is cut.
func TestTightBandKeepsWhatMatters(t *testing.T) {
	text := []bandLine{
		{s: " NOW  4 Tray", keep: true, brief: "NOW  4"}, {s: " FILL FOR THE FIRST HOT WASH", keep: true},
		{s: " 2 gal 2 cups at 154 °F: 1 gal 2 cups hot tap + 15 cups kettle", keep: true}, {s: " stir in 2 1/2 tsp scour", keep: true},
		{s: " Caution: 124 °F water burns in 1 min (?)", keep: true, brief: "Caution: 124 °F water burns in 1 min"},
	}
	var lines []string
	for _, l := range wrapBand(text, 40, 5) {
		lines = append(lines, strings.TrimSpace(l.s))
	}
	want := []string{"NOW  4  FILL FOR THE FIRST HOT WASH", "2 gal 2 cups at 154 °F: 1 gal 2 cups", "hot tap + 15 cups kettle", "stir in 2 1/2 tsp scour", "Caution: 124 °F water burns in 1 min"}
	if !slices.Equal(lines, want) {
		t.Errorf("%q", lines)
	}
}

// TestShortDetailsShareALine: where the band has no line for each of its details, those that fit one together share it
// before any is left out; a caution and what has to stand keep their own.
func TestShortDetailsShareALine(t *testing.T) {
	text := []bandLine{
		{s: " NOW  1 North", keep: true}, {s: " FILL FOR THE HOT WASH AND LOWER IN", keep: true}, {s: " 2 gal at 151 °F", keep: true},
		{s: " stir without foam, before the fleece goes in"}, {s: " press it under; lid on"}, {s: " soaks 20 min"},
		{s: " Caution: dry hands", keep: true}, {s: " about 60 °C", spare: true},
	}
	for h, want := range map[int]string{
		8: "about 60 °C", 7: "press it under; lid on", 6: " press it under; lid on · soaks 20 min", 5: "before the fleece goes in · press it under; lid on · soaks 20 min",
	} {
		all := ""
		for _, l := range wrapBand(text, 92, h) {
			all += l.s + "\n"
		}
		if !strings.Contains(all, want) || !strings.Contains(all, "soaks 20 min") || !strings.Contains(all, "\n Caution: dry hands\n") {
			t.Errorf("%d lines:\n%s", h, all)
		}
	}
}
