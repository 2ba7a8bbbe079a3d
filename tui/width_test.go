package tui

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// syllables are what terminals and libraries measure in more than one way, or obey.
var syllables = []string{
	"น้ำ", "กำ", "ที่", "เก็บ", "ຄຳ", "हिन्दी", "की", "கோ", "ខ្មែរ", "ဗမာ", // marks that take a cell of their own
	"👩🏽‍🌾", "👍🏿", "🏽", "👨‍👩‍👧‍👦", "🐑", "🫠", "🇩🇪", "🇩", "1️⃣", "❤️", "⚠️", "🏴󠁧󠁢󠁥󠁮󠁧󠁿", // emoji with modifiers
	"羊毛", "가", "ᄀᆞ", "ｶﾞ", "か\u3099", "e\u0301\u0301\u0301\u0301\u0301\u0301", "אַ", "سلام", "ﷺ",
	"\u009b31m", "\u0085", "\u009d0;x\u009c", "\u202e", "\u2066", "\u200b", "\ufeff", "\x1b[2J", "\t", "wether", "-", " ",
}

// drawnName is of words that a small window has room for: a longer one is broken, and what
// asks whether it stands there in full does not know it again.
func drawnName(t *rapid.T, what string) string {
	name := "N"
	for i, s := range rapid.SliceOfN(rapid.SampledFrom(syllables), 1, 11).Draw(t, what) {
		if i%3 == 2 {
			name += " "
		}
		name += s
	}
	return name
}

// wide checks every frame of some keys at every size: to a terminal that counts cells by
// letter, as most do, and to one that counts them by what is drawn together.
func wide(t *rapid.T, p *person, keys ...string) {
	for _, k := range append([]string{""}, keys...) {
		if k != "" {
			p.press(k)
		}
		for _, size := range tuitest.Sizes {
			p.resize(size[0], size[1])
			for i, l := range strings.Split(p.app.View(), "\n") {
				if n := max(ansi.StringWidthWc(l), ansi.StringWidth(l)); n > size[0] {
					t.Fatalf("after %q line %d is %d cells in a window of %d: %q", k, i, n, size[0], ansi.Strip(l))
				}
				for _, r := range ansi.Strip(l) {
					if r < ' ' || r >= 0x7f && r < 0xa0 || strings.ContainsRune("\u202e\u2066\u200b\u200d\ufeff", r) {
						t.Fatalf("after %q line %d shows %q: %q", k, i, r, ansi.Strip(l))
					}
				}
			}
		}
	}
}

// No name makes a frame wider than its window, and none is obeyed.
func TestNamesFitAnyTerminal(t *testing.T) {
	t.Parallel()
	named := func(rt *rapid.T, kit *shed.Kit, fleeces []shed.Fleece) {
		kit.Tubs = append([]shed.Tub(nil), kit.Tubs...)
		for i := range kit.Tubs {
			kit.Tubs[i].Name = fmt.Sprint(i, drawnName(rt, "tub"))
		}
		for i := range fleeces {
			fleeces[i].Animal, fleeces[i].Farm, fleeces[i].Notes = drawnName(rt, "animal"), drawnName(rt, "farm"), drawnName(rt, "notes")
			fleeces[i] = fleeces[i].Clean() // as the store gives them
		}
		*kit = kit.Clean()
	}
	long.Check(t, 3, func(rt *rapid.T) {
		plan := tuitest.StoryPlan(3)
		named(rt, &plan.Kit, plan.Fleeces)
		day := newPerson(t, true, withOpenDayOf(plan, 28))
		wide(rt, day, "enter", "l", "esc", "tab", "z", "z", "i", "esc")
		record := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { named(rt, p.ledger.HasKit, p.ledger.Have) })
		wide(rt, record, "f", "enter", "esc", "e", "esc", "esc", "d", "enter", "esc", "esc", "r", "esc", "k", "1", "esc", "esc", "p", "a", "enter", "ctrl+s", "t")
	})
}
