package tui

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// looks are the themes that each picture of the storybook is looked at in, and what their colours stand on.
var looks = []struct {
	name   string
	o      theme.Options
	ground []int
	good   int // the colour of what is done
	warn   int
}{
	{"dark", theme.Options{}, []int{16, 235}, 78, 228}, {"light", theme.Options{Light: true}, []int{231, 255}, 23, 94},
	{"16", theme.Options{Few: true}, []int{0}, 10, 11}, {"none", theme.Options{NoColor: true}, nil, 0, 0},
}

// lookAt draws a screen in a theme at one of the sizes and holds it to what a machine can see: nothing wider or
// higher than the window, each letter readable on its ground, no warning in the colour of what is done, nothing
// shortened that says what to do, and no half of a large window left empty. At length in all of them; else each
// picture in one theme at one size. STORY_DUMP says where the drawings go, to be looked at with cat.
func lookAt(t *testing.T, a *App, x tale, turn int) {
	was := a.env.Theme
	defer a.Update(ThemeMsg(was))
	for i, look := range looks {
		for j, sz := range tuitest.Sizes {
			dir := os.Getenv("STORY_DUMP")
			if dir == "" && !long.Turn(turn+i*len(tuitest.Sizes)+j, len(looks)*len(tuitest.Sizes)) {
				continue
			}
			a.Update(ThemeMsg(theme.New(io.Discard, look.o)))
			picture(a, sz[0], sz[1], false)
			if x.pages {
				a.top().Update(tuitest.KeyOf("home"))
			}
			view, name := a.View(), fmt.Sprintf("%s in %s", pictureName(x, sz), look.name)
			if dir != "" {
				must.Do(t, os.WriteFile(filepath.Join(dir, pictureName(x, sz)+"-"+look.name+".ansi"), []byte(view), 0o644))
			}
			tuitest.CheckFits(t, name, view, sz[0], sz[1], false)
			coloured := strings.Split(view, "\n")
			readable(t, name, coloured, look.ground)
			standsClear(t, name, coloured)
			for colour, wrong := range map[int]*regexp.Regexp{look.good: notGood, look.warn: notBad} {
				for _, said := range runsIn(t, coloured, colour) {
					if colour > 0 && wrong.MatchString(said) {
						t.Errorf("%s: %q is said in another colour than it means", name, said)
					}
				}
			}
			lines := strings.Split(ansi.Strip(view), "\n")
			if foot := lines[len(lines)-1]; strings.Contains(foot, draw.ShortSign) {
				t.Errorf("%s: how to leave is shortened: %q", name, foot)
			}
			if sz == tuitest.Sizes[3] {
				noEmptyHalf(t, x.name, lines)
			}
			for _, l := range lines {
				if at := shortened.FindString(l); at != "" {
					t.Errorf("%s: %q is shortened in %q", name, at, l)
				}
			}
		}
	}
}

var (
	// notGood is what is not said in the colour of what is done, and notBad not in that of a warning.
	notGood = regexp.MustCompile(`NOT|MUTED|UNHEARD|GUESS|\bnot\b|couldn't|can't|rings again|clock changed|\bestimates?\b`)
	notBad  = regexp.MustCompile(`^(saved|sound heard)`)
	// shortened is a figure with its unit, or a sentence, that has lost its end: only names and notes may.
	shortened = regexp.MustCompile(`\d+ (?:°[CF]|min|h|g|kg|L|mL|oz|lb|gal)?` + draw.ShortSign + `|(?i)(lift|fill|drain|empty|lower in|press|boil)` + draw.ShortSign)
)

// runsIn are the texts in one colour.
func runsIn(t *testing.T, lines []string, colour int) (out []string) {
	for _, line := range lines {
		inLooks(t, line, func(l look, text string) {
			if text = strings.TrimSpace(text); text != "" && l.fg == colour && l.bg < 0 {
				out = append(out, text)
			}
		})
	}
	return out
}

// drawn are the signs that pictures are made of: they are seen by their shape, not read.
func drawn(r rune) bool {
	return r == ' ' || r >= 0x2500 && r < 0x2600 || r >= 0x2800 && r < 0x2900 // lines, blocks, braille
}

// readable: each letter has a contrast of 4.5:1 on what it stands on (WCAG 2.2, 1.4.3), a sign of a drawing 3:1
// (1.4.11); lines that part and grounds, which say nothing by themselves, have none to hold.
func readable(t *testing.T, name string, lines []string, grounds []int) {
	t.Helper()
	seen := map[string]bool{}
	for _, line := range lines {
		inLooks(t, line, func(l look, text string) {
			least := 3.0
			if strings.ContainsFunc(text, func(r rune) bool { return !drawn(r) }) {
				least = 4.5
			} else if slices.Contains(saysNothing, l.fg) || len(text) >= 40 && strings.Trim(text, "▄") == "" { // the upper edge of a ground
				return
			}
			if key := fmt.Sprint(l, least); seen[key] || l.fg < 0 && l.bg < 0 {
				return
			} else {
				seen[key] = true
			}
			for _, g := range grounds {
				fg, bg := l.fg, l.bg
				if bg < 0 {
					bg = g
				}
				if fg < 0 { // the terminal's own
					if fg = 16; contrast(g, 16) < contrast(g, 231) {
						fg = 231
					}
				}
				if got := contrast(fg, bg); got < least {
					t.Errorf("%s: colour %d on %d has a contrast of %.1f, less than %.1f: %q", name, fg, bg, got, least, text)
				}
			}
		})
	}
}

