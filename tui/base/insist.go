package base

import (
	"errors"

	"github.com/charmbracelet/bubbles/key"

	"fleece.example/tubside/session/shed"
)

// Unlikely says whether a refusal can be insisted on.
func Unlikely(err error) bool { return errors.Is(err, shed.ErrUnlikely) }

// RefusedText is a refusal for the person; what can be insisted on names the key that
// does.
func RefusedText(err error, insist key.Binding) string {
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
