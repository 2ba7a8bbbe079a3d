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

var foundWords = measure.NewWords[Found]("what is found", "", "clean", "still waxy", "tips stuck", "felted", "stained")

func (f Found) String() string { return foundWords.Of(f) }

func (f Found) MarshalText() ([]byte, error) { return foundWords.Write(f) }

func (f *Found) UnmarshalText(b []byte) error { return foundWords.Read(b, f) }
