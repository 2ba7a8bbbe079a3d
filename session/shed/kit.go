package shed

import (
	"fmt"
	"slices"
	"strings"
	"time"

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
	// Marks is the highest number of a tub or tray that is gone: none is given
	// twice, or a new one would inherit what was learned of it.
	Marks int `json:"marks,omitempty"`
	// Names are those that a tub, tray, scale or method has had, the last one last:
	// days washed under an older one go by it. What is gone keeps its last.
	Names  []MarkName `json:"names,omitempty"`
	Kettle Kettle     `json:"kettle"`
	Scour  Scour      `json:"scour"`
	// LeadMin is how many minutes the person needs to be at a tub: the alarm
	// before the release temperature comes that much early.
	LeadMin float64 `json:"lead_min"`

	// UpH and BedH are the hours between which the person is up: nobody is asked to
	// weigh at night. Both 0: the usual ones (Waking).
	UpH  int `json:"up_h,omitempty"`
	BedH int `json:"bed_h,omitempty"`

	AltitudeM float64 `json:"altitude_m,omitempty"` // above the sea: where the kettle boils
	// JugL is the mark of the jug that water is measured with; 0 pours exactly.
	JugL   float64 `json:"jug_l,omitempty"`
	Tank   Tank    `json:"tank,omitzero"`
	BinL   float64 `json:"bin_l,omitempty"` // bin or bath for the overnight presoak; 0: the tubs do it
	Trays  []Tray  `json:"trays,omitempty"` // the rack; none: its room is not counted
	Prices Prices  `json:"prices,omitzero"`
	Scales []Scale `json:"scales,omitempty"` // the one used last is first
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
	// PowderGPer100G, if above 0, says that it is a powder: g for each 100 g.
	PowderGPer100G float64 `json:"powder_g_per_100g,omitempty"`
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
		Scour:  Scour{Name: "scour", DoseMLPer100G: 4.5}, LeadMin: 5, UpH: 7, BedH: 22, JugL: 0.25,
		Tank: Tank{HeaterW: HeaterFor(measure.Metric)}, // what heats it, once its size is known
	}
}

// Limits of the kit's figures, in SI; a value outside is a slip of the hand.
var (
	roomRangeC    = measure.Between(-10, 45)
	hotTapRangeC  = measure.Between(20, 95)
	coldTapRangeC = measure.Between(0.5, 35)
	capacityL     = measure.Between(1, 200)
	fillL         = measure.Between(0.5, 200)
	kettleL       = measure.Between(0, 10)
	kettleW       = measure.Between(0, 6000)
	doseML        = measure.Between(0, 100)
	leadMin       = measure.Between(1, 30)
)

// CheckRoomC says what is wrong with a room temperature, nil if nothing. The
// other Check methods are alike; figures are shown in the kit's units.
func (k Kit) CheckRoomC(c float64) error {
	return k.CheckTempC("the room at", c, roomRangeC)
}

// checkHotTapC checks the hot tap's temperature.
func (k Kit) checkHotTapC(c float64) error { return k.CheckTempC("the hot tap at", c, hotTapRangeC) }

// What a room or a hot tap has but seldom, °C: a figure beyond is asked about.
var (
	usualRoomC = measure.Between(0, 40)
	mostTapC   = 90.0
)

// AskRoomC is CheckRoomC that asks about a room that is none: an Unlikely.
func (k Kit) AskRoomC(c float64) error {
	if err := k.CheckRoomC(c); err != nil || usualRoomC.Contains(c) {
		return err
	}
	return Unlikelyf("%s is odd for a room: the taps have fields of their own", k.Units.Temp(c))
}

// AskHotTapC is checkHotTapC that asks about a tap colder than the room, or near
// boiling, like AskRoomC.
func (k Kit) AskHotTapC(c float64) error {
	switch err := k.checkHotTapC(c); {
	case err != nil:
		return err
	case c < k.RoomC:
		return Unlikelyf("a hot tap at %s, below the room's %s", k.Units.Temp(c), k.Units.Temp(k.RoomC))
	case c > mostTapC:
		return Unlikelyf("a hot tap at %s: that is a kettle's water", k.Units.Temp(c))
	}
	return nil
}

// CheckColdTapC checks the cold tap's temperature.
func (k Kit) CheckColdTapC(c float64) error { return k.CheckTempC("the cold tap at", c, coldTapRangeC) }

// CheckCapacityL checks a tub's size to the rim.
func (k Kit) CheckCapacityL(l float64) error { return k.volumeIn("a tub's size of", l, capacityL) }

// CheckFillL checks a tub's usual bath.
func (k Kit) CheckFillL(l float64) error { return k.volumeIn("a bath of", l, fillL) }

// CheckKettleL checks the kettle's size; 0 says that there is none.
func (k Kit) CheckKettleL(l float64) error { return k.volumeIn("a kettle of", l, kettleL) }

// CheckKettleW checks the kettle's power in watts.
func (k Kit) CheckKettleW(w float64) error {
	if !kettleW.Contains(w) {
		return fmt.Errorf("the kettle's power should be between 0 and %.0f W, such as 2200 W", kettleW.Max)
	}
	return nil
}

// CheckDose checks the scour's dose in mL for each 100 g.
func (k Kit) CheckDose(mL float64) error {
	if !doseML.Contains(mL) {
		u, per := k.Units, DosedG(k.Units)/100
		return fmt.Errorf("the dose should be between 0 and %s for each %s, such as %s", u.Dose(doseML.Max*per), u.Mass(100*per), u.Dose(4.5*per))
	}
	return nil
}

