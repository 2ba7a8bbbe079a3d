package shed

import (
	"strings"

	"fleece.example/tubside/session/measure"
)

// FleecePart is a part that a fleece was sorted into: shoulder, sides, britch.
type FleecePart struct {
	Name string  `json:"name"`
	RawG float64 `json:"raw_g"`
}

// CleanPart is the name of a part made safe to show.
func CleanPart(name string) string { return measure.CleanText(name, MaxName) }

// SamePart says that two names mean one part: "Shoulder" is "shoulder".
func SamePart(a, b string) bool { return PartKey(a) == PartKey(b) }

// PartKey is the name by which the arithmetic knows a part.
func PartKey(name string) string { return strings.ToLower(name) }
