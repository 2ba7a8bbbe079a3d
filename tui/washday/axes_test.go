package washday

import (
	"math"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/tuitest"
)

// TestAxesAreTrue: a label stands in the very row and column in which the chart
// draws what it says, and all there is to draw has a row and a column.
func TestAxesAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]measure.System{measure.Metric, measure.US}).Draw(t, "units")
		low := rapid.Float64Range(-5, 70).Draw(t, "low")
		high := low + rapid.Float64Range(0.5, 60).Draw(t, "range")
		from := tuitest.StoryStart.Add(time.Duration(rapid.IntRange(0, 3600).Draw(t, "from")) * time.Second)
		to := from.Add(time.Duration(rapid.IntRange(120, 7200).Draw(t, "span")) * time.Second)
		mark := rapid.SampledFrom([]float64{0, 49, 50}).Draw(t, "mark")
		w, h := rapid.IntRange(58, 200).Draw(t, "w"), rapid.IntRange(8, 60).Draw(t, "h")
		ax := newAxes(u, low, high, mark, from, to, w, h)
		if ax.rows != h-2 || ax.cols+ax.left != w-1 {
			t.Fatalf("%d by %d cells with %d for labels on %d by %d", ax.cols, ax.rows, ax.left, w, h)
		}
		if r, c := float64(ax.rows-1)+1e-9, float64(ax.cols-1)+1e-9; ax.row(low) < -1e-9 || ax.row(high) > r || ax.col(from) < 0 || ax.col(to) > c {
			t.Fatalf("%+v do not hold %.2f to %.2f °C, %v to %v", ax, low, high, from, to)
		}
		if mark > 0 && u == measure.Metric {
			if row := ax.row(mark); math.Abs(row-math.Round(row)) > 1e-6 && ax.step <= 2 {
				t.Fatalf("%g °C has no row of its own in %+v", mark, ax)
			}
		}
		labels := 0
		for i := 1; i <= ax.rows; i++ {
			text := ax.rowLabel(i)
			if text == "" {
				continue
			}
			labels++
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			c := v
			if u == measure.US {
				c = measure.FToC(v)
			}
			row := math.Round(ax.row(c))
			if int(row)+1 != i {
				t.Fatalf("%s stands in row %d and is drawn in row %.0f of %+v", text, i, row+1, ax)
			}
		}
		if labels < 1 {
			t.Fatalf("no label in %+v", ax)
		}
		for i := 0; i < ax.cols; i += ax.everyCol {
			at := ax.colTime(i)
			if at.Second() != 0 {
				t.Fatalf("column %d is at %v", i, at)
			}
			if col := math.Round(ax.col(at)); int(col)+1 != i {
				t.Fatalf("%v stands in column %d and is drawn in %.0f", at, i, col+1)
			}
		}
	})
}

// TestWaxLineHasItsLabel: the line of 49 °C is drawn beside 120 where degrees are °F.
func TestWaxLineHasItsLabel(t *testing.T) {
	for u, want := range map[measure.System]string{measure.Metric: "49", measure.US: "120"} {
		ax := newAxes(u, 44, 72, 49, tuitest.StoryStart, tuitest.StoryStart.Add(time.Hour), 120, 14)
		row := int(math.Round(ax.row(49))) + 1
		if got := ax.rowLabel(row); got != want {
			t.Errorf("%v: %q, not %q, beside the line in %+v", u, got, want, ax)
		}
	}
}
