package session

import (
	"fmt"
	"math"
	"strings"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

// MaxTubs is how many tubs a kit may have: digits and letters choose them.
const MaxTubs = 24

// Kit is what the person washes with, and the room it stands in.
type Kit struct {
	Units    measure.System `json:"units"`
	RoomC    float64        `json:"room_c"`
	HotTapC  float64        `json:"hot_tap_c"`
	ColdTapC float64        `json:"cold_tap_c"`
	Tubs     []Tub          `json:"tubs"`
	Kettle   Kettle         `json:"kettle"`
	Scour    Scour          `json:"scour"`
	// LeadMin is how many minutes the person needs to be at a tub: the alarm
	// before the release temperature comes that much early.
	LeadMin float64 `json:"lead_min"`
}

// Tub is one vessel a basket is set into.
type Tub struct {
	// ID stays the same when the name changes, so that what was learned of a tub follows it.
	ID        string        `json:"id"`
	Name      string        `json:"name"`
	CapacityL float64       `json:"capacity_l"` // full to the rim, litres
	FillL     float64       `json:"fill_l"`     // usual bath, litres
	Shape     cooling.Shape `json:"shape"`
	Cover     cooling.Cover `json:"cover"` // usual cover
}

// Vessel is the tub as the heat estimate sees it.
func (t Tub) Vessel() cooling.Vessel {
	return cooling.Vessel{CapacityL: t.CapacityL, Shape: t.Shape}
}

// Kettle brings bath water above the hot tap. CapacityL 0 means there is none.
type Kettle struct {
	CapacityL float64 `json:"capacity_l"`
	PowerW    float64 `json:"power_w"`
}

// Scour is the washing agent and its dose.
type Scour struct {
	Name          string  `json:"name"`
	DoseMLPer100G float64 `json:"dose_ml_per_100g"` // mL for each 100 g raw fleece
}

// DefaultKit is a usable starting point: taps at the temperatures of a usual
// household (common practice, no source), three tubs, one kettle, and the
// usual dose of about 5 mL for 115 g (common practice, no source).
func DefaultKit() Kit {
	return Kit{
		Units: measure.Metric, RoomC: 18, HotTapC: 51, ColdTapC: 12,
		Tubs: []Tub{
			{ID: "t1", Name: "North", CapacityL: 12, FillL: 8, Shape: cooling.Deep, Cover: cooling.Lid},
			{ID: "t2", Name: "South", CapacityL: 12, FillL: 8, Shape: cooling.Deep, Cover: cooling.Lid},
			{ID: "t3", Name: "Tray", CapacityL: 8, FillL: 5, Shape: cooling.Shallow, Cover: cooling.Film},
		},
		Kettle: Kettle{CapacityL: 1.7, PowerW: 2200},
		Scour:  Scour{Name: "scour", DoseMLPer100G: 4.5}, LeadMin: 5,
	}
}

// Limits of the kit's figures, in SI; a value outside is a slip of the hand.
var (
	roomRangeC    = span{-10, 45}
	hotTapRangeC  = span{20, 95}
	coldTapRangeC = span{0.5, 35}
	capacityL     = span{1, 200}
	fillL         = span{0.5, 200}
	kettleL       = span{0, 10}
	kettleW       = span{0, 6000}
	doseML        = span{0, 100}
	leadMin       = span{1, 30}
)

type span struct{ min, max float64 }

func (s span) has(v float64) bool { return v >= s.min && v <= s.max } // NaN is in no span

// CheckRoomC says what is wrong with a room temperature, nil if nothing. The
// other Check methods are alike; figures are shown in the kit's units.
func (k Kit) CheckRoomC(c float64) error {
	return k.tempIn("the room", c, roomRangeC)
}

// CheckHotTapC checks the hot tap's temperature.
func (k Kit) CheckHotTapC(c float64) error { return k.tempIn("the hot tap", c, hotTapRangeC) }

// CheckColdTapC checks the cold tap's temperature.
func (k Kit) CheckColdTapC(c float64) error { return k.tempIn("the cold tap", c, coldTapRangeC) }

// CheckCapacityL checks a tub's size to the rim.
func (k Kit) CheckCapacityL(l float64) error { return k.volumeIn("a tub's size", l, capacityL) }

// CheckFillL checks a tub's usual bath.
func (k Kit) CheckFillL(l float64) error { return k.volumeIn("a bath", l, fillL) }

// CheckKettleL checks the kettle's size; 0 says that there is none.
func (k Kit) CheckKettleL(l float64) error { return k.volumeIn("the kettle", l, kettleL) }

// CheckKettleW checks the kettle's power in watts.
func (k Kit) CheckKettleW(w float64) error {
	if !kettleW.has(w) {
		return fmt.Errorf("the kettle's power should be between 0 and %.0f W, such as 2200 W", kettleW.max)
	}
	return nil
}

// CheckDose checks the scour's dose in mL for each 100 g.
func (k Kit) CheckDose(mL float64) error {
	if !doseML.has(mL) {
		return fmt.Errorf("the dose should be between 0 and %.0f mL for each 100 g, such as 4.5", doseML.max)
	}
	return nil
}

// CheckLeadMin checks the minutes the person needs to reach a tub.
func (k Kit) CheckLeadMin(m float64) error {
	if !leadMin.has(m) {
		return fmt.Errorf("the warning should come between %.0f and %.0f minutes ahead", leadMin.min, leadMin.max)
	}
	return nil
}

func (k Kit) tempIn(what string, c float64, s span) error {
	if !s.has(c) {
		return fmt.Errorf("%s at %s cannot be right: give %s to %s", what, k.Units.Temp(c), k.Units.Temp(s.min), k.Units.Temp(s.max))
	}
	return nil
}

func (k Kit) volumeIn(what string, l float64, s span) error {
	if !s.has(l) {
		return fmt.Errorf("%s of %s cannot be right: give %s to %s", what, k.Units.Volume(l), k.Units.Volume(s.min), k.Units.Volume(s.max))
	}
	return nil
}

// Clean returns the kit with every name made safe to show and every tub given an ID.
func (k Kit) Clean() Kit {
	k.Scour.Name = clean(k.Scour.Name, maxName)
	tubs := make([]Tub, len(k.Tubs))
	used := map[string]bool{}
	for _, t := range k.Tubs {
		used[t.ID] = true
	}
	for i, t := range k.Tubs {
		t.Name = clean(t.Name, maxName)
		t.ID = clean(t.ID, maxName)
		for n := i + 1; t.ID == ""; n++ {
			if id := fmt.Sprintf("t%d", n); !used[id] {
				t.ID, used[id] = id, true
			}
		}
		tubs[i] = t
	}
	k.Tubs = tubs
	return k
}

// Validate checks the whole kit; the error is a sentence for the person.
func (k Kit) Validate() error {
	checks := []error{
		k.CheckRoomC(k.RoomC), k.CheckHotTapC(k.HotTapC), k.CheckColdTapC(k.ColdTapC),
		k.CheckKettleL(k.Kettle.CapacityL), k.CheckKettleW(k.Kettle.PowerW),
		k.CheckDose(k.Scour.DoseMLPer100G), k.CheckLeadMin(k.LeadMin),
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	if k.ColdTapC >= k.HotTapC {
		return fmt.Errorf("the cold tap (%s) is not colder than the hot tap (%s): swap them", k.Units.Temp(k.ColdTapC), k.Units.Temp(k.HotTapC))
	}
	switch {
	case len(k.Tubs) == 0:
		return fmt.Errorf("the kit has no tub: add at least one")
	case len(k.Tubs) > MaxTubs:
		return fmt.Errorf("the kit has %d tubs: %d is the most one screen can watch", len(k.Tubs), MaxTubs)
	}
	names, ids := map[string]bool{}, map[string]bool{}
	for _, t := range k.Tubs {
		if err := k.ValidateTub(t); err != nil {
			return err
		}
		n := strings.ToLower(t.Name)
		if names[n] {
			return fmt.Errorf("two tubs are called %s: give each its own name", t.Name)
		}
		if t.ID != "" && ids[t.ID] {
			return fmt.Errorf("two tubs share the mark %q: leave it out and a new one is given", t.ID)
		}
		names[n], ids[t.ID] = true, true
	}
	return nil
}

// ValidateTub checks one tub by itself.
func (k Kit) ValidateTub(t Tub) error {
	if clean(t.Name, maxName) == "" {
		return fmt.Errorf("a tub has no name: call it by its place or colour, such as North")
	}
	if err := k.CheckCapacityL(t.CapacityL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	if err := k.CheckFillL(t.FillL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	if t.FillL > t.CapacityL {
		return fmt.Errorf("%s holds %s, so a bath of %s runs over: fill less", t.Name, k.Units.Volume(t.CapacityL), k.Units.Volume(t.FillL))
	}
	return nil
}

// maxName is how many characters of a name are kept.
const maxName = 40

func clean(s string, n int) string { return measure.CleanText(s, n) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
