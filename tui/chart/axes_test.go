package chart

import (
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestAxesAreTrue: a label is a round number in the very row, or a whole time in the very column, in
// which the chart draws what it says; labels step by 1, 2 or 5 and its tens; all there is to draw has
// a row and a column.
func TestAxesAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom([]measure.System{measure.Metric, measure.US}).Draw(t, "units")
		low := rapid.Float64Range(-5, 70).Draw(t, "low")
		high := low + rapid.Float64Range(0.5, 60).Draw(t, "range")
		from := tuitest.StoryStart.Add(time.Duration(rapid.IntRange(0, 3600).Draw(t, "from")) * time.Second)
		to := from.Add(time.Duration(rapid.IntRange(120, 500000).Draw(t, "span")) * time.Second)
		ax := newRows(u, low, high, rapid.IntRange(3, 60).Draw(t, "rows"))
		ax.Time = NewTime(from, to, rapid.IntRange(58, 200).Draw(t, "cols"))
		if r, c := float64(ax.Rows)-0.5, float64(ax.Cols-1)+1e-9; ax.Row(low) < -0.5-1e-9 || ax.Row(high) > r || ax.Col(from) < 0 || ax.Col(to) > c {
			t.Fatalf("%+v do not hold %.2f to %.2f °C, %v to %v", ax, low, high, from, to)
		}
		var labels []float64
		for i := range ax.Rows {
			text := ax.RowLabel(i)
			if text == "" {
				continue
			}
			v := must.Get(strconv.ParseFloat(text, 64)).In(t)
			c := v
			if u == measure.US {
				c = measure.FToC(v)
			}
			if row := ax.Row(c); math.Abs(row-float64(i)) > 1e-6 {
				t.Fatalf("%s stands in row %d and is drawn in row %f of %+v", text, i, row, ax)
			}
			labels = append(labels, v)
		}
		if len(labels) < 2 {
			t.Fatalf("labels %v in %+v", labels, ax)
		}
		step := labels[1] - labels[0]
		if !slices.Contains([]float64{1, 2, 5, 10, 20, 50, 100}, step) || math.Mod(labels[0], step) != 0 {
			t.Fatalf("labels %v are not round", labels)
		}
		checkTime(t, ax.Time)
	})
}

// TestWaxLineHasItsLabel: the line of 49 °C says so beside rows that are round, and stands beside
// 120 where degrees are °F.
func TestWaxLineHasItsLabel(t *testing.T) {
	th, at := theme.New(io.Discard, theme.Options{}), tuitest.StoryStart
	for u, want := range map[measure.System][2]string{measure.Metric: {" 50│", " 49 °C"}, measure.US: {"120│", "┄┄┄┄┄┄┄┄"}} {
		c := Curve{Units: u, ReleaseC: 49, Points: []session.CurvePoint{{At: at, TempC: 68, LowC: 64, HighC: 72}, {At: at.Add(time.Hour), TempC: 60, LowC: 49.2, HighC: 66}}}
		lines := c.Lane(&th, NewTime(at, at.Add(time.Hour), 80), 3, 4)
		if line := ansi.Strip(lines[len(lines)-1]); !strings.HasPrefix(line, want[0]) || !strings.Contains(line, want[1]) {
			t.Errorf("%v: no %q in\n%s", u, want, ansi.Strip(strings.Join(lines, "\n")))
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
	for _, now := range []time.Time{{}, ax.At(ax.Cols / 3)} {
		line := ansi.Strip(ax.Labels(&theme.Theme{}, now, func(at time.Time) string { return at.Format("15:04") }))
		for _, word := range strings.Fields(line) {
			if day := ax.At(ax.first).Format("Mon"); len(word) != 5 && word != "now" && word != day {
				t.Fatalf("labels touch in %q", line)
			}
		}
		if (now.IsZero() || ax.Cols > 60) && !strings.Contains(line, ":") || strings.Contains(line, "now") == now.IsZero() {
			t.Fatalf("%v: no time, or no now, in %q of %+v", now, line, ax)
		}
	}
}

// TestTimeIsTrueInAnyZone: an hour of the clock where it is a half hour off is a whole one there.
func TestTimeIsTrueInAnyZone(t *testing.T) {
	zone := time.FixedZone("half an hour off", (5*60+30)*60)
	from := time.Date(2026, 3, 14, 9, 10, 0, 0, zone)
	got := NewTime(from, from.Add(6*time.Hour), 60).Labels(&theme.Theme{}, time.Time{}, func(at time.Time) string { return at.In(zone).Format("15:04") })
	got = strings.TrimRight(got, " ")
	if want := "        10:00    11:00    12:00    13:00    14:00    15:00"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestNightHasItsDays: an axis over midnight says which day it begins on, one of a single day does not.
func TestNightHasItsDays(t *testing.T) {
	from := time.Date(2026, 6, 13, 19, 0, 0, 0, time.UTC)
	clock := func(at time.Time) string { return at.Format("15:04") }
	for hours, want := range map[int]string{3: "19:00", 14: "Sat 19:00"} {
		got := NewTime(from, from.Add(time.Duration(hours)*time.Hour), 100).Labels(&theme.Theme{}, time.Time{}, clock)
		if got = strings.TrimLeft(got, " "); !strings.HasPrefix(got, want+"  ") {
			t.Errorf("%d h: %q, want %q first", hours, got, want)
		}
	}
}

// TestBandWithoutGrounds: where no ground can be painted the edges of the range are dots in each
// column, thinner than the line, and none of them is lost beside it.
func TestBandWithoutGrounds(t *testing.T) {
	th, at := theme.New(io.Discard, theme.Options{NoColor: true}), tuitest.StoryStart
	c := Curve{Units: measure.Metric}
	for i := range 60 {
		of := 66 - float64(i)/10
		c.Points = append(c.Points, session.CurvePoint{At: at.Add(time.Duration(i) * time.Minute), TempC: of, LowC: of - 4, HighC: of + 4})
	}
	lines := c.Lane(&th, NewTime(at, at.Add(time.Hour), 40), 3, 8)
	for col := 5; col < 30; col++ {
		dots := 0
		for _, l := range lines {
			if r := []rune(ansi.Strip(l))[4+col]; r >= 0x2800 && r <= 0x28ff {
				dots++
			}
		}
		if dots < 3 {
			t.Fatalf("column %d has no line with an edge above and below:\n%s", col, ansi.Strip(strings.Join(lines, "\n")))
		}
	}
}
