package shed

import (
	"fmt"
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

// CheckBreak says in a sentence what is wrong with hours as a break of each day.
func (h Hours) CheckBreak() error {
	const such = "12:30 to 13:15"
	if err := h.Validate("a break goes", such); err != nil {
		return err
	}
	if (h.ToMin-h.FromMin+dayMin)%dayMin > mostBreakMin {
		return fmt.Errorf("a break lasts up to 12 h, such as %s", such)
	}
	return nil
}

// Has says that a minute of the day lies in them.
func (h Hours) Has(min int) bool {
	if h.FromMin <= h.ToMin {
		return min >= h.FromMin && min < h.ToMin
	}
	return min >= h.FromMin || min < h.ToMin
}

// Span is from one moment to another.
type Span struct{ From, To time.Time }

// Has says that a moment lies in it.
func (s Span) Has(t time.Time) bool { return !t.Before(s.From) && t.Before(s.To) }

// Meets says that two have a moment in common.
func (s Span) Meets(o Span) bool { return s.From.Before(o.To) && o.From.Before(s.To) }

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
