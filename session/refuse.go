package session

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

func unlikely(format string, args ...any) error {
	text := fmt.Sprintf(format, args...)
	return Unlikely{text, strings.HasSuffix(text, "?")}
}

// Lacks is a refusal that a deed would lift.
type Lacks struct {
	Reason string
	Deed   Deed
}

// Say is the refusal with how its deed is told.
func (l Lacks) Say(tell Telling) string { return l.Reason + ": " + tell.say(l.Deed) }
func (l Lacks) Error() string           { return l.Say(nil) }

// refusal is a sentence for the person around a cause for the program.
type refusal struct {
	text  string
	cause error
}

func (r refusal) Error() string { return r.text }
func (r refusal) Unwrap() error { return r.cause }
