package shed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"time"
)

// Hours are from one minute of the person's own day to another, over midnight too; equal is none.
type Hours struct {
	FromMin int `json:"from_min"`
	ToMin   int `json:"to_min"`
}

const dayMin = 24 * 60

// Validate says in a sentence what is wrong with hours.
func (h Hours) Validate(what, such string) error {
	if h.FromMin < 0 || h.FromMin >= dayMin || h.ToMin < 0 || h.ToMin >= dayMin {
		return fmt.Errorf("%s from one time of the day to another, such as %s", what, such)
	}
	return nil
}

// mostBreakMin is the longest break of each day, min: with a longer one no time may be left in
// which the work goes on.
const mostBreakMin = 12 * 60

// MostBreaks is how many a plan holds.
const MostBreaks = 8

// mostAwayMin is the most that breaks and quiet hours may be together to be planned around, min.
const mostAwayMin = 16 * 60

// Breaks are the breaks of each day.
type Breaks []Hours

// UnmarshalJSON reads them, and the one break that a plan of older versions has.
func (b *Breaks) UnmarshalJSON(text []byte) error {
	if len(text) > 0 && text[0] == '{' {
		text = []byte("[" + string(text) + "]")
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	return dec.Decode((*[]Hours)(b))
}

// Check says in a sentence what is wrong with them.
func (b Breaks) Check() error {
	const such = "12:30 to 13:15"
	for _, h := range b {
		if err := h.Validate("a break goes", such); err != nil {
			return err
		}
	}
	switch {
	case len(b) > MostBreaks:
		return fmt.Errorf("%d breaks are more than a day can hold (%d)", len(b), MostBreaks)
	case b.min() > mostBreakMin && len(b) == 1:
		return fmt.Errorf("a break lasts up to 12 h")
	case b.min() > mostBreakMin:
		return fmt.Errorf("breaks last up to 12 h a day together")
	}
	return nil
}

// min is how many minutes of the day they are.
func (b Breaks) min() (n int) {
	for min := range dayMin {
		for _, h := range b {
			if h.FromMin != h.ToMin && h.Has(min) {
				n++
				break
			}
		}
	}
	return n
}

// Has says that a minute of the day lies in them.
func (h Hours) Has(min int) bool {
	if h.FromMin <= h.ToMin {
		return min >= h.FromMin && min < h.ToMin
	}
	return min >= h.FromMin || min < h.ToMin
}

// LastsMin is how long they last, min.
func (h Hours) LastsMin() float64 { return float64((h.ToMin - h.FromMin + dayMin) % dayMin) }

// Span is from one moment to another.
type Span struct{ From, To time.Time }

// Has says that a moment lies in it.
func (s Span) Has(t time.Time) bool { return !t.Before(s.From) && t.Before(s.To) }

// Meets says that two have a moment in common.
func (s Span) Meets(o Span) bool { return s.From.Before(o.To) && o.From.Before(s.To) }

// MeetsAny says that it does so with one of them.
func (s Span) MeetsAny(all []Span) bool { return slices.ContainsFunc(all, s.Meets) }

// After is the first time that they last beyond t, by the clock of t's location; ok is false
// where there are none.
func (h Hours) After(t time.Time) (s Span, ok bool) {
	for day := -1; h.FromMin != h.ToMin; day++ {
		at := func(min int) time.Time {
			return time.Date(t.Year(), t.Month(), t.Day()+day, 0, min, 0, 0, t.Location())
		}
		if s.From, s.To = at(h.FromMin), at(h.ToMin); h.ToMin < h.FromMin {
			s.To = at(h.ToMin + dayMin)
		}
		if s.To.After(t) {
			return s, true
		}
	}
	return s, false
}
