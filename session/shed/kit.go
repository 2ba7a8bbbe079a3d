package shed

import (
	"fmt"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

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
	// AsideL is the size of one that cannot be used for now: CapacityL is 0 meanwhile.
	AsideL float64 `json:"aside_l,omitempty"`
}

// Aside is the kettle as it is while it cannot be used.
func (k Kettle) Aside() Kettle { return Kettle{PowerW: k.PowerW, AsideL: k.CapacityL} }

// Back is the kettle as it is when it can be used again.
func (k Kettle) Back() Kettle { return Kettle{PowerW: k.PowerW, CapacityL: k.AsideL} }

// Scour is the washing agent and its dose.
type Scour struct {
	Name          string  `json:"name"`
	DoseMLPer100G float64 `json:"dose_ml_per_100g"` // mL for each 100 g raw fleece
	// PowderGPer100G, if above 0, says that it is a powder: g for each 100 g.
	PowderGPer100G float64 `json:"powder_g_per_100g,omitempty"`
}

// CheckRoomC says what is wrong with a room temperature, nil if nothing. The
// other Check methods are alike; figures are shown in the kit's units.
func (k Kit) CheckRoomC(c float64) error {
	return k.CheckTempC("the room at", c, roomRangeC)
}

// checkHotTapC checks the hot tap's temperature.
func (k *Kit) checkHotTapC(c float64) error { return k.CheckTempC("the hot tap at", c, hotTapRangeC) }

// What a room or a hot tap has but seldom, °C: a figure beyond is asked about.
var (
	usualRoomC = measure.Between(0, 40)
	mostTapC   = 90.0
)

// usualKettleL is what kettles hold, L: from a travel kettle to a pot on the hob, common
// practice.
var usualKettleL = measure.Between(0.45, 5)

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

// AskKettleL is CheckKettleL that asks about a kettle no shop sells: an Unlikely.
func (k Kit) AskKettleL(l float64) error {
	if err := k.CheckKettleL(l); err != nil || l == 0 || usualKettleL.Contains(l) {
		return err
	}
	return Unlikelyf("%s is an odd size for a kettle: is that what is printed on it?", k.Units.Volume(l))
}

// KettleFor is the usual power of a kettle, W: what a socket of 230 V gives, or one
// of 120 V (common practice).
func KettleFor(u measure.System) float64 {
	if u.American() {
		return 1500
	}
	return 2200
}

// CheckKettleW checks the kettle's power in watts.
func (k Kit) CheckKettleW(w float64) error {
	return powerIn("kettle", w, kettleW, KettleFor(k.Units))
}

// powerIn checks the power of a kettle or heater; 0 is none.
func powerIn(of string, w float64, r measure.Range, usualW float64) error {
	if !r.Contains(w) || w > 0 && w < measure.LeastPowerW {
		return fmt.Errorf("the %s's power should be between %d and %.0f W, such as %.0f W (%g kW)", of, measure.LeastPowerW, r.Max, usualW, usualW/1000)
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
func (k *Kit) CheckTempC(what string, c float64, r measure.Range) error {
	return measure.About(what, k.Units.CheckTempC(c, r))
}

func (k *Kit) volumeIn(what string, l float64, r measure.Range) error {
	return measure.About(what, k.Units.CheckVolumeL(l, r))
}

// MarkName is a name that something of the kit has had. The one that stands last
// of a mark is its name now.
type MarkName struct {
	Mark string    `json:"mark"` // of a tub, a tray or a method; of a scale scaleMark and its first name
	Name string    `json:"name"`
	At   time.Time `json:"at,omitzero"` // when it was given; zero: the first, or not known
}

// Tank is the storage heater behind the hot tap; it is set to the hot tap's
// temperature. VolumeL 0 says that the hot water never runs out, or that nobody
// knows.
type Tank struct {
	VolumeL float64 `json:"volume_l"`
	HeaterW float64 `json:"heater_w"`
}

// Tray is a place on the drying rack.
type Tray struct {
	ID     string `json:"id"` // stays when the name changes
	Name   string `json:"name"`
	Places int    `json:"places"` // batches that it has room for
	// Layers is how many layers of locks lie one over another at each place;
	// 0: nobody counts them, and a batch of locks takes a place.
	Layers int `json:"layers,omitempty"`
}

// Prices are what a day's water, energy and scour cost, in the person's own
// money; 0 leaves a part out of the sum.
type Prices struct {
	PerM3  float64 `json:"per_m3"`  // water, per 1000 L
	PerKWh float64 `json:"per_kwh"` // electricity
	// PerKWhGas is for a kWh of the gas that heats the tank; 0: electricity does.
	PerKWhGas  float64 `json:"per_kwh_gas,omitempty"`
	PerLScour  float64 `json:"per_l_scour"`     // scour, per litre
	MoneyWords string  `json:"money,omitempty"` // "EUR", "$"
}

// Given says there is a price at all.
func (p Prices) Given() bool {
	return p.PerM3 > 0 || p.PerKWh > 0 || p.PerKWhGas > 0 || p.PerLScour > 0
}

// gasEfficiency is the part of a gas heater's heat that comes into its water (from memory).
const gasEfficiency = 0.8

// TankCost is what so much heat in the tank's water costs.
func (p Prices) TankCost(kWh float64) float64 {
	if p.PerKWhGas > 0 {
		return kWh / gasEfficiency * p.PerKWhGas
	}
	return kWh * p.PerKWh
}

// DosedG is the raw fleece that a dose is said for, g: 100 g or 4 oz.
func DosedG(u measure.System) float64 {
	if u.Ounces() {
		return 4 * measure.GPerOz
	}
	return 100
}

// CoverWords is how a tub stands with a cover.
func CoverWords(c cooling.Cover) string {
	switch c {
	case cooling.Lid:
		return "under a lid"
	case cooling.Film:
		return "under film"
	case cooling.LidAndFilm:
		return "under film and lid"
	case cooling.Open:
	}
	return "left open"
}
