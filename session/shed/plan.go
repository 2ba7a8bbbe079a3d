package shed

import (
	"slices"
	"time"

	"fleece.example/tubside/cooling"
)

// HandsTime is how long one act took on past days, the middle of so many times.
type HandsTime struct {
	Act   Action  `json:"act"`
	Min   float64 `json:"min"`
	Times int     `json:"times"`
}

// TubHeat is what finished baths taught about one tub under one cover, as the
// next day starts from it.
type TubHeat struct {
	Tub      string        `json:"tub"` // the tub's ID
	Cover    cooling.Cover `json:"cover"`
	LogScale float64       `json:"log_scale"` // ln(loss/handbook loss)
	SDLog    float64       `json:"sd_log"`
	Baths    int           `json:"baths"`
	// BetweenSDLog is by how much its days differ; 0 in a plan that was made before that was learned.
	BetweenSDLog float64 `json:"between_sd_log,omitempty"`
}

// Plan is everything needed to start a wash day.
type Plan struct {
	Kit     Kit      `json:"kit"`
	Method  Method   `json:"method"`
	Fleeces []Fleece `json:"fleeces"`
	Batches []Batch  `json:"batches"` // in the order they are to be washed
	// Heat is what earlier days taught about the tubs.
	Heat []TubHeat `json:"heat,omitempty"`
	// Hands is what they taught about the person's acts.
	Hands []HandsTime `json:"hands,omitempty"`
	// ZoneMin is how many minutes the clock on the wall is ahead of UTC, and ZoneThenMin how many once it
	// is changed, so many minutes after the begin of 1970 in UTC; ZoneTurnMin is 0 where it is not, soon after the begin.
	ZoneMin     int16 `json:"zone_min,omitempty"`
	ZoneThenMin int16 `json:"zone_then_min,omitempty"`
	ZoneTurnMin int32 `json:"zone_turn_min,omitempty"`
	// OnRack is what earlier days have on the rack; what is washed again here is off it (Lying).
	OnRack []Lying `json:"on_rack,omitempty"`
	// Gave is what batches of its fleeces gave on earlier days.
	Gave []Gave `json:"gave,omitempty"`
	// EnteredAt is when the day was entered later, from cards that were written then: nothing
	// is known of its baths, times and alarms. Zero: it was lived.
	EnteredAt time.Time `json:"entered_at,omitzero"`
	// Break is when the person is away each day: nothing is planned for them then, nor in the
	// hours that they keep quiet.
	Break Breaks `json:"break,omitempty"`
	Quiet Hours  `json:"quiet,omitzero"`
	// ReadyInMin is how long after its begin the day is to be done; 0: no matter.
	ReadyInMin float64 `json:"ready_in_min,omitempty"`
	// WashInMin is how long after its begin washing is to begin, what presoaks over a night lifted; 0:
	// when the person is up.
	WashInMin float64 `json:"wash_in_min,omitempty"`
}

// FromCards says that the day was entered later.
func (p *Plan) FromCards() bool { return !p.EnteredAt.IsZero() }

// Lying is what lies on the rack from earlier days, but for what the plan washes again.
func (p *Plan) Lying() []Lying {
	return slices.DeleteFunc(slices.Clone(p.OnRack), func(l Lying) bool {
		return slices.ContainsFunc(p.Batches, func(b Batch) bool { return b.Was() == Earlier{l.Day, l.Batch} })
	})
}

// Gave is a batch of an earlier day that was weighed raw and dry.
type Gave struct {
	Fleece string  `json:"fleece"` // its fleece's mark
	Part   string  `json:"part,omitempty"`
	RawG   float64 `json:"raw_g"`
	DryG   float64 `json:"dry_g"`
}

// Note is something the person wanted to remember.
type Note struct {
	At   time.Time `json:"at"`
	Tub  int       `json:"tub"` // index into the kit's tubs; -1 for the whole day
	Text string    `json:"text"`
}
