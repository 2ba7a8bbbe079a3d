package past

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// finder is a line of words that the entries of a list are searched for.
type finder struct {
	line    draw.TextLine
	Finding bool // it is being typed
}

func newFinder() finder { return finder{line: draw.NewTextLine("")} }

func (f *finder) begin() { f.Finding, f.line.Fresh = true, true }

// on says that the list is not shown whole.
func (f *finder) on() bool { return f.Finding || f.line.Text() != "" }

// clear shows all again; false if nothing was searched for.
func (f *finder) clear() bool {
	was := f.line.Text() != ""
	f.line.Set("")
	return was
}

// typed takes a key while words are typed: done says the key was meant for the search,
// changed that other entries are found.
func (f *finder) typed(k tea.KeyMsg) (done, changed bool) {
	if !f.Finding {
		return false, false
	}
	switch k.String() {
	case "enter":
		f.Finding = false
		return true, false
	case "up", "down", "pgup", "pgdown":
		return false, false
	case "esc":
		f.Finding = false
		f.clear()
	default:
		f.line.Key(k)
	}
	return true, true
}

// onList does what a list does that can be searched, with words first: anew lists what others
// find, fill all.
func (f *finder) onList(of *base.Frame, g *base.Grid, msg tea.Msg, open func() tea.Cmd, anew, fill func()) (k tea.KeyMsg, cmd tea.Cmd, ok bool) {
	if k, is := msg.(tea.KeyMsg); is {
		done, changed := f.typed(k)
		if changed {
			g.At = 0
			anew()
		}
		if done {
			return k, nil, false
		}
	}
	k, cmd, ok = of.OnList(msg, g, open)
	switch {
	case !ok && cmd != nil && key.Matches(k, base.KeyBack) && f.clear(): // first the search goes
		fill()
		cmd = nil
	case ok && key.Matches(k, keyFind):
		f.begin()
		ok = false
	}
	return k, cmd, ok
}

// found are the places of the texts that have every word, in order. The texts are in small
// letters.
func (f *finder) found(texts []string) []int {
	words := strings.Fields(strings.ToLower(f.line.Text()))
	var out []int
	for i, text := range texts {
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) }) {
			out = append(out, i)
		}
	}
	return out
}

// head says above the list what is searched for, and how many were found.
func (f *finder) head(t *theme.Theme, w, n, of int) []string {
	if !f.on() {
		return nil
	}
	text := f.line.Text()
	if f.Finding {
		text = f.line.Shown()
	}
	count := fmt.Sprintf("   (%d of %d)", n, of)
	return []string{t.Next.Render(draw.Fit(" search: "+draw.Shortened(text, w-9-len(count))+count, w))}
}
