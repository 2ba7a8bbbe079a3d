package shed

import (
	"encoding/binary"
	"time"
)

// OnTheWall is a moment by the clock on the wall.
func (p *Plan) OnTheWall(t time.Time) time.Time {
	if p.ZoneTurnMin != 0 {
		if zone, err := time.LoadLocationFromTZData("", p.zone()); err == nil {
			return t.In(zone)
		}
	}
	return t.In(time.FixedZone("", int(p.ZoneMin)*60))
}

// zone is the clock on the wall that is changed once, as RFC 8536 has it: so that a time of the day is reckoned with
// on both sides.
func (p *Plan) zone() []byte {
	out := append([]byte("TZif2"), make([]byte, 39+15)...) // nothing in the form of version 1
	out = append(append(out[:44], "TZif2"...), make([]byte, 15)...)
	for _, n := range []uint32{0, 0, 0, 1, 2, 1} { // one change, two kinds of time, a name of one byte
		out = binary.BigEndian.AppendUint32(out, n)
	}
	out = append(binary.BigEndian.AppendUint64(out, uint64(int64(p.ZoneTurnMin)*60)), 1)
	for _, min := range []int16{p.ZoneMin, p.ZoneThenMin} {
		out = append(binary.BigEndian.AppendUint32(out, uint32(int32(min)*60)), 0, 0)
	}
	return append(out, 0)
}

// turnsSoon is how long after a day's begin the clocks may be changed for it to be planned with; our own choice.
const turnsSoon = 14 * 24 * time.Hour

// GoBy sets the clock on the wall to that of the zone that t is given in.
func (p *Plan) GoBy(t time.Time) {
	minOf := func(t time.Time) int16 {
		_, offsetS := t.Zone()
		return int16(offsetS / 60)
	}
	p.ZoneMin, p.ZoneThenMin, p.ZoneTurnMin = minOf(t), 0, 0
	if _, turn := t.ZoneBounds(); !turn.IsZero() && turn.Sub(t) < turnsSoon {
		p.ZoneThenMin, p.ZoneTurnMin = minOf(turn), int32(turn.Unix()/60)
	}
}

// WithQuiet is the plan with quiet hours to be planned around, where they leave time to work.
func (p Plan) WithQuiet(h Hours) Plan {
	if p.Quiet = h; append(p.Break[:len(p.Break):len(p.Break)], h).min() > mostAwayMin {
		p.Quiet = Hours{}
	}
	return p
}

// QuietAt are the quiet hours that a moment lies in; ok is false where it lies in none.
func (p *Plan) QuietAt(t time.Time) (s Span, ok bool) {
	s, ok = p.Quiet.After(p.OnTheWall(t))
	return s, ok && s.Has(t)
}

// IsQuiet says that a moment lies in the quiet hours.
func (p *Plan) IsQuiet(t time.Time) bool {
	_, quiet := p.QuietAt(t)
	return quiet
}

// QuietIn are the quiet hours that a time in which nobody works takes in; ok is false where it takes
// in none.
func (p *Plan) QuietIn(s Span) (q Span, ok bool) {
	q, ok = p.Quiet.After(p.OnTheWall(s.From))
	return q, ok && q.Meets(s)
}

// SayAway names a time in which nobody works: a break, or quiet hours.
func (p *Plan) SayAway(s Span) string {
	if p.IsQuiet(s.From) {
		return "quiet hours"
	}
	return "break"
}

// SayOver says that what waits does so till a time in which nobody works is over.
func (p *Plan) SayOver(s Span) string {
	if p.IsQuiet(s.To.Add(-time.Second)) { // it may have begun as a break
		return "when your quiet hours are over"
	}
	return "when your break is over"
}

// Away is the first time that lasts beyond t in which nobody works, by the clock of t's location:
// breaks and quiet hours that meet are one. ok is false where there are none.
func (p Plan) Away(t time.Time) (s Span, ok bool) { return p.AwayBut(t, nil) }

// AwayBut is Away without those hours that meet one of the times which stand for them.
func (p *Plan) AwayBut(t time.Time, told []Span) (s Span, ok bool) {
	all := append(p.Break[:len(p.Break):len(p.Break)], p.Quiet)
	after := func(h Hours, t time.Time) (a Span, has bool) {
		for a, has = h.After(t); has && a.MeetsAny(told); {
			a, has = h.After(a.To)
		}
		return a, has
	}
	for _, h := range all {
		if a, has := after(h, t); has && (!ok || a.From.Before(s.From)) {
			s, ok = a, true
		}
	}
	for range all {
		for _, h := range all {
			if a, has := after(h, s.To); ok && has && !a.From.After(s.To) {
				s.To = a.To
			}
		}
	}
	return s, ok
}

// SayNoQuiet says that the plan is not made around these quiet hours, as they and its breaks leave
// too little of the day to work in; "" where it is.
func (p Plan) SayNoQuiet(h Hours) string {
	if p.Quiet == h {
		return ""
	}
	return "your quiet hours and breaks leave under 8 h of the day: the quiet hours are not kept free"
}
