package washday

import (
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// dayRooms is where the parts of the running day lie: lines from the top, all
// as wide as the window. A height of 0 means that the part is left out.
type dayRooms struct {
	w, h       int
	band       draw.Span // what next
	lanes      draw.Span // one or two lines for each tub, the axis above them
	axis       bool
	perTub     int // lines for each tub
	shown      int // tubs that fit
	order      draw.Span
	curve      draw.Span
	footLines  int
	footRule   int // lines of the rule over the keys: none where words need it
	figureSize int // scale of the large figure in the band; 0 small, -1 none
}

// leastCurve is the lowest a cooling curve can be read.
const leastCurve = 9

// dayLayout divides the window. What next always has its place, then every
// tub's lane; the second line of a lane, the order of work and the curve come
// in that order as room allows. say is how many lines the sentence takes, least
// how many the band needs: in a low window the lanes make room for both.
//
//	line 0   head
//	line 1   sentence, as many lines as it takes, or a rule
//	band
//	rule
//	axis, lanes
//	order
//	curve
//	rule, keys
func dayLayout(w, h, tubs, say, least int) dayRooms {
	r := dayRooms{w: w, h: h, perTub: 1, footLines: 1, footRule: 1, figureSize: -1}
	switch {
	case h >= 34:
		r.band.Height = 8
	case h >= 22:
		r.band.Height = 7
	case h >= 16:
		r.band.Height = 6
	case w < 60: // a small window: the next action, and one lane
		r.band.Height = max(5, h-6)
	default:
		r.band.Height = 5
	}
	// What has to be said is said in full: the lanes with their rule go first.
	body := max(0, h-1-say-r.footLines)
	if body > least {
		body--
	} else {
		r.footRule = 0
	}
	if r.band.Height = min(max(r.band.Height, least), body); body-r.band.Height < 2 {
		r.band.Height = body
	}
	// Many tubs: the band gives up a line or two for their shared axis.
	for w >= 60 && r.band.Height > 6 && r.band.Height > least && body-r.band.Height-1 < tubs+1 {
		r.band.Height--
	}
	switch {
	case w >= 70 && r.band.Height >= 6:
		r.figureSize = 1
	case w >= 46:
		r.figureSize = 0
	}
	r.band.Top = 1 + say
	top := r.band.Top + r.band.Height + 1 // and a rule
	left := max(0, body-r.band.Height-1)
	r.axis = w >= 60 && left >= tubs+1
	lanes := tubs
	if r.axis {
		lanes++
	}
	if left >= lanes+tubs {
		r.perTub = 2
		lanes += tubs
	}
	r.lanes = draw.Span{Top: top, Height: min(lanes, left)}
	r.shown = r.lanes.Height
	if r.axis {
		r.shown--
	}
	r.shown = min(tubs, r.shown/r.perTub)
	top += r.lanes.Height
	left -= r.lanes.Height
	if want := min(tubs, 8) + 1; left >= 3 && tubs > 1 {
		want += max(0, min(3, left-want-leastCurve-4)) // the kettle's and the next ones', where the curve can spare them
		r.order = draw.Span{Top: top, Height: min(want, left)}
		top += r.order.Height
		left -= r.order.Height
	}
	if left >= leastCurve && w >= 60 {
		r.curve = draw.Span{Top: top, Height: min(left, 24)}
	}
	return r
}

// bottom is the line below the last one of the tubs.
func (r dayRooms) bottom() int { return max(0, r.h-r.footRule-r.footLines) }

// curveOnly gives the room of the lanes and the order to the curve, if that is
// enough to read it.
func (r dayRooms) curveOnly() dayRooms {
	top := r.lanes.Top
	room := r.bottom() - top
	if room < leastCurve || r.w < base.LeastWidth {
		return r
	}
	r.curve = draw.Span{Top: top, Height: room}
	r.lanes, r.order, r.shown, r.axis = draw.Span{Top: top, Height: 0}, draw.Span{}, 0, false
	return r
}
