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
	lanes      draw.Span // the tubs, the axis above them
	lanesW     int
	axis       bool
	perTub     int // lines for each tub: one, or as many as its curve has rows, if it has one
	perFlat    int // and for one without a curve
	shown      int // tubs that fit
	order      draw.Span
	orderW     int
	aside      bool      // the order lies right of the lanes
	curve      draw.Span // one tub's, in place of lanes and order
	footLines  int
	footRule   int // lines of the rule over the keys: none where words need it
	figureSize int // scale of the large figure in the band; 0 small, -1 none
}

const (
	leastLane  = 3   // rows in which a curve can be read
	figureLane = 4   // rows of a large figure and what it counts
	goodLane   = 6   // rows that a curve does not give up for that
	mostLane   = 8   // and no more of them while the order of work lies below
	leastOrder = 3   // the order's title and two acts
	wideFrom   = 150 // cells, from which the order has a place of its own
	sidePart   = 36  // per cent of them
	calledFrom = 22  // lines, from which the call is in letters of three lines
	highFrom   = 34  // and of five
)

// leastCurve is the lowest a cooling curve can be read.
const leastCurve = 9

// dayLayout divides the window. What next always has its place, then every tub's
// lane, then the order of work: below, or right of the lanes in a wide window. A lane is
// a line; where each can have three rows or more, it is the tub's curve, a flat one's its
// figure. say is how many lines the sentence takes, least how many the band needs: in a low window the
// lanes make room for both.
//
//	line 0   head
//	line 1   sentence, as many lines as it takes, or a rule
//	band
//	rule
//	axis, lanes
//	order
//	rule, keys
func dayLayout(w, h, tubs, flat, say, least int) dayRooms {
	r := dayRooms{w: w, h: h, perTub: 1, perFlat: 1, footLines: 1, footRule: 1, figureSize: -1}
	switch {
	case h >= 50:
		r.band.Height = 14
	case h >= highFrom:
		r.band.Height = 10
	case h >= calledFrom:
		r.band.Height = 9
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
	// Many tubs: the rule goes too where their axis has its line by that.
	if low := max(least, min(r.band.Height, 6)); w >= 60 && r.footRule > 0 && body-low-1 == tubs {
		r.footRule = 0
		body++
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
	r.lanesW, r.orderW = w, w
	if w >= wideFrom && tubs > 1 {
		r.aside, r.orderW = true, w*sidePart/100
		r.lanesW = w - r.orderW - 1
	}
	r.axis = w >= 60 && left >= tubs+1
	below, most := 0, mostLane // of the order
	if tubs > 1 && !r.aside {
		below = min(tubs, 8) + 1 // an act of each, under its title
	} else {
		most *= 3
	}
	if rows := min(most, (left-1-below-flat)/max(1, tubs-flat)); r.axis && rows >= leastLane && tubs > flat {
		r.perTub = rows
	}
	if curves, room := tubs-flat, left-1-below-flat*figureLane; r.axis && room >= 0 && room >= curves*min(goodLane, r.perTub) && (curves == 0 || r.perTub > 1) {
		r.perFlat, r.perTub = figureLane, figureLane
		if curves > 0 {
			r.perTub = min(most, room/curves)
		}
	}
	lanes := (tubs-flat)*r.perTub + flat*r.perFlat
	if r.axis {
		lanes++
	}
	r.lanes = draw.Span{Top: top, Height: min(lanes, left)}
	r.shown = r.lanes.Height
	if r.axis {
		r.shown--
	}
	if r.shown = min(tubs, r.shown); r.perTub > 1 {
		r.shown = tubs
	}
	if r.aside {
		r.order = draw.Span{Top: top, Height: left}
		return r
	}
	if left -= r.lanes.Height; left >= leastOrder && tubs > 1 {
		r.order = draw.Span{Top: top + r.lanes.Height, Height: left}
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
	r.lanes, r.order, r.shown, r.axis, r.aside = draw.Span{Top: top, Height: 0}, draw.Span{}, 0, false, false
	return r
}
