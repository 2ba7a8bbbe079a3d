package tag

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// Printed is what a tag said of its fleece when it was last printed.
type Printed struct {
	_       [0]func()  // nobody compares two: no code for it
	Day     shed.DayID `json:"day"`
	Batch   string     `json:"batch"`
	Fleece  string     `json:"fleece"` // its mark
	At      time.Time  `json:"at"`
	Name    string     `json:"name"`
	Details string     `json:"details,omitempty"`
}

// PrintedAt is a batch's tag as it is printed at a moment.
func PrintedAt(d session.Day, id shed.DayID, batch string, at time.Time) Printed {
	f := d.FleeceOf(batch)
	return Printed{Day: id, Batch: batch, Fleece: f.ID, At: at.UTC(), Name: f.Title(), Details: tagDetails(f)}
}

// tagDetails is what a tag says of a fleece besides its name.
func tagDetails(f *shed.Fleece) string {
	return fmt.Sprintf("%d, %s, %.0f mm, %s", f.Year, f.Colour, f.StapleMM, f.Notes)
}

// OutOfDate is how many of the tags that were printed do not say what the fleece is
// now, and what of it: its name, or else its details.
func OutOfDate(f shed.Fleece, printed []Printed) (n int, of string) {
	name, rest := 0, 0
	for _, p := range printed {
		switch {
		case p.Fleece != f.ID:
		case p.Name != f.Title():
			name++
		case p.Details != tagDetails(&f):
			rest++
		}
	}
	if name > 0 {
		return name + rest, "name"
	}
	return rest, "details"
}
