package yield

import (
	"testing"

	"fleece.example/tubside/session/must"
)

func BenchmarkForecastRest(b *testing.B) {
	var bs []Batch
	for _, g := range []float64{110, 118, 109, 121, 114, 112} {
		bs = append(bs, Batch{RawG: 210, DryG: g})
	}
	for b.Loop() {
		must.Get(ForecastRest(bs, []Part{{RawG: 900}}, "medium", nil)).In(b)
	}
}

func BenchmarkForecastRestByParts(b *testing.B) {
	var bs []Batch
	for i, g := range []float64{110, 118, 109, 121, 114, 112} {
		bs = append(bs, Batch{RawG: 210, DryG: g, Part: []string{"shoulder", "side"}[i/3]})
	}
	for b.Loop() {
		must.Get(ForecastRest(bs, []Part{{RawG: 900}}, "medium", nil)).In(b)
	}
}

func BenchmarkForecastDrying(b *testing.B) {
	ws := []Weighing{{0, 220}, {300, 160}, {600, 136}, {900, 125}, {1200, 121}, {1500, 119}}
	for b.Loop() {
		must.Get(ForecastDrying(ws, Rack{RawG: 225, Type: "medium"}, nil)).In(b)
	}
}

// BenchmarkForecastBeside is the same beside nine others, each weighed as often.
func BenchmarkForecastBeside(b *testing.B) {
	ws := []Weighing{{0, 220}, {300, 160}, {600, 136}, {900, 125}, {1200, 121}, {1500, 119}}
	rack := Rack{RawG: 225, Type: "medium"}
	for range 9 {
		rack.Beside = append(rack.Beside, Beside{Weighings: ws, Rack: rack})
	}
	for b.Loop() {
		must.Get(ForecastDrying(ws, rack, nil)).In(b)
	}
}
