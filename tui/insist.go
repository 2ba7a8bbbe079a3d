package tui

import (
	"errors"

	"github.com/charmbracelet/bubbles/key"

	"fleece.example/tubside/session/shed"
)

// unlikely says whether a refusal can be insisted on.
func unlikely(err error) bool { return errors.Is(err, shed.ErrUnlikely) }

// refusedText is a refusal for the person; what can be insisted on names the key that
// does.
func refusedText(err error, insist key.Binding) string {
	var odd shed.Unlikely
	text, again := err.Error(), insist.Help().Key+" again"
	switch {
	case !errors.As(err, &odd):
		return text
	case odd.Asks:
		return text + " If so, press " + again
	default:
		return text + ". Right? Press " + again
	}
}
