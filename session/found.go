package session

import (
	"fleece.example/tubside/session/measure"
)

// Found is how a batch came out of its wash, as it is seen on the rack or at its bag.
type Found int

// What may be found; of several the worst.
const (
	NotSaid Found = iota
	FoundClean
	StillWaxy
	TipsStuck
	Felted
	Stained
)

var foundWords = measure.Words{"", "clean", "still waxy", "tips stuck", "felted", "stained"}

func (f Found) String() string { return foundWords.Of(int(f)) }

func (f Found) MarshalText() ([]byte, error) { return foundWords.Write("what is found", int(f)) }

// UnmarshalText reads the word; an unknown word is refused with the list of known ones.
func (f *Found) UnmarshalText(b []byte) error {
	v, err := foundWords.Parse("what is found", b)
	*f = Found(v)
	return err
}