// standsClear: a line is drawn under words alone, not under blanks or blocks; large letters on an alarm's ground have it on
// all sides, or in black they run into the black beside it; and it is not bitten into by a line that is half on it.
func standsClear(t *testing.T, name string, lines []string) {
	t.Helper()
	type cell struct {
		painted bool
		sign    rune
	}
	var above []cell
	at := func(row []cell, x int) cell { return append(slices.Clone(row), make([]cell, x+1)...)[x] }
	for _, line := range lines {
		var row []cell
		inLooks(t, line, func(l look, text string) {
			if l.underline && (strings.TrimSpace(text) != text || strings.ContainsFunc(text, func(r rune) bool { return r >= 0x2580 && r < 0x25a0 })) {
				t.Errorf("%s: a line is drawn under %q", name, text)
			}
			painted := slices.Contains([]int{124, 214, 1, 11}, l.bg) || l.reverse && l.fg < 0 && l.bold
			for _, r := range text {
				row = append(row, cell{painted, r})
			}
		})
		if n := len(row); n > 0 && row[n-1].painted && !row[0].painted {
			t.Errorf("%s: an alarm's ground is bitten into: %q", name, ansi.Strip(line))
		}
		for x, c := range row {
			over := at(above, x)
			if c.painted && (c.sign == '█' || c.sign == '▀') && (x == 0 || !row[x-1].painted || len(above) > 0 && !over.painted && over.sign != '▄') ||
				over.painted && (over.sign == '█' || over.sign == '▄') && !c.painted {
				t.Errorf("%s: letters run out of their ground: %q", name, ansi.Strip(line))
				break
			}
		}
		above = row
	}
}

// saysNothing are the colours of lines that part and of grounds.
var saysNothing = []int{240, 250, 238, 254}

// contrast is that of WCAG 2.2 between two of the 256 colours.
func contrast(a, b int) float64 {
	luminance := func(n int) float64 {
		c := termenv.ConvertToRGB(termenv.ANSI256Color(n))
		sum := 0.0
		for i, v := range []float64{c.R, c.G, c.B} {
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			sum += v * []float64{0.2126, 0.7152, 0.0722}[i]
		}
		return sum
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// leastHeld is how many lines a half of the largest window has to have something in, to be one that is used.
const leastHeld = 5

// middling are the screens that stand in the middle of a large window with nothing beside or below them, and why.
var middling = map[string]string{
	"alarms-away": "how alarms reach the person: words alone", "alarms-settings": "how alarms reach the person: words alone",
	"alarms-empty": "no alarm, no day", "alarms-foreign": "no alarm, no day",
	"drying-empty": "nothing dries", "ledger-empty": "no fleece", "ledger-nothing-found": "no fleece", "past-empty": "no day", "past-many-empty": "no day",
	"fleece-form": "nothing is typed of the fleece", "fleece-form-wrong": "nothing is typed of the fleece",
	"past-old-wash": "nothing is typed of the batch", "past-old-wash-saved": "nothing is typed of the batch",
	"go-on-broken": "the day can't be read", "go-on-long-ago": "the day doesn't run: nothing is planned", "go-on-off": "the day doesn't run: nothing is planned",
	"outlook-cannot": "the plan won't work", "plan-old": "the plan is being worked out", "review-save": "which paper: words alone",
	"review-card":      "all that is known of one batch",
	"soundcheck-heard": "all were played", "soundcheck-missed": "all were played",
	"fleece-cards": "all that is known of one batch", "ledger-search": "all that is known of one fleece",
}

// listed are those of them with a line as wide as the window: a list, a search, a rule.
var listed = []string{"review-card", "fleece-cards", "ledger-search", "plan-old", "ledger-nothing-found", "drying-empty"}

// noEmptyHalf: between head and foot of the largest window the right quarter or the lower half holds something. What
// has nothing to draw stands in the middle, and is named with the reason.
func noEmptyHalf(t *testing.T, name string, lines []string) {
	t.Helper()
	body := lines[base.TopLines : len(lines)-1]
	right, lower, aside := 0, 0, ""
	for i, l := range body {
		text := strings.Trim(l, " ─")
		if text == "" {
			continue
		}
		if i >= len(body)/2 {
			lower++
		}
		if len([]rune(strings.TrimRight(l, " "))) > 3*len([]rune(l))/4 {
			right++
		}
		if i > base.TopLines+4 && !strings.HasPrefix(l, strings.Repeat(" ", 40)) {
			aside = l
		}
	}
	full := right >= leastHeld || lower >= leastHeld
	switch why := middling[name]; {
	case !full && why == "":
		t.Errorf("%s: half of a large window is empty: %d lines of its right quarter and %d of its lower half hold something", name, right, lower)
	case !full && aside != "" && !slices.Contains(listed, name):
		t.Errorf("%s does not stand in the middle of a large window: %q", name, aside)
	case full && why != "":
		t.Errorf("%s fills a large window: it need not be named", name)
	}
}
