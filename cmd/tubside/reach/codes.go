package reach

import (
	"strings"

	"fleece.example/tubside/session/measure"
)

const (
	osc = "\x1b]"
	end = "\a" // the older of the two ends, which every terminal knows
)

// field is a text for a terminal's own code: no codes of its own, and no
// semicolon, which would begin another field or, after a digit, another order
// (OSC 9;4 is a progress bar).
func field(text string) string {
	return strings.ReplaceAll(measure.CleanText(text, textRunes), ";", ",")
}

// OSC9 asks the terminal for a notice of its own. A terminal that does not know
// it shows nothing; tmux does not pass it on.
func OSC9(text string) []byte { return []byte(osc + "9;" + field(text) + end) }

// OSC777 asks the terminal for a notice with a title; other terminals know this
// one than OSC9, and both may be written.
func OSC777(title, text string) []byte {
	return []byte(osc + "777;notify;" + field(title) + ";" + field(text) + end)
}
