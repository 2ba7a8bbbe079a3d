package shed

import (
	"time"
)

// WetWeight is a batch on its way to dry.
type WetWeight struct {
	At    time.Time
	MassG float64
	Scale Scale
}
