package coach

import (
	"strings"

	"fleece.example/tubside/session/measure"
)

// Deed is what a person can tell the program besides the next act. By which key or
// word is for whoever shows it to say.
type Deed int

// The deeds that sentences speak of.
const (
	NoDeed     Deed = iota
	Refill          // empty a bath that is filled, to fill it anew
	WashAgain       // the wash, once more
	TakeTemp        // a thermometer reading
	TakeBack        // what was told last was not so
	TellCover       // another cover lies on the tub
	EnterRaw        // a batch to come weighs something else
	SoakOn          // the soak lasts longer
	TurnKettle      // what is on for another bath is for this one
)

var deedWords = measure.NewWords[Deed]("a deed", "", "empty it", "wash it again", "take a reading", "take it back", "tell of it", "enter its weight", "soak longer", "turn it to this tub")

func (d Deed) String() string { return deedWords.Of(d) }

// Telling says how a deed is told where a sentence is shown; nil is in plain words.
type Telling func(Deed) string

func (t Telling) say(d Deed) string {
	switch {
	case d == NoDeed:
		return ""
	case t == nil:
		return d.String()
	}
	return t(d)
}

// Way is one thing that would help, by itself: text, its deed, what follows.
type Way struct {
	Text string
	Deed Deed
	Then string
}

// Say is the way in words.
func (w Way) Say(tell Telling) string { return w.Text + tell.say(w.Deed) + w.Then }

// Line is one line of what there is to know of an act.
type Line struct {
	Of    LineOf
	Text  string // what is so, or how, how much, where
	Ways  []Way  // what would do about it
	Brief string // all of it in fewer words, for a small window; "": no shorter way
	Must  bool   // the act cannot do without it
}

// LineOf is what a line is about, where whoever shows it has to know.
type LineOf int

// Most lines are OfAct.
const (
	OfAct   LineOf = iota
	OfLabel        // what to write on the batch's label
	OfNext         // what comes after the act
)

// Say is the line in words.
func (l Line) Say(tell Telling) string {
	if len(l.Ways) == 0 {
		return l.Text
	}
	ways := make([]string, len(l.Ways))
	for i, w := range l.Ways {
		ways[i] = w.Say(tell)
	}
	text := strings.Join(ways, ", or ")
	if l.Text != "" {
		text = l.Text + ": " + text
	}
	return text
}

func (l Line) String() string { return l.Say(nil) }

func plainWays(texts []string) []Way {
	out := make([]Way, len(texts))
	for i, text := range texts {
		out[i].Text = text
	}
	return out
}

// Caution is a safety line: what harms, and with it how to keep from it.
type Caution struct{ Text, Brief string }

func (c Caution) and(text string) Caution { return Caution{c.Text + text, c.Brief} }

// Lacks is a refusal that a deed would lift.
type Lacks struct {
	Reason string
	Deed   Deed
}

// Say is the refusal with how its deed is told.
func (l Lacks) Say(tell Telling) string { return l.Reason + ": " + tell.say(l.Deed) }

func (l Lacks) Error() string { return l.Say(nil) }
