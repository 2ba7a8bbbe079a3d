package form_test

import (
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// shown is a form of one field in the least window.
func shown(x *form.Field) *form.FormScreen {
	f := form.NewForm(tuitest.StoryEnv(session.Day{}, tuitest.StoryStart, theme.Options{}), "Form", []*form.Page{{Fields: []*form.Field{x}}}, nil)
	f.SetSize(base.LeastWidth, base.LeastHeight-base.TopLines)
	f.Init()
	return f
}

// A question of yes or no is answered by its letters; other choices are not.
func TestYesAndNoByTheirLetters(t *testing.T) {
	yes := false
	f := shown(form.YesNo("More now?", "", &yes))
	for _, x := range []struct {
		key string
		is  bool
	}{{"y", true}, {"y", true}, {"n", false}, {"n", false}, {"y", true}} {
		if f.Key(tuitest.KeyOf(x.key)); yes != x.is {
			t.Errorf("after %s: %v", x.key, yes)
		}
	}
	at := 1
	f = shown(form.ChoiceField("Which?", "", &at, true, form.Choice[int]{Value: 1, Words: "new"}, form.Choice[int]{Value: 2, Words: "young"}))
	for _, k := range []string{"y", "n"} {
		if f.Key(tuitest.KeyOf(k)); at != 1 {
			t.Errorf("%s chose %d", k, at)
		}
	}
}

// The chosen line of a list is in sight, however many lines its choices take.
func TestChosenLineInSight(t *testing.T) {
	var choices []form.Choice[int]
	for i := range 9 {
		choices = append(choices, form.Choice[int]{Value: i, Words: fmt.Sprintf("choice %d, with more words than there is room for on a line of a small window", i)})
	}
	at := 0
	f := shown(form.ChoiceField("Which", "why it is asked", &at, false, choices...))
	for i := range choices {
		if v := ansi.Strip(f.Place()); !strings.Contains(v, "> choice "+fmt.Sprint(i)) {
			t.Errorf("choice %d:\n%s", i, v)
		}
		f.Key(tea.KeyMsg{Type: tea.KeyDown})
	}
}

// What is typed is in sight in a text that is longer than the window is high, and so is
// its beginning for who goes there.
func TestCursorInSight(t *testing.T) {
	text := ""
	f := shown(form.WordsField("Notes", "", &text, 4000, ""))
	f.Key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("begin " + strings.Repeat("word 毛 ", 100) + "end"), Paste: true})
	if v := ansi.Strip(f.Place()); !strings.Contains(v, "end") || strings.Contains(v, "begin") {
		t.Errorf("at the end:\n%s", v)
	}
	f.Key(tea.KeyMsg{Type: tea.KeyHome})
	if v := ansi.Strip(f.Place()); !strings.Contains(v, "begin") || strings.Contains(v, "end") {
		t.Errorf("at the beginning:\n%s", v)
	}
}

// A comma at the end of a line stands inside its margin, whatever the letters before it.
func TestChoicesEndInsideTheirMargin(t *testing.T) {
	at := 0
	for n := range 30 {
		f := shown(form.ChoiceField("Which", "", &at, false, form.Choice[int]{Words: "N" + strings.Repeat("o", n) + " น้ำน้ำ เก็บ, N กำ กำ"}))
		for _, l := range strings.Split(f.View(), "\n") {
			if l = strings.TrimRight(ansi.Strip(l), " "); strings.Contains(l, "N") && ansi.StringWidthWc(l) > base.LeastWidth-1 {
				t.Errorf("after %d letters: %q", n, l)
			}
		}
	}
}
