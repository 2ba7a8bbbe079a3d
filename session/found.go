package session

import (
	"fmt"
	"strings"

	"fleece.example/tubside/session/measure"
)

// Found is how a batch came out of its wash, as it is seen and felt on the rack, when it is
// bagged or later. It is a set: fleece can be still waxy and have its tips stuck.
type Found int

// What may be found. Those from StillWaxy to Stained are what a wash should not leave; the
// last four of those up to Brittle are how it feels, and behind them stands what became of it.
const (
	FoundClean Found = 1 << iota
	StillWaxy
	TipsStuck
	Felted
	Stained
	Soft
	Lofty
	Harsh
	Brittle
	ThrownAway
	BagEmpty // used or sold
)

// NotSaid is a batch of which nothing was said, FaultsFound what a wash should not leave.
const (
	NotSaid     Found = 0
	FaultsFound       = StillWaxy | TipsStuck | Felted | Stained
)

// foundWords are in the order of the bits.
var foundWords = measure.NewWords[Found]("what is found", "clean", "still waxy", "tips stuck", "felted", "stained", "soft", "lofty", "harsh", "brittle", "thrown away", "bag empty")

// opposites do not hold at once.
var opposites = map[Found]Found{FoundClean: StillWaxy, StillWaxy: FoundClean, Soft: Harsh, Harsh: Soft}

// Toggled is a set with one finding more, without its opposite; or less, where it was in.
func (f Found) Toggled(one Found) Found {
	if f&one != 0 {
		return f &^ one
	}
	return f&^opposites[one] | one
}

// foundApart is between the words of a set.
const foundApart = ", "

func (f Found) String() string {
	var out []string
	for i := Found(0); f>>i > 0; i++ {
		if f>>i&1 != 0 {
			out = append(out, foundWords.Of(i))
		}
	}
	return strings.Join(out, foundApart)
}

func (f Found) check() error {
	if f < 0 || f >= 1<<foundWords.Count() {
		return fmt.Errorf("%d is not what is found", int(f))
	}
	return nil
}

// MarshalText writes the words with commas between.
//
// Errors: a finding without a word, which could not be read back.
func (f Found) MarshalText() ([]byte, error) { return []byte(f.String()), f.check() }

// UnmarshalText reads them; what was written while there was one finding alone is a word.
//
// Errors: a sentence with the words that are known.
func (f *Found) UnmarshalText(b []byte) error {
	out := NotSaid
	for word := range strings.SplitSeq(string(b), strings.TrimSpace(foundApart)) {
		if len(b) == 0 {
			break
		}
		var i Found
		if err := foundWords.Read([]byte(word), &i); err != nil {
			return err
		}
		out |= 1 << i
	}
	*f = out
	return nil
}

// Outcome is how a batch came out, what its washer says of it in words of their own, and where its
// bag is.
type Outcome struct {
	Found Found
	Note  string
	Place string
}

func (o Outcome) String() string {
	switch {
	case o.Note == "":
		return o.Found.String()
	case o.Found == NotSaid:
		return o.Note
	}
	return o.Found.String() + "; " + o.Note
}

// Whole is String and where its bag is.
func (o Outcome) Whole() string {
	text := o.String()
	switch {
	case o.Place == "":
		return text
	case text == "":
		return "its bag " + o.Place
	}
	return text + "; its bag " + o.Place
}
