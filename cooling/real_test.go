package cooling_test

import (
	"encoding/csv"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// A realSeries is hot water as somebody measured it. Which series estimate what the
// law leaves open and which only check it was settled before either was looked at.
type realSeries struct {
	name      string
	cover     cooling.Cover
	vessel    cooling.Vessel
	fillL     float64
	roomC     float64 // as written down, or a middling room
	roomKnown bool
	estimates bool
	readings  []cooling.Reading
}

func realSeriesAll(t testing.TB) []realSeries {
	t.Helper()
	mug, beaker := cooling.Vessel{CapacityL: mugL}, cooling.Vessel{CapacityL: 0.1}
	all := []realSeries{
		{name: "mug, open", cover: cooling.Open, vessel: mug, fillL: mugFillL, roomC: mugRoomC, roomKnown: true, estimates: true},
		{name: "mug, oil", cover: cooling.Film, vessel: mug, fillL: mugFillL, roomC: mugRoomC, roomKnown: true, estimates: true},
		{name: "container 1", cover: cooling.Lid, vessel: mug, fillL: 0.3, roomC: 23, estimates: true},
		{name: "container 2", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 23, estimates: true},
		{name: "container 3", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 23, estimates: true},
		{name: "container 4", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 23, estimates: true},
		{name: "container 5", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 23, estimates: true},
		{name: "80 mL, still", cover: cooling.Open, vessel: beaker, fillL: 0.08, roomC: 27, estimates: true},
		{name: "80 mL, fan", cover: cooling.Open, vessel: beaker, fillL: 0.08, roomC: 27, estimates: true},
		{name: "black coffee", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 17, roomKnown: true},
		{name: "coffee with cream", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 17, roomKnown: true},
		{name: "second mug, open", cover: cooling.Open, vessel: mug, fillL: 0.3, roomC: 22},
		{name: "second mug, oil", cover: cooling.Film, vessel: mug, fillL: 0.3, roomC: 22},
	}
	by := map[string][]cooling.Reading{}
	wagon := published(t, "mug-open-and-film.csv")
	for i, m := range wagon["minutes"] {
		by["mug, open"] = append(by["mug, open"], cooling.Reading{AtMin: m, TempC: wagon["open_c"][i]})
		by["mug, oil"] = append(by["mug, oil"], cooling.Reading{AtMin: m, TempC: wagon["film_c"][i]})
	}
	file := must.Get(os.Open(filepath.Join("..", "testdata", "published", "cooling-series.csv"))).In(t)
	defer func() { _ = file.Close() }()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows := must.Get(reader.ReadAll()).In(t)
	for _, row := range rows[1:] {
		at, errAt := strconv.ParseFloat(row[1], 64)
		temp, errTemp := strconv.ParseFloat(row[2], 64)
		if errAt != nil || errTemp != nil {
			t.Fatal(row)
		}
		by[row[0]] = append(by[row[0]], cooling.Reading{AtMin: at, TempC: temp})
	}
	for i := range all {
		if all[i].readings = by[all[i].name]; len(all[i].readings) < 10 {
			t.Fatalf("%s has %d readings", all[i].name, len(all[i].readings))
		}
	}
	return all
}

// reaches is when a series first comes down to a temperature; ok is false if it
// does not.
func (s realSeries) reaches(tempC float64) (atMin float64, ok bool) {
	for i, r := range s.readings {
		if r.TempC <= tempC {
			if i == 0 {
				return 0, false
			}
			before := s.readings[i-1]
			return before.AtMin + (before.TempC-tempC)/(before.TempC-r.TempC)*(r.AtMin-before.AtMin), true
		}
	}
	return 0, false
}

// A realAsk is what was known at one moment of a series, and what is asked.
type realAsk struct {
	readings          []cooling.Reading
	floorC, crossesAt float64 // minutes since the first of readings
}

// asks are the forecasts that are made of one series: begun at the top or from 70 °C,
// as read or every few minutes to the degree, after several shares of the fall, for
// floors 3 °C apart that the series came to.
func (s realSeries) asks() (out []realAsk) {
	lowest := s.readings[len(s.readings)-1].TempC
	for _, beginC := range []float64{200, 70} {
		for _, coarse := range []bool{false, true} {
			var taken []cooling.Reading
			begin := math.NaN()
			for _, r := range s.readings {
				if r.TempC > beginC {
					continue
				}
				if math.IsNaN(begin) {
					begin = r.AtMin
				}
				at := r.AtMin - begin
				if coarse {
					if n := len(taken); n > 0 && at-taken[n-1].AtMin < 3 {
						continue
					}
					r.TempC = math.Round(r.TempC)
				}
				taken = append(taken, cooling.Reading{AtMin: at, TempC: r.TempC})
			}
			if len(taken) == 0 || beginC < 100 && s.readings[0].TempC <= beginC {
				continue
			}
			topC, last := taken[0].TempC, 0
			for _, share := range []float64{0.1, 0.2, 0.3, 0.45, 0.6, 0.75} {
				untilC := topC - share*(topC-lowest)
				n := 0
				for n < len(taken) && taken[n].TempC >= untilC {
					n++
				}
				if n < 4 || n == last || n >= len(taken) {
					continue
				}
				last = n
				for floorC := 79.0; floorC > 31; floorC -= 3 {
					at, ok := s.reaches(floorC)
					if at -= begin; ok && floorC < taken[n-1].TempC-1 && at > taken[n-1].AtMin {
						out = append(out, realAsk{taken[:n], floorC, at})
					}
				}
			}
		}
	}
	return out
}

// classes are what an ask is counted under beside its series.
func (a realAsk) classes(cover cooling.Cover) []string {
	n, lastMin := len(a.readings), a.readings[len(a.readings)-1].AtMin
	readings, way := "  to 6 readings", "  a way left of less than read"
	switch {
	case n > 24:
		readings = " 25 readings and more"
	case n > 11:
		readings = " 12 to 24 readings"
	case n > 6:
		readings = " 7 to 11 readings"
	}
	switch left := (a.crossesAt - lastMin) / lastMin; {
	case left > 4:
		way = " a way left of over 4 times that"
	case left > 1:
		way = " a way left of 1 to 4 times that"
	}
	return []string{cover.String(), readings, way}
}

// A realWay is a way to forecast; ok is false where it has no answer.
type realWay struct {
	name     string
	forecast func(realSeries, realAsk) (c cooling.Crossing, ok bool)
	quick    bool // all of its asks are counted in short runs too
}

// realWays are the command without and with what is known of the tub, the room known
// or not, and a bath as the day's heat estimate takes it.
var realWays = []realWay{
	{"a plain series, room known", ofSeries(true, false), false},
	{"a plain series, room free", ofSeries(false, false), false},
	{"a tub, room known", ofSeries(true, true), false},
	{"a tub, room free", ofSeries(false, true), false},
	{"a bath of the day", ofDay, true},
}

func ofDay(s realSeries, a realAsk) (cooling.Crossing, bool) {
	midC := a.readings[0].TempC - cooling.LossTakenBelowFillC
	loss, sdLog := cooling.LossWPerK(s.vessel, s.fillL, s.cover, midC, s.roomC)
	const sd = cooling.KitchenReadingSDC
	b := cooling.Bath{
		RoomC: s.roomC, StartC: a.readings[0].TempC, StartSDC: sd,
		HeatJPerK: cooling.WaterPortion(s.fillL, a.readings[0].TempC).HeatJPerK + cooling.VesselHeatJPerK(s.vessel, s.fillL),
		LossWPerK: loss, LossSDLog: sdLog,
		LossAtC: midC, LossTilt: cooling.LossTilt(s.vessel, s.fillL, s.cover, midC, s.roomC),
	}
	return b.Forecast(a.readings[1:], sd).Crossing(a.floorC, 0), true
}

func ofSeries(roomKnown, tub bool) func(realSeries, realAsk) (cooling.Crossing, bool) {
	return func(s realSeries, a realAsk) (cooling.Crossing, bool) {
		o := cooling.SeriesOptions{RoomC: s.roomC, RoomFree: !roomKnown, StartFree: true, HasFloor: true, FloorC: a.floorC}
		if tub {
			o.Tub = &cooling.Tub{Vessel: s.vessel, FillL: s.fillL, Cover: s.cover}
		}
		if roomKnown && !s.roomKnown {
			return cooling.Crossing{}, false
		}
		f, err := cooling.FitSeries(a.readings, o)
		return f.Crossing, err == nil
	}
}

// realCount counts where the true crossings lay.
type realCount struct{ n, early, inside, late float64 }

func (c *realCount) add(truthMin float64, got cooling.Crossing) {
	c.n++
	switch {
	case truthMin < got.EarlyMin:
		c.early++
	case truthMin > got.LateMin:
		c.late++
	default:
		c.inside++
	}
}

func (c *realCount) String() string {
	return fmt.Sprintf("%4.0f forecasts, before early %4.1f %%, inside %5.1f %%, after late %4.1f %%", c.n, 100*c.early/c.n, 100*c.inside/c.n, 100*c.late/c.n)
}

// The decisive measure, on real series: at most one truth in twenty lies before the
// early end, and about nine in ten inside. Forecasts of one series miss together, and
// those that only check are four: what they come to hangs on one that goes its own way.
func TestRealSeries(t *testing.T) {
	t.Parallel()
	all := realSeriesAll(t)
	for _, way := range realWays {
		var both realCount
		for _, estimates := range []bool{true, false} {
			var sum realCount
			classes := map[string]*realCount{}
			for _, s := range all {
				var own realCount
				for i, a := range s.asks() {
					if s.estimates != estimates || !way.quick && !long.Turn(i, 2) {
						continue
					}
					if got, ok := way.forecast(s, a); ok {
						own.add(a.crossesAt, got)
						for _, class := range a.classes(s.cover) {
							if classes[class] == nil {
								classes[class] = &realCount{}
							}
							classes[class].add(a.crossesAt, got)
						}
					}
				}
				if own.n > 0 {
					t.Logf("%-26s %-34s %s", way.name, s.name, &own)
				}
				sum.n, sum.early, sum.inside, sum.late = sum.n+own.n, sum.early+own.early, sum.inside+own.inside, sum.late+own.late
			}
			t.Logf("%-26s %-34s %s", way.name, map[bool]string{true: "ALL THAT ESTIMATE", false: "ALL THAT CHECK"}[estimates], &sum)
			both.n, both.early, both.inside, both.late = both.n+sum.n, both.early+sum.early, both.inside+sum.inside, both.late+sum.late
			for _, class := range slices.Sorted(maps.Keys(classes)) {
				c := classes[class]
				t.Logf("%-26s %-34s %s", way.name, class, c)
				if !estimates && c.early > 0.06*c.n && class[0] != ' ' { // a cover
					t.Errorf("%s, %s: %s", way.name, class, c)
				}
			}
			if sum.early > 0.05*sum.n || sum.inside < 0.87*sum.n {
				t.Errorf("%s: %s", way.name, &sum)
			}
		}
		t.Logf("%-26s %-34s %s", way.name, "ALL", &both)
		if both.early > 0.03*both.n || both.inside < 0.9*both.n || both.inside > 0.975*both.n {
			t.Errorf("%s: %s", way.name, &both)
		}
	}
}

// How far real series leave the law past their last reading: ln(minutes that are left
// / minutes that were forecast) in a bath of the day, with the room as it fits the whole
// series best, beside what was open as a standard deviation. Each series is left out once.
func TestLawError(t *testing.T) {
	fittingRoomC := map[string]float64{"container 1": 23, "container 2": 22, "container 3": 22, "container 4": 22, "container 5": 22, "80 mL, still": 24, "80 mL, fan": 24}
	type total struct{ n, off, square, share float64 }
	var all total
	var own []total
	var names []string
	for _, s := range realSeriesAll(t) {
		if !s.estimates {
			continue
		}
		if c, ok := fittingRoomC[s.name]; ok {
			s.roomC = c
		}
		var sums total
		for _, a := range s.asks() {
			lastMin := a.readings[len(a.readings)-1].AtMin
			c, _ := ofDay(s, a)
			if early := c.EarlyMin - lastMin; early > 0 && !math.IsInf(c.LateMin, 1) {
				off := math.Log((a.crossesAt - lastMin) / (c.LikelyMin - lastMin))
				share := off / (math.Log((c.LateMin-lastMin)/early) / 2 / 1.645)
				sums = total{sums.n + 1, sums.off + off, sums.square + off*off, sums.share + share*share}
			}
		}
		all = total{all.n + sums.n, all.off + sums.off, all.square + sums.square, all.share + sums.share}
		own, names = append(own, sums), append(names, s.name)
	}
	for i, o := range own {
		without := math.Sqrt((all.share - o.share) / (all.n - o.n))
		t.Logf("%-14s %3.0f forecasts: mean %+.3f, root mean square %.3f, %.2f of what is open; the others %.2f", names[i], o.n, o.off/o.n, math.Sqrt(o.square/o.n), math.Sqrt(o.share/o.n), without)
		if without < 0.5 || without > 0.9 {
			t.Errorf("without %s the forecasts are off by %.2f of what is open", names[i], without)
		}
	}
	t.Logf("all: mean %+.3f, root mean square %.3f, %.2f of what is open", all.off/all.n, math.Sqrt(all.square/all.n), math.Sqrt(all.share/all.n))
}
