package yield

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

type core struct {
	bale string
	part float64 // clean by raw
}

// cores reads Dean and Voss, Design and Analysis of Experiments (1999), Table
// 17.1: 28 cores, 4 from each of 7 bales.
func cores(t *testing.T) []core {
	t.Helper()
	f := must.Get(os.Open(filepath.Join("..", "..", "testdata", "published", "clean-wool-cores.csv"))).In(t)
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 29 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	var out []core
	for _, row := range rows[1:] {
		v := must.Get(strconv.ParseFloat(row[1], 64)).In(t)
		out = append(out, core{row[0], v / 100})
	}
	return out
}

const coreG = 200 // a core stands for a batch of this raw mass

// tried is one draw: what was weighed, what the rest really gave.
type tried struct {
	batches []Batch
	rest    float64
}

func try(drawn, rest []core) tried {
	var d tried
	for _, c := range drawn {
		d.batches = append(d.batches, Batch{RawG: coreG, DryG: coreG * c.part, Part: "bale " + c.bale})
	}
	for _, c := range rest {
		d.rest += c.part / float64(len(rest))
	}
	return d
}

func (d tried) restG(all int) float64 { return float64(coreG * (all - len(d.batches))) }

// named is a forecast by the parts' names.
const named = "named"

// forecast is the program's, by the parts' names, by none or as drawn from all over.
func (d tried) forecast(t *testing.T, all int, how string, fleeceType string) Interval {
	t.Helper()
	bs := d.batches
	if how != named {
		bs = append([]Batch(nil), bs...)
		for i := range bs {
			bs[i].Part = how
		}
	}
	f := must.Get(ForecastRest(bs, []Part{{RawG: d.restG(all)}}, fleeceType, nil)).In(t)
	return f.YieldPart
}

// plainT is the textbook's interval for the mean of the rest, variance
// s²(1/n + 1/m).
func (d tried) plainT(all int) Interval {
	n := float64(len(d.batches))
	mean, square := 0.0, 0.0
	for _, b := range d.batches {
		mean += b.DryG / b.RawG / n
	}
	for _, b := range d.batches {
		square += (b.DryG/b.RawG - mean) * (b.DryG/b.RawG - mean)
	}
	t95 := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 1}.Quantile(0.95)
	half := t95 * math.Sqrt(square/(n-1)*(1/n+1/(float64(all)-n)))
	return Interval{mean - half, mean, mean + half}
}

func (i Interval) holds(v float64) bool { return i.Low <= v && v <= i.High }

// tally counts how often an interval held, and its mean width.
type tally struct {
	held, all int
	width     float64
}

func (y *tally) add(i Interval, truth float64) {
	y.all++
	y.width += i.High - i.Low
	if i.holds(truth) {
		y.held++
	}
}

func (y *tally) join(x tally) { y.held, y.all, y.width = y.held+x.held, y.all+x.all, y.width+x.width }

func (y tally) part() float64 { return float64(y.held) / float64(y.all) }

func (y tally) String() string {
	return fmt.Sprintf("%d of %d (%.1f %%), %.1f points wide", y.held, y.all, 100*y.part(), 100*y.width/float64(y.all))
}

// draw calls each with every choice of 1 or 4 cores, or with 4000 random choices of
// 8 or 12, and the cores that are left. Unless the tests run at length they are
// 400 random choices of 4, 8 or 12: enough to tell 90 % from 80 %.
func draw(all []core, n int, seed uint64, each func(drawn, rest []core)) {
	if n > long.Of(1, 4) {
		rnd := rand.New(rand.NewPCG(seed, uint64(n)))
		mixed := append([]core(nil), all...)
		for range long.Of(400, 4000) {
			rnd.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			each(mixed[:n], mixed[n:])
		}
		return
	}
	for set := range 1 << len(all) {
		if bits.OnesCount(uint(set)) != n {
			continue
		}
		var drawn, rest []core
		for i, c := range all {
			if set>>i&1 == 1 {
				drawn = append(drawn, c)
			} else {
				rest = append(rest, c)
			}
		}
		each(drawn, rest)
	}
}

// From any 4, 8 or 12 of the 28 cores the 90 % forecast of the rest's mean has to
// hold it in 87-93 % of draws (85-95 % of the few), whatever the type is said to be.
func TestRandomCoresForecastTheRest(t *testing.T) {
	const seed = 61
	all := cores(t)
	for _, n := range []int{1, 4, 8, 12} {
		types := []string{"", "medium", "fine"}
		ours, plain := make([]tally, len(types)), tally{}
		draw(all, n, seed, func(drawn, rest []core) {
			d := try(drawn, rest)
			for i, fleeceType := range types {
				ours[i].add(d.forecast(t, len(all), Mixed, fleeceType), d.rest)
			}
			if n > 1 {
				plain.add(d.plainT(len(all)), d.rest)
			}
		})
		if n > 1 {
			t.Logf("%d cores, seed %d from 8 on: plain t %v", n, seed, plain)
		}
		for i, fleeceType := range types {
			t.Logf("%d cores, type %q: ours %v", n, fleeceType, ours[i])
			least, most := long.Of(0.85, 0.87), long.Of(0.95, 0.93)
			if n == 1 { // what is usual speaks; it must not be too narrow
				least, most = 0.85, 1
			}
			if ours[i].part() < least || ours[i].part() > most {
				t.Errorf("%d cores, type %q: %v is not %.0f-%.0f %%", n, fleeceType, ours[i], 100*least, 100*most)
			}
		}
	}
}

// Drawn by whole bales, all ways there are: plain statistics fall short, the
// forecast that knows the bales does not.
func TestWholeBalesForecastTheRest(t *testing.T) {
	all := cores(t)
	var ours, without, plain [4]tally
	for set := range 1 << 7 {
		bales := bits.OnesCount(uint(set))
		if bales < 1 || bales > 3 {
			continue
		}
		var drawn, rest []core
		for i, c := range all {
			if set>>(i/4)&1 == 1 {
				drawn = append(drawn, c)
			} else {
				rest = append(rest, c)
			}
		}
		d := try(drawn, rest)
		ours[bales].add(d.forecast(t, len(all), named, "medium"), d.rest)
		without[bales].add(d.forecast(t, len(all), "", "medium"), d.rest)
		plain[bales].add(d.plainT(len(all)), d.rest)
	}
	for bales := 1; bales <= 3; bales++ {
		t.Logf("%d whole bales: by bales %v; bales not named %v; plain t %v", bales, ours[bales], without[bales], plain[bales])
		if ours[bales].part() < 0.90 || without[bales].part() < 0.90 {
			t.Errorf("%d bales: %v, not named %v", bales, ours[bales], without[bales])
		}
		if plain[bales].part() >= 0.90 || ours[bales].part() < plain[bales].part() {
			t.Errorf("%d bales: plain statistics are said to fall short, but hold %v", bales, plain[bales])
		}
	}
}
