package washday

import (
	"fmt"
	"strings"
	"testing"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// pictureOf draws the rooms of a day as letters, a line of the screen a line.
func (r dayRooms) pictureOf() string {
	rows := make([]string, r.h)
	for y := range rows {
		switch {
		case y == 0:
			rows[y] = "head"
		case y == 1:
			rows[y] = "say"
		case r.band.Has(y):
			rows[y] = "band"
		case r.lanes.Has(y) && r.axis && y == r.lanes.Top:
			rows[y] = "axis"
		case r.lanes.Has(y):
			rows[y] = fmt.Sprintf("lane %d", (y-r.lanes.Top-btoi(r.axis))/r.perTub+1)
		case r.order.Has(y) && !r.aside:
			rows[y] = "order"
		case r.curve.Has(y):
			rows[y] = "curve"
		case y >= r.h-r.footLines:
			rows[y] = "foot"
		default:
			rows[y] = "-"
		}
	}
	// many alike lines in a row are one with a count
	var b strings.Builder
	for i := 0; i < len(rows); {
		j := i
		for j < len(rows) && rows[j] == rows[i] {
			j++
		}
		fmt.Fprintf(&b, "%s", rows[i])
		if j-i > 1 {
			fmt.Fprintf(&b, " x%d", j-i)
		}
		b.WriteByte('\n')
		i = j
	}
	return b.String()
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func TestDayLayout(t *testing.T) {
	tests := []struct {
		w, h, tubs, flat int
		want             string
	}{
		{40, 12, 3, 0, "head\nsay\nband x6\n-\nlane 1\n-\nfoot\n"},
		{80, 24, 3, 0, "head\nsay\nband x9\n-\naxis\nlane 1\nlane 2\nlane 3\norder x6\n-\nfoot\n"},
		{80, 24, 12, 0, "head\nsay\nband x6\n-\naxis\nlane 1\nlane 2\nlane 3\nlane 4\nlane 5\nlane 6\nlane 7\nlane 8\nlane 9\nlane 10\nlane 11\nlane 12\n-\nfoot\n"},
		{80, 24, 1, 0, "head\nsay\nband x9\n-\naxis\nlane 1 x9\n-\nfoot\n"},
		{120, 40, 3, 0, "head\nsay\nband x10\n-\naxis\nlane 1 x6\nlane 2 x6\nlane 3 x6\norder x6\n-\nfoot\n"},
		{120, 40, 12, 0, "head\nsay\nband x10\n-\naxis\nlane 1\nlane 2\nlane 3\nlane 4\nlane 5\nlane 6\nlane 7\nlane 8\nlane 9\nlane 10\nlane 11\nlane 12\norder x12\n-\nfoot\n"},
		{120, 40, 3, 1, "head\nsay\nband x10\n-\naxis\nlane 1 x8\nlane 2 x8\nlane 3 x4\norder x4\n-\nfoot\n"}, // the last is flat
		{120, 40, 3, 3, "head\nsay\nband x10\n-\naxis\nlane 1 x4\nlane 2 x4\nlane 3 x4\norder x12\n-\nfoot\n"},
		{80, 24, 3, 3, "head\nsay\nband x9\n-\naxis\nlane 1\nlane 2\nlane 3\norder x6\n-\nfoot\n"},
		{200, 60, 1, 0, "head\nsay\nband x14\n-\naxis\nlane 1 x24\n- x17\nfoot\n"},
		{200, 60, 3, 0, "head\nsay\nband x14\n-\naxis\nlane 1 x13\nlane 2 x13\nlane 3 x13\n- x2\nfoot\n"},
	}
	for _, tt := range tests {
		if got := dayLayout(tt.w, tt.h, tt.tubs, tt.flat, 1, 0).pictureOf(); got != tt.want {
			t.Errorf("%dx%d with %d tubs:\n%s\nwant\n%s", tt.w, tt.h, tt.tubs, got, tt.want)
		}
	}
}

// TestDayLayoutRooms: whatever the size, rooms do not overlap, nothing lies
// outside the window and under its foot, and what next is always there.
func TestDayLayoutRooms(t *testing.T) {
	for w := base.LeastWidth; w <= 220; w += 7 {
		for h := base.LeastHeight; h <= 70; h++ {
			for tubs := 1; tubs <= 24; tubs += 3 {
				r := dayLayout(w, h, tubs, tubs/2, 1, 0)
				at := 2
				if r.aside && (r.order.Top != r.lanes.Top || r.order.Height < r.lanes.Height || r.lanesW+1+r.orderW != w) {
					t.Fatalf("%dx%d, %d tubs: the order does not lie beside the lanes: %+v", w, h, tubs, r)
				}
				below := r.order
				if r.aside {
					below = draw.Span{}
				}
				for _, s := range []draw.Span{r.band, r.lanes, below, r.curve} {
					if s.Height == 0 {
						continue
					}
					if s.Top < at || s.Top+s.Height > r.bottom() {
						t.Fatalf("%dx%d, %d tubs: a room at %+v overlaps or runs out: %+v", w, h, tubs, s, r)
					}
					at = s.Top + s.Height
				}
				if r.band.Height < 5 || r.shown < 1 {
					t.Fatalf("%dx%d, %d tubs: no band or no lane: %+v", w, h, tubs, r)
				}
			}
		}
	}
}

// TestManyTubsUnderTheirCall: twelve tubs at 80x24 keep a lane each and their axis under a call in large letters with
// four lines of words; the rule over the keys goes for it, and where nothing is won by that it stays.
func TestManyTubsUnderTheirCall(t *testing.T) {
	for tubs, want := range map[int][2]int{11: {1, 7}, 12: {0, 7}, 13: {1, 7}} {
		r := dayLayout(80, 24, tubs, 0, 1, 7)
		if r.footRule != want[0] || r.band.Height != want[1] || r.axis != (tubs <= 12) || r.lanes.Top+r.lanes.Height > r.bottom() {
			t.Errorf("%d tubs: %+v", tubs, r)
		}
	}
}
