package planner

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/shed"
)

// Outlook is what a plan comes to before a drop is poured.
type Outlook struct {
	Plan      shed.Plan // batches in the order in which they are begun
	Timetable Timetable
	Draws     []Draw // hot water, in order of time
	Sums      Sums
	// Nights are the presoaks that go over one, in order.
	Nights []shed.Night
	// ByDays are the batches by day, where it is more than one day's work.
	ByDays [][]string
	// Cautions are what the plan should be changed for, or what to mind.
	Cautions []string
}

// WithTubs is a day with some of the kit's tubs.
type WithTubs struct {
	Tubs     []shed.Tub
	Finish   time.Time
	Spare    time.Duration // of the tightest lift from a wash
	HasSpare bool
	HotL     float64 // from the tap, beside what the kettle boils
	KettleL  float64 // that, from the same tap
	Proven   bool
	Gap      float64
	Problem  string // why it cannot be done; "" if it can
	tight    int    // batches that open out in none of them
}

// Sums is what a day takes.
type Sums struct {
	_                            [0]func() // nobody compares two: no code for it
	WaterL, HotL, ColdL, KettleL float64
	TankKWh, KettleKWh           float64 // heat drawn from the tank, electricity into the kettle
	ScourML                      float64
	Boils                        int
	LengthMin, HandsMin          float64
	// Cost is in the person's own money; HasCost is false without a price.
	Cost    float64
	HasCost bool
}

func countedBatches(n int) string {
	if n == 1 {
		return "1 batch"
	}
	return fmt.Sprintf("%d batches", n)
}

// Names says which of a kit's tubs they are: by their names, or by those left out where these
// are fewer.
func (w WithTubs) Names(k shed.Kit) string {
	var with, without []string
	for _, t := range k.Tubs {
		if slices.Contains(w.Tubs, t) {
			with = append(with, t.Name)
		} else {
			without = append(without, t.Name)
		}
	}
	switch {
	case len(without) == 0:
		return "all"
	case len(without) < len(with):
		return "all but " + strings.Join(without, ", ")
	}
	return strings.Join(with, ", ")
}
