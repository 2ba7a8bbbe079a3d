package tui

// dayRooms is where the parts of the running day lie: lines from the top, all
// as wide as the window. A height of 0 means that the part is left out.
type dayRooms struct {
	w, h       int
	band       span // what next
	lanes      span // one or two lines for each tub, the axis above them
	axis       bool
	perTub     int // lines for each tub
	shown      int // tubs that fit
	order      span
	curve      span
	footLines  int
	footRule   int // lines of the rule over the keys: none where words need it
	figureSize int // scale of the large figure in the band; 0 small, -1 none
}

// span is some lines of the screen.
type span struct{ top, height int }

func (s span) has(y int) bool { return y >= s.top && y < s.top+s.height }

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
		r.band.height = 8
	case h >= 22:
		r.band.height = 7
	case h >= 16:
		r.band.height = 6
	case w < 60: // a small window: the next action, and one lane
		r.band.height = max(5, h-6)
	default:
		r.band.height = 5
	}
	// What has to be said is said in full: the lanes with their rule go first.
	body := max(0, h-1-say-r.footLines)
	if body > least {
		body--
	} else {
		r.footRule = 0
	}
	if r.band.height = min(max(r.band.height, least), body); body-r.band.height < 2 {
		r.band.height = body
	}
	// Many tubs: the band gives up a line or two for their shared axis.
	for w >= 60 && r.band.height > 6 && r.band.height > least && body-r.band.height-1 < tubs+1 {
		r.band.height--
	}
	switch {
	case w >= 70 && r.band.height >= 6:
		r.figureSize = 1
	case w >= 46:
		r.figureSize = 0
	}
	r.band.top = 1 + say
	top := r.band.top + r.band.height + 1 // and a rule
	left := max(0, body-r.band.height-1)
	r.axis = w >= 60 && left >= tubs+1
	lanes := tubs
	if r.axis {
		lanes++
	}
	if left >= lanes+tubs {
		r.perTub = 2
		lanes += tubs
	}
	r.lanes = span{top, min(lanes, left)}
	r.shown = r.lanes.height
	if r.axis {
		r.shown--
	}
	r.shown = min(tubs, r.shown/r.perTub)
	top += r.lanes.height
	left -= r.lanes.height
	if want := min(tubs, 8) + 1; left >= 3 && tubs > 1 {
		want += max(0, min(3, left-want-leastCurve-4)) // the kettle's and the next ones', where the curve can spare them
		r.order = span{top, min(want, left)}
		top += r.order.height
		left -= r.order.height
	}
	if left >= leastCurve && w >= 60 {
		r.curve = span{top, min(left, 24)}
	}
	return r
}

// bottom is the line below the last one of the tubs.
func (r dayRooms) bottom() int { return max(0, r.h-r.footRule-r.footLines) }

// curveOnly gives the room of the lanes and the order to the curve, if that is
// enough to read it.
func (r dayRooms) curveOnly() dayRooms {
	top := r.lanes.top
	room := r.bottom() - top
	if room < leastCurve || r.w < leastWidth {
		return r
	}
	r.curve = span{top, room}
	r.lanes, r.order, r.shown, r.axis = span{top, 0}, span{}, 0, false
	return r
}
