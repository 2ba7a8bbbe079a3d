package shed

import (
	"fmt"
	"time"
)

// Waking is the hours of the day at which the person is up, by the clock on the
// wall; a kit that says nothing has the usual ones.
func (k *Kit) Waking() (fromH, toH int) {
	if k.UpH == 0 && k.BedH == 0 {
		usual := DefaultKit()
		k = &usual
	}
	return k.UpH, k.BedH
}

// CheckWaking checks these hours.
func (k *Kit) CheckWaking() error {
	from, to := k.Waking()
	switch {
	case from < 0 || from > 23 || to < 0 || to > 24:
		return fmt.Errorf("hours of the day go from 0 to 24: give such as 7 and 22")
	case from == to%24:
		return fmt.Errorf("you are up from %d to %d, which is no time at all: give such as 7 and 22", from, to)
	}
	return nil
}

// WhenUp is the first moment from t on at which the person is up. What t's
// location says is the clock on the wall.
func (k *Kit) WhenUp(t time.Time) time.Time {
	from, to := k.Waking()
	h := t.Hour()
	up := h >= from && h < to
	if to%24 < from { // to bed after midnight
		up = h >= from || h < to%24
	}
	if up {
		return t
	}
	return k.Rises(t)
}

// Rises is the first moment from t on at which the person gets up, by the clock of
// t's location.
func (k *Kit) Rises(t time.Time) time.Time {
	from, _ := k.Waking()
	morning := time.Date(t.Year(), t.Month(), t.Day(), from, 0, 0, 0, t.Location())
	if morning.Before(t) {
		morning = time.Date(t.Year(), t.Month(), t.Day()+1, from, 0, 0, 0, t.Location())
	}
	return morning
}