// CheckLeadMin checks the minutes the person needs to reach a tub.
func (k Kit) CheckLeadMin(m float64) error {
	if !leadMin.Contains(m) {
		return fmt.Errorf("the warning should come between %.0f and %.0f minutes ahead", leadMin.Min, leadMin.Max)
	}
	return nil
}

// CheckTempC checks a temperature, °C, against a range; the sentence names what it is of.
func (k Kit) CheckTempC(what string, c float64, r measure.Range) error {
	return measure.About(what, k.Units.CheckTempC(c, r))
}

func (k Kit) volumeIn(what string, l float64, r measure.Range) error {
	return measure.About(what, k.Units.CheckVolumeL(l, r))
}

// Clean returns the kit with every name made safe to show and every tub and tray given
// a mark that no other has.
func (k Kit) Clean() Kit { return k.CleanBeside(nil) }

// CleanBeside is Clean with marks that none of the other tubs has: a new tub must
// not inherit what was learned of one that is gone.
func (k Kit) CleanBeside(others []Tub) Kit {
	k.Scour.Name, k.Names = measure.CleanText(k.Scour.Name, MaxName), cleanNames(k.Names)
	last := k.Marks
	for _, t := range slices.Concat(k.Tubs, others) {
		last = max(last, markNumber(measure.CleanText(t.ID, MaxName)))
	}
	mark := marker("t", last)
	k.Tubs = slices.Clone(k.Tubs)
	for i, t := range k.Tubs {
		t.ID, t.Name = mark(t.ID), measure.CleanText(t.Name, MaxName)
		k.Tubs[i] = t
	}
	return k.cleanSupply()
}

// marker gives each thing its own mark: the one it has, or where it has none, or one
// before it in the list has that, the next after last.
func marker(letter string, last int) func(id string) string {
	given := map[string]bool{"": true}
	return func(id string) string {
		if id = measure.CleanText(id, MaxName); given[id] {
			last++
			id = fmt.Sprint(letter, last)
		}
		given[id] = true
		return id
	}
}

// Instead is the kit that takes the place of an older one at a moment. It remembers the
// names that have changed, and the marks of what is gone, so that nothing new gets
// them.
func (k Kit) Instead(old Kit, at time.Time) Kit {
	k.Marks = max(k.Marks, old.Marks)
	for _, t := range old.Tubs {
		if i := slices.IndexFunc(k.Tubs, func(o Tub) bool { return o.ID == t.ID }); i < 0 {
			k.Marks = max(k.Marks, markNumber(t.ID))
		} else {
			k.rename(t.ID, t.Name, measure.CleanText(k.Tubs[i].Name, MaxName), at)
		}
	}
	for _, t := range old.Trays {
		if i := slices.IndexFunc(k.Trays, func(o Tray) bool { return o.ID == t.ID }); i < 0 {
			k.Marks = max(k.Marks, markNumber(t.ID))
		} else {
			k.rename(t.ID, t.Name, measure.CleanText(k.Trays[i].Name, MaxName), at)
		}
	}
	return k
}

// Validate checks the whole kit; the error is a sentence for the person.
func (k Kit) Validate() error {
	k = k.Clean() // names appear in the sentences
	if _, err := k.Units.MarshalText(); err != nil {
		return fmt.Errorf("the kit's units are neither metric nor us: choose one")
	}
	checks := []error{
		k.CheckRoomC(k.RoomC), k.checkHotTapC(k.HotTapC), k.CheckColdTapC(k.ColdTapC),
		k.CheckKettleL(k.Kettle.CapacityL), k.CheckKettleW(k.Kettle.PowerW),
		k.CheckDose(k.Scour.DoseMLPer100G), k.CheckPowder(k.Scour.PowderGPer100G), k.CheckLeadMin(k.LeadMin), k.CheckWaking(),
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
	if err := k.checkSupply(); err != nil {
		return err
	}
	for i, t := range k.Tubs {
		if err := k.validateTub(t); err != nil {
			return err
		}
		if err := CheckTubName(t.Name, k.Tubs[:i]); err != nil {
			return err
		}
	}
	return nil
}

// CheckTubName says that one of the other tubs has that name, nil if none has.
func CheckTubName(name string, others []Tub) error {
	name = measure.CleanText(name, MaxName)
	for _, o := range others {
		if strings.EqualFold(measure.CleanText(o.Name, MaxName), name) {
			return fmt.Errorf("two tubs are called %s: give each its own name", name)
		}
	}
	return nil
}

// CheckBath checks a tub's usual bath against the limits and against its size.
func (k Kit) CheckBath(t Tub) error {
	if err := k.CheckFillL(t.FillL); err != nil {
		return err
	}
	if t.FillL > t.CapacityL {
		return fmt.Errorf("%s holds %s, so a bath of %s runs over: fill less", measure.CleanText(t.Name, MaxName), k.Units.Volume(t.CapacityL), k.Units.Volume(t.FillL))
	}
	return nil
}

// validateTub checks one tub by itself.
func (k Kit) validateTub(t Tub) error {
	t.Name = measure.CleanText(t.Name, MaxName)
	if t.Name == "" {
		return fmt.Errorf("a tub has no name: give it one, such as North or Blue")
	}
	if _, err := t.Shape.MarshalText(); err != nil {
		return fmt.Errorf("%s has no shape: choose deep or shallow", t.Name)
	}
	if _, err := t.Cover.MarshalText(); err != nil {
		return fmt.Errorf("%s has no cover: choose open, lid, film, or lid and film", t.Name)
	}
	if err := k.CheckCapacityL(t.CapacityL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	if err := k.CheckFillL(t.FillL); err != nil {
		return fmt.Errorf("%s: %w", t.Name, err)
	}
	return k.CheckBath(t)
}

// MaxName is how many characters of a name are kept.
const MaxName = 40
