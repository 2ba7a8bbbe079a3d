package shed

import "fleece.example/tubside/session/measure"

// Limits of figures: outside of them is a slip of the hand, or a file that is not ours.
// Forms, checks and the import go by these.
var (
	roomRangeC    = measure.Between(-10, 45)
	hotTapRangeC  = measure.Between(20, 95)
	coldTapRangeC = measure.Between(0.5, 35)
	capacityL     = measure.Between(1, 200)
	fillL         = measure.Between(0.5, 200)
	kettleL       = measure.Between(0, 10)
	kettleW       = measure.Between(0, 6000)
	doseML        = measure.Between(0, 100) // for each 100 g, of a powder g
	leadMin       = measure.Between(1, 30)
	hourOfDay     = measure.Between(0, 24)
	altitudeM     = measure.Between(-400, 6000)
	jugL          = measure.Between(0, 5)
	tankL         = measure.Between(0, 1000)
	tankW         = measure.Between(0, 30000)
	trayHolds     = measure.Between(1, mostPlaces)
	price         = measure.Between(0, 10000)
	scaleStepG    = measure.Between(0.01, 100)

	shornIn  = measure.Between(1950, 2200)
	fleeceG  = measure.Between(10, 20000)
	partG    = measure.Between(1, 20000)
	wasDryG  = measure.Between(0, 2000)
	stapleMM = measure.Between(5, 600) // from cotted belly wool to longwool of more than a year

	// BatchG is the raw weight of a batch, g.
	BatchG = measure.Between(5, 2000)

	// Of a step: what a mixed bath should have, the temperatures that end and begin its
	// soak, the step from the bath before, the fill as a part of the usual one, and the
	// minutes of a soak.
	AimC     = measure.Between(5, 80)
	ReleaseC = measure.Between(30, 65)
	SinkC    = measure.Between(0, 80)
	MaxGapC  = measure.Between(0, 60)
	FillPart = measure.Between(0.2, 1.2)
	SoakMin  = measure.Between(0, 7*24*60)
	// DosePart is how much of the usual dose of scour, 0 for all of it.
	DosePart = measure.Between(0, 2)

	// HangRange is from a lift to the next bath, min.
	HangRange = measure.Between(3, 4*60)
)

// How many there are of something at most.
const (
	// MaxTubs is the most tubs one screen can watch.
	MaxTubs = 24
	// MaxBatches is the most batches of a day.
	MaxBatches = 200
	// MaxWashes is the most washes of a batch on one day that a card can say.
	MaxWashes = 20

	maxSteps       = 20 // of a method; a wash that is done twice counts once
	maxTrays       = 40
	mostPlaces     = 50 // on a tray
	maxTrayLayers  = 20 // one over another at a place
	maxBatchLayers = 20
	mostParts      = 12  // of a fleece
	mostUses       = 40  // of the clean fibre of a fleece
	mostGave       = 1e5 // batches of the fleeces of a day, washed before it
	mostScales     = 8   // that are remembered
	mostTimes      = 1e6 // that something was seen

	mostReadyMin = 60 * dayMin // until a day is to be done
)

// Limits of all that a day is made from, by the names of their fields.
var Limits = measure.Limits{
	"room_c": roomRangeC, "hot_tap_c": hotTapRangeC, "cold_tap_c": coldTapRangeC,
	"tubs": count(MaxTubs), "Tub.capacity_l": capacityL, "fill_l": fillL, "marks": count(1e9),
	"Kettle.capacity_l": kettleL, "aside_l": kettleL, "power_w": kettleW, "dose_ml_per_100g": doseML, "powder_g_per_100g": doseML,
	"lead_min": leadMin, "up_h": hourOfDay, "bed_h": hourOfDay, "altitude_m": altitudeM, "jug_l": jugL,
	"Tank.volume_l": tankL, "bin_l": tankL, "heater_w": tankW,
	"trays": count(maxTrays), "Tray.places": trayHolds, "Tray.layers": count(maxTrayLayers),
	"per_m3": price, "per_kwh": price, "per_kwh_gas": price, "per_l_scour": price, "scales": count(mostScales), "step_g": scaleStepG,

	"steps": count(2 * maxSteps), "Step.soak_min": SoakMin, "shortest_min": SoakMin, "longest_min": SoakMin,
	"aim_c": AimC, "lowest_sink_c": SinkC, "release_c": ReleaseC, "max_gap_c": MaxGapC, "fill_part": FillPart, "dose_part": DosePart, "hang_min": HangRange,

	"fleeces": count(MaxBatches), "year": shornIn, "Fleece.raw_g": fleeceG, "skirted_g": fleeceG, "staple_mm": stapleMM,
	"parts": count(mostParts), "uses": count(mostUses), "joined": count(MaxBatches), "paid": price, "FleecePart.raw_g": partG,

	"batches": count(MaxBatches), "Card.washes": count(MaxWashes), "Batch.raw_g": BatchG, "Batch.layers": count(maxBatchLayers), "washed": count(MaxWashes), "was_dry_g": wasDryG,
	"log_scale": measure.Between(-20, 20), "sd_log": measure.Between(0, 20), "between_sd_log": measure.Between(0, 20), "baths": count(mostTimes),
	"HandsTime.min": SoakMin, "times": count(mostTimes), "zone_min": measure.Between(-dayMin, dayMin), "zone_then_min": measure.Between(-dayMin, dayMin), "zone_turn_min": measure.Between(-20e6, 130e6), "from_min": count(dayMin - 1), "to_min": count(dayMin - 1),
	"on_rack": count(maxTrays * mostPlaces * maxTrayLayers), "spots": count(maxBatchLayers),
	"place": trayHolds, "from": count(maxTrayLayers), "to": count(maxTrayLayers), "Lying.day": count(1 << 40), "Earlier.day": count(1 << 40),
	"break": count(MostBreaks), "ready_in_min": count(mostReadyMin), "wash_in_min": count(mostReadyMin),
	"gave": count(mostGave), "Gave.raw_g": BatchG, "Gave.dry_g": measure.Between(0.1, BatchG.Max),
}

func count(most float64) measure.Range { return measure.Between(0, most) }

// MostFillL is the largest bath that can be planned, L.
func MostFillL() float64 { return fillL.Max * FillPart.Max }

// ComputedC is the range of temperatures that are worked out, °C: between a cold shed and
// a kettle at the lowest place.
func ComputedC() measure.Range { return measure.Between(roomRangeC.Min, 105) }
