package cooling

import (
	"fmt"
	"strings"
	"unicode"
)

// Cover is what lies over the water. The zero value is Open.
type Cover int

// The covers, from none to most. A Film floats on the water (bubble film, cut
// to size); a Lid sits on the rim of the tub.
const (
	Open Cover = iota
	Lid
	Film
	LidAndFilm
)

var coverNames = [...]string{Open: "open", Lid: "lid", Film: "film", LidAndFilm: "lid and film"}

// String is the trade's word for the cover.
func (c Cover) String() string { return nameOf(coverNames[:], int(c), "cover") }

// ParseCover reads what String writes, and film and lid; case and surrounding space
// do not matter. Any other text is an error.
func ParseCover(s string) (Cover, error) {
	if strings.EqualFold(strings.TrimSpace(s), "film and lid") {
		return LidAndFilm, nil
	}
	i, err := parseName(coverNames[:], s, "cover")
	return Cover(i), err
}

// MarshalText writes the word; a value outside the four is an error.
func (c Cover) MarshalText() ([]byte, error) { return marshalName(coverNames[:], int(c), "cover") }

// UnmarshalText reads what MarshalText writes and leaves c alone on an error.
func (c *Cover) UnmarshalText(text []byte) error {
	parsed, err := ParseCover(string(text))
	if err == nil {
		*c = parsed
	}
	return err
}

// Shape is the rough form of a tub, which decides how much surface its water
// shows. The zero value is Deep.
type Shape int

// The shapes: Deep is a bucket, about as deep as it is wide; Shallow is a tray.
const (
	Deep Shape = iota
	Shallow
)

var shapeNames = [...]string{Deep: "deep", Shallow: "shallow"}

// String is the word for the shape.
func (s Shape) String() string { return nameOf(shapeNames[:], int(s), "shape") }

// parseShape reads what String writes; case and surrounding space do not
// matter. Any other text is an error.
func parseShape(s string) (Shape, error) {
	i, err := parseName(shapeNames[:], s, "shape")
	return Shape(i), err
}

// MarshalText writes the word; a value outside the two is an error.
func (s Shape) MarshalText() ([]byte, error) { return marshalName(shapeNames[:], int(s), "shape") }

// UnmarshalText reads what MarshalText writes and leaves s alone on an error.
func (s *Shape) UnmarshalText(text []byte) error {
	parsed, err := parseShape(string(text))
	if err == nil {
		*s = parsed
	}
	return err
}

func nameOf(names []string, i int, kind string) string {
	if i < 0 || i >= len(names) {
		return fmt.Sprintf("unknown %s %d", kind, i)
	}
	return names[i]
}

func parseName(names []string, s, kind string) (int, error) {
	word := strings.ToLower(strings.TrimSpace(s))
	for i, name := range names {
		if word == name {
			return i, nil
		}
	}
	word = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) { // a terminal may be what shows it
			r = -1
		}
		return r
	}, word)
	return 0, fmt.Errorf("\"%s\" is not a %s: use one of %s", word, kind, strings.Join(names, ", "))
}

func marshalName(names []string, i int, kind string) ([]byte, error) {
	if i < 0 || i >= len(names) {
		return nil, fmt.Errorf("unknown %s %d", kind, i)
	}
	return []byte(names[i]), nil
}
