package session

import (
	"maps"
	"math"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Limits of what happens on a day; those of what it is made from are shed.Limits.
var (
	bathRangeC = measure.Between(0, 100)
	topUpL     = measure.Between(0.05, 50)
	breakMin   = measure.Between(0, 12*60)
)

// limits are all of them by the names of fields. What the program works out by itself has
// wider ones than what is typed.
var limits = func() measure.Limits {
	const yearMin = 366 * 24 * 60.0
	bathL, wetG := measure.Between(0, shed.MostFillL()), measure.Between(0, shed.SoakingWetPart*shed.BatchG.Max)
	clock := measure.Between(-float64(math.MaxInt64), math.MaxInt64) // a board without a battery comes from 1970
	all := measure.Limits{
		"tub": measure.Between(-1, shed.MaxTubs-1), "loads": measure.Between(0, shed.MaxTubs),
		"ago_min": measure.Between(0, yearMin), "SoakChanged.soak_min": measure.Between(0, yearMin), "FleeceSunk.soak_min": measure.Between(0, yearMin),
		"BathFilled.volume_l": bathL, "FillCorrected.volume_l": bathL, "KettlePutOn.volume_l": bathL, "ToppedUp.volume_l": topUpL, "bail_l": bathL, "hot_l": bathL, "kettle_l": bathL, "load_l": bathL, "more_l": bathL,
		"temp_c": bathRangeC, "wet_c": shed.ComputedC(), "forecast_c": shed.ComputedC(), "sd_c": measure.Between(0, 200),
		"dose_ml": measure.Between(0, shed.MostDoseML()), "boil_min": measure.Between(0, yearMin), "step": measure.Between(0, 1000), "nth": measure.Between(0, 1000), "to_tub": measure.Between(0, shed.MaxTubs-1),
		"wet_j_per_k": measure.Between(0, 10*wetG.Max), // twice that of water
		"dry_g":       wetG, "mass_g": wetG, "BatchWeighedRaw.raw_g": shed.BatchG, "rh": measure.Between(0, 1),
		"in_min": breakMin, "for_min": breakMin, "seq": measure.Between(1, 1<<40), "gap_ns": measure.Between(0, math.MaxInt64), "by_ns": clock, "off_ns": clock,
	}
	maps.Copy(all, shed.Limits)
	return all
}()
