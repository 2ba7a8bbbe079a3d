package measure

import "testing"

func TestCleanText(t *testing.T) {
	cases := []struct {
		name, text string
		max        int
		want       string
	}{
		{"plain", "Blue tub", 40, "Blue tub"},
		{"white space", "  Blue \t\n\r\n tub\u2028\u00a0 ", 40, "Blue tub"},
		{"next line", "a\u0085b", 40, "a b"},
		{"colour", "\x1b[31;1mred\x1b[0m", 40, "red"},
		{"title", "a\x1b]0;owned\ab", 40, "ab"},
		{"title, long terminator", "a\x1b]0;owned\x1b\\b", 40, "ab"},
		{"link", "\x1b]8;;http://x\x1b\\tub\x1b]8;;\x1b\\", 40, "tub"},
		{"device string", "a\x1bPq#0\x1b\\b", 40, "ab"},
		{"unfinished title", "a\x1b]0;owned\nb", 40, "a b"},
		{"charset", "\x1b(0lqk", 40, "lqk"},
		{"reset", "\x1bcx", 40, "x"},
		{"escape at the end", "x\x1b", 40, "x"},
		{"escape twice", "\x1b\x1b[2Jx", 40, "x"},
		{"one-character control sequence", "\u009b2Jx", 40, "x"},
		{"one-character string", "\u009d0;t\u009cx", 40, "x"},
		{"broken sequence", "\x1b[31\u00e9", 40, "é"},
		{"controls", "a\x00\b\x7fb", 40, "ab"},
		{"overrides", "a\u202eb\u2066c\u2069\u200fd", 40, "abcd"},
		{"zero width", "a\u200bb\u200d\ufeffc\u00add\u2060", 40, "abcd"},
		{"fillers", "a\u3164\u115f\uffa0\u2800b", 40, "ab"},
		{"selectors", "1\ufe0f\u20e3", 40, "1"},
		{"private, unassigned", "a\ue000\U000f0000\uffffb", 40, "ab"},
		{"not UTF-8", "a\xff\x9b\xc3b", 40, "ab"},
		{"skins, flags, joined people", "👩🏽‍🌾 👍🏿 🏽 🇩🇪", 40, "👩🌾 👍 DE"},
		{"wide stays", "羊毛 ヒツジ", 40, "羊毛 ヒツジ"},
		{"accents stay", "cafe\u0301 Åsa", 40, "cafe\u0301 Åsa"},
		{"a stack of marks", "a\u0301\u0301\u0301\u0301\u0301\u0301b", 40, "a\u0301\u0301\u0301\u0301b"},
		{"a mark alone", "\u0301a \u0301b", 40, "a b"},
		{"cut", "abcdef", 3, "abc"},
		{"cut before a space", "abc def", 4, "abc"},
		{"cut after a space", "abc def", 5, "abc d"},
		{"cut wide", "羊毛羊毛", 2, "羊毛"},
		{"none", "abc", 0, ""},
		{"below none", "abc", -1, ""},
	}
	for _, c := range cases {
		if got := CleanText(c.text, c.max); got != c.want {
			t.Errorf("%s: CleanText(%q, %d) = %q, want %q", c.name, c.text, c.max, got, c.want)
		}
	}
}
