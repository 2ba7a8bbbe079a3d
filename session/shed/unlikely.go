package shed

import (
	"errors"
	"fmt"
	"strings"
)

// ErrUnlikely is wrapped by every Unlikely.
var ErrUnlikely = errors.New("unlikely")

// Unlikely is the refusal of what is hardly meant; the same command with Sure set is
// accepted. How a person insists is for whoever asks to say.
type Unlikely struct {
	Reason string // a sentence without its stop
	Asks   bool   // it ends in a question of its own
}

func (u Unlikely) Error() string { return u.Reason }
func (u Unlikely) Unwrap() error { return ErrUnlikely }

// Unlikelyf is an Unlikely with a formatted Reason; it asks where that ends in a question mark.
func Unlikelyf(format string, args ...any) error {
	text := fmt.Sprintf(format, args...)
	return Unlikely{text, strings.HasSuffix(text, "?")}
}

// Together joins what is to be asked about, nil for nothing: a yes must not pass what was not said.
func Together(all ...error) (out error) {
	for _, err := range all {
		switch {
		case out == nil:
			out = err
		case err != nil:
			text := out.Error()
			if !strings.HasSuffix(text, "?") {
				text += "."
			}
			out = Unlikelyf("%s %v", text, err)
		}
	}
	return out
}
