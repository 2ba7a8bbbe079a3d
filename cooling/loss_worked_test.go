package cooling_test

import (
	"testing"

	"fleece.example/tubside/cooling"
)

// The loss of four tubs under each cover, worked out step by step outside the
// program from the relations that air.go and loss.go name: the sources are those
// given there, and what is from memory there is from memory here. A slip in one
// of the ways that heat goes moves a figure by more than the half per cent allowed.
//
// For the bucket of 10 L at 57 °C: 0.234 m wide, water 0.187 m, dry wall 0.047 m,
// surface 0.0428 m². Wall 10.59 W/m²K on 0.137 m² and 3 W/m²K through the foot:
// 1.579 W/K. Surface 13.46 dry (6.55 of it radiation) and 38.88 by vapour; bubble
// film 4.77; lid and the dry wall under it, at 38.5 °C, 0.823 W/K.
func TestLossWorkedOut(t *testing.T) {
	for _, x := range []struct {
		name                   string
		vessel                 cooling.Vessel
		fillL, waterC, roomC   float64
		open, lid, film, under float64 // W/K; under is lid and film
	}{
		{"bucket", cooling.Vessel{CapacityL: 10}, 8, 57, 20, 3.821, 2.074, 1.895, 1.780},
		{"bucket in a cold shed", cooling.Vessel{CapacityL: 10}, 8, 57, 5, 3.419, 2.061, 1.891, 1.792},
		{"cooler bucket", cooling.Vessel{CapacityL: 10}, 8, 40, 20, 3.131, 1.862, 1.714, 1.619},
		{"bucket two thirds full", cooling.Vessel{CapacityL: 12}, 8, 65, 20, 4.531, 2.268, 1.955, 1.823},
		{"tray", cooling.Vessel{CapacityL: 5, Shape: cooling.Shallow}, 4, 57, 20, 3.771, 1.358, 1.259, 1.084},
	} {
		for cover, want := range map[cooling.Cover]float64{cooling.Open: x.open, cooling.Lid: x.lid, cooling.Film: x.film, cooling.LidAndFilm: x.under} {
			got, _ := cooling.LossWPerK(x.vessel, x.fillL, cover, x.waterC, x.roomC)
			near(t, x.name+", "+cover.String()+", W/K", got, want, 0.005*want)
		}
	}
	bucket := cooling.Vessel{CapacityL: 10}
	for cover, want := range map[cooling.Cover]float64{cooling.Open: 0.01325, cooling.Lid: 0.00572, cooling.Film: 0.00542, cooling.LidAndFilm: 0.00488} {
		near(t, "tilt, "+cover.String(), cooling.LossTilt(bucket, 8, cover, 57, 20), want, 0.01*want)
	}
}
