package chart

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
		ax := NewAxes(u, low, high, mark, from, to, w, h)
		if ax.Rows != h-2 || ax.Cols+ax.Left != w-1 {
			t.Fatalf("%d by %d cells with %d for labels on %d by %d", ax.Cols, ax.Rows, ax.Left, w, h)
		}
		if r, c := float64(ax.Rows-1)+1e-9, float64(ax.Cols-1)+1e-9; ax.Row(low) < -1e-9 || ax.Row(high) > r || ax.Col(from) < 0 || ax.Col(to) > c {
			t.Fatalf("%+v do not hold %.2f to %.2f °C, %v to %v", ax, low, high, from, to)
		}
		if mark > 0 && u == measure.Metric {
			if row := ax.Row(mark); math.Abs(row-math.Round(row)) > 1e-6 && ax.step <= 2 {
				t.Fatalf("%g °C has no row of its own in %+v", mark, ax)
			}
		}
		labels := 0
		for i := 1; i <= ax.Rows; i++ {
			text := ax.RowLabel(i)
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
			row := math.Round(ax.Row(c))
			if int(row)+1 != i {
				t.Fatalf("%s stands in row %d and is drawn in row %.0f of %+v", text, i, row+1, ax)
			}
		}
		if labels < 1 {
			t.Fatalf("no label in %+v", ax)
		}
		checkTime(t, ax.Time)
	})
}

// TestWaxLineHasItsLabel: the line of 49 °C is drawn beside 120 where degrees are °F.
func TestWaxLineHasItsLabel(t *testing.T) {
	for u, want := range map[measure.System]string{measure.Metric: "49", measure.US: "120"} {
		ax := NewAxes(u, 44, 72, 49, tuitest.StoryStart, tuitest.StoryStart.Add(time.Hour), 120, 14)
		row := int(math.Round(ax.Row(49))) + 1
		if got := ax.RowLabel(row); got != want {
			t.Errorf("%v: %q, not %q, beside the line in %+v", u, got, want, ax)
		}
	}
}

// checkTime: labels lie in the column that is drawn for them, at whole steps of the clock.
func checkTime(t *rapid.T, ax Time) {
	for i := ax.first; i < ax.Cols; i += ax.every {
		at := ax.At(i)
		if off := math.Abs(ax.Col(at) - float64(i)); off > 1e-3 || !at.Equal(at.Truncate(ax.step)) {
			t.Fatalf("%v stands in column %d, which is %.4f off, with labels every %v", at, i, off, ax.step)
		}
	}
	if ax.Labels(func(at time.Time) string { return at.Format("15:04") }) == "" {
		t.Fatalf("no time stands on %+v", ax)
	}
}

// TestTimeIsTrueInAnyZone: an hour of the clock where it is a half hour off is a whole one there.
func TestTimeIsTrueInAnyZone(t *testing.T) {
	zone := time.FixedZone("half an hour off", (5*60+30)*60)
	from := time.Date(2026, 3, 14, 9, 10, 0, 0, zone)
	got := NewTime(from, from.Add(6*time.Hour), 60).Labels(func(at time.Time) string { return at.In(zone).Format("15:04") })
	if want := "        10:00    11:00    12:00    13:00    14:00    15:00"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
