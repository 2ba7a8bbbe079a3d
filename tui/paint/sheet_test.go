package paint

import (
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"fleece.example/tubside/tui/theme"
)

// TestDotsLieWithSigns: a dot lies in the cell into which a sign of the same figures
// goes, a line has no gap from one dot to the next, and what lies outside harms nothing.
func TestDotsLieWithSigns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cols, rows := rapid.IntRange(1, 20).Draw(t, "cols"), rapid.IntRange(1, 9).Draw(t, "rows")
		style := theme.Style{}
		col, row := rapid.Float64Range(-2, 21).Draw(t, "col"), rapid.Float64Range(-2, 10).Draw(t, "row")
		sign, dot := NewSheet(cols, rows), NewSheet(cols, rows)
		sign.Set(col, row, "x", &style)
		dot.Stroke(col, row, row, &style)
		for i, c := range sign.cells {
			if (c.sign == 'x') != (dot.cells[i].sign != ' ') {
				t.Fatalf("at %g, %g the sign lies in\n%s\nand the dot in\n%s", col, row, picture(sign), picture(dot))
			}
		}
		from := rapid.Float64Range(0, float64(rows)-0.6).Draw(t, "from")
		to := rapid.Float64Range(0, float64(rows)-0.6).Draw(t, "to")
		line := NewSheet(1, rows)
		line.Stroke(-0.4, from, from, &style)
		line.Stroke(0.1, from, to, &style)
		low, high := min(from, to), max(from, to)
		for i := range rows {
			inside := float64(i) >= math.Floor(low+0.5) && float64(i) <= math.Floor(high+0.5)
			if got := line.cells[i].sign != ' '; got != inside {
				t.Fatalf("from row %g to %g is\n%s", from, to, picture(line))
			}
		}
	})
}

// TestSheet draws a line over a band and a sign over both.
func TestSheet(t *testing.T) {
	s, style := NewSheet(6, 2), theme.Style{}
	for x := range 6 {
		s.Set(float64(x), 1, "░", &style)
	}
	for i := range 12 {
		y := 1.25 - float64(i)/8
		s.Stroke(float64(i)/2-0.3, y+0.125, y, &style)
	}
	s.Set(4, 0, "●", &style)
	if got, want := picture(s), "⠑⠢⢄⡀░░\n   ⠈●⠢"; got != want {
		t.Errorf("drawn is\n%s\nnot\n%s", got, want)
	}
}

// picture is a sheet from its top row down.
func picture(s Sheet) string {
	var lines []string
	for i := range s.rows {
		lines = append([]string{s.Row(i)}, lines...)
	}
	return strings.Join(lines, "\n")
}

// TestGroundHasNoHoles: a line and a sign on a painted ground leave it whole.
func TestGroundHasNoHoles(t *testing.T) {
	th := theme.New(io.Discard, theme.Options{})
	s := NewSheet(4, 1)
	for x := range 4 {
		s.Ground(float64(x), 0, &th.Likely, "░", &th.Rule)
	}
	s.Stroke(1, 0, 0, &th.Bar)
	s.Set(2, 0, "●", &th.Big)
	for i, c := range s.cells {
		if c.ground != &th.Likely {
			t.Errorf("no ground at column %d", i)
		}
	}
	if got := ansi.Strip(s.Row(0)); got != " ⠠● " && got != " ⠄● " && got != " ⠐● " {
		t.Errorf("drawn is %q", got)
	}
	if got := s.Row(0); strings.Count(got, th.Likely.Over(th.Likely, "")[:9]) < 3 {
		t.Errorf("the ground is not painted under each run: %q", got)
	}
	e := NewSheet(3, 3) // from an eighth over the middle of row 0 to three over the foot of row 2
	for row := range 3 {
		e.Ground(0, float64(row), &th.Likely, "░", &th.Rule)
		e.Ground(1, float64(row), &th.Likely, "░", &th.Rule)
		e.Ground(2, float64(row), &th.Likely, "░", &th.Rule)
	}
	e.Stroke(2, 1.6, 1.6, &th.Bar) // low in row 2, where a sign would not keep the ground
	e.Set(1, 2, "●", &th.Big)
	e.Edges(0, 0.125, 1.875, &th.Likely, &th.LikelyFoot, &th.LikelyTop)
	e.Edges(1, 0.125, 1.875, &th.Likely, &th.LikelyFoot, &th.LikelyTop)
	e.Edges(2, 0.125, 1.875, &th.Likely, &th.LikelyFoot, &th.LikelyTop)
	if line := e.at(2, 2); line.sign < noDots || line.ground == nil {
		t.Error("the line leaves a hole in the edge of its ground")
	}
	e = Sheet{2, 3, slices.Concat(e.cells[:2], e.cells[3:5], e.cells[6:8])}
	if got := ansi.Strip(picture(e)); got != "▃●\n  \n▅▅" {
		t.Errorf("the edges are\n%s", got)
	}
	plain := theme.New(io.Discard, theme.Options{NoColor: true})
	p := NewSheet(1, 1)
	p.Ground(0, 0, &plain.Likely, "░", &plain.Rule)
	if got := ansi.Strip(p.Row(0)); got != "░" {
		t.Errorf("without colours the band is %q", got)
	}
}
