package cooling_test

import (
	"math"
	"sort"
	"testing"

	"fleece.example/tubside/cooling"
)

// A mug of hot water, open and under a film: Israel, Saltzman and Wagon,
// Mathematics Magazine 86(3), 2013, 204-210, room about 23 °C.
const (
	mugRoomC    = 23.0
	mugFloorC   = 49.0
	mugEveryMin = 4.0
	// Nobody wrote down how large the mug is. Its shape is taken from a cup of a
	// third of a litre, its loss from the readings: the prior knows it to a
	// factor of e only, and the start not at all.
	mugL          = 0.35
	mugFillL      = 0.315
	mugLossSDLog  = 1.0
	mugStartSDC   = 50.0
	mugReadingSDC = 0.5
)

// mugAt is the mug's temperature between the rows, by the cubic through the
// four nearest of ln(above the room).
func mugAt(rows []float64, minute float64) float64 {
	i := min(max(int(minute/mugEveryMin), 1), len(rows)-3)
	sum := 0.0
	for a := i - 1; a <= i+2; a++ {
		weight := 1.0
		for b := i - 1; b <= i+2; b++ {
			if a != b {
				weight *= (minute/mugEveryMin - float64(b)) / float64(a-b)
			}
		}
		sum += weight * math.Log(rows[a]-mugRoomC)
	}
	return mugRoomC + math.Exp(sum)
}

func mugReaches(rows []float64, tempC float64) float64 {
	low, high := 0.0, mugEveryMin*float64(len(rows)-1)
	for range 60 {
		if middle := (low + high) / 2; mugAt(rows, middle) > tempC {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// forecastMug forecasts from readings every 4 minutes from fromMin to untilMin,
// rounded to the degree; minutes count from fromMin.
func forecastMug(rows []float64, c cooling.Cover, tilted bool, fromMin, untilMin float64) (cooling.Crossing, int) {
	var readings []cooling.Reading
	for m := fromMin; m <= untilMin+1e-9; m += mugEveryMin {
		readings = append(readings, cooling.Reading{AtMin: m - fromMin, TempC: math.Round(mugAt(rows, m))})
	}
	midC := (readings[0].TempC + mugFloorC) / 2
	v := cooling.Vessel{CapacityL: mugL}
	loss, _ := cooling.LossWPerK(v, mugFillL, c, midC, mugRoomC)
	b := cooling.Bath{
		RoomC: mugRoomC, StartC: readings[0].TempC, StartSDC: mugStartSDC,
		HeatJPerK: cooling.WaterPortion(mugFillL, midC).HeatJPerK,
		LossWPerK: loss, LossSDLog: mugLossSDLog,
	}
	if tilted {
		b.LossAtC, b.LossTilt = midC, cooling.LossTilt(v, mugFillL, c, midC, mugRoomC)
	}
	return b.Fit(readings, mugReadingSDC).Crossing(mugFloorC, 0), len(readings)
}

// The plain law against the loss that falls with the temperature as handbooks
// have it, on real water. Ways to 49 °C:
//
//   - "65 °C, 30 % of minutes": from the last row not below 65 °C, over the
//     first 30 % of the minutes it takes to 49 °C;
//   - "65 °C, 30 % of degrees": the same until it has come down to 60.2 °C;
//   - "top, a fifth": from the first row (98.3 °C open, 91.2 °C under a film),
//     over the first fifth of the minutes.
//
// Both at the table's own rows and, since readings rounded to the degree hang on
// the minute they are taken at, begun at eight moments half a minute apart.
func TestOpenWaterForecasts(t *testing.T) {
	data := published(t, "mug-open-and-film.csv")
	for _, way := range []struct {
		name  string
		top   bool
		until func(rows []float64, from float64) float64
		held  bool // whether likely within 10 % and truth inside are asked of it
	}{
		{"65 °C, 30 % of minutes", false, func(rows []float64, from float64) float64 {
			return from + 0.3*(mugReaches(rows, mugFloorC)-from)
		}, true},
		{"65 °C, 30 % of degrees", false, func(rows []float64, from float64) float64 {
			return mugReaches(rows, 65-0.3*(65-mugFloorC))
		}, true},
		{"top, a fifth", true, func(rows []float64, from float64) float64 {
			return from + 0.2*(mugReaches(rows, mugFloorC)-from)
		}, false},
	} {
		for _, mug := range []struct {
			column string
			cover  cooling.Cover
		}{{"open_c", cooling.Open}, {"film_c", cooling.Film}} {
			rows := data[mug.column]
			reaches := mugReaches(rows, mugFloorC)
			begin := 0.0
			if !way.top {
				begin = math.Floor(mugReaches(rows, 65)/mugEveryMin) * mugEveryMin
			}
			median := map[bool]float64{}
			for _, tilted := range []bool{false, true} {
				c, n := forecastMug(rows, mug.cover, tilted, begin, way.until(rows, begin))
				truth := reaches - begin
				errorAtRows := (c.LikelyMin - truth) / truth
				holds := c.EarlyMin <= truth && truth <= c.LateMin
				var off []float64
				held := 0
				for shift := 0.0; shift < mugEveryMin; shift += 0.5 {
					from := begin + shift
					c, _ := forecastMug(rows, mug.cover, tilted, from, way.until(rows, from))
					truth := reaches - from
					off = append(off, math.Abs(c.LikelyMin-truth)/truth)
					if c.EarlyMin <= truth && truth <= c.LateMin {
						held++
					}
				}
				sort.Float64s(off)
				median[tilted] = (off[3] + off[4]) / 2
				law := map[bool]string{false: "plain", true: "tilted"}[tilted]
				t.Logf("%-22s %-6s %-6s: %2d readings, likely %5.1f of %5.1f min (%+5.1f %%), 5-95 %% %5.1f-%5.1f, holds %-5v; eight beginnings: off by %4.1f %% at the median, %4.1f %% at worst, held %d",
					way.name, mug.column, law, n, c.LikelyMin, truth, 100*errorAtRows, c.EarlyMin, c.LateMin, holds, 100*median[tilted], 100*off[7], held)
				if c.EarlyMin >= truth {
					t.Errorf("the early bound %v lies after the true crossing %v", c.EarlyMin, truth)
				}
				if way.held && tilted && (math.Abs(errorAtRows) > 0.1 || !holds) {
					t.Errorf("forecast %+v, true crossing %v", c, truth)
				}
			}
			if median[true] >= median[false] {
				t.Errorf("%s, %s: the tilted law is off by %v at the median, the plain one by %v", way.name, mug.column, median[true], median[false])
			}
		}
	}
}
