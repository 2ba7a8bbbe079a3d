package session

import (
	"slices"
	"strings"
	"time"
)

// follows are the acts that go on from another without a step away: the hands
// are at the tub, and the person tells of them by one press at the end. A lift
// ends such a movement, because its moment counts.
var follows = map[Action][]Action{
	LoadNext:  {FillTub},
	FillTub:   {SinkIn},
	DrainTub:  {FillTub, SpinFibre},
	SpinFibre: {RackFibre},
}

// apartMin: an act that the timetable has this much later is not part of the same
// movement. An emptied tub need not wait for the kettle before its person says so.
const apartMin = 6.0

// together adds to a prompt the acts that one press tells of with it, and what
// there is to know for them. It stops before an act that something speaks
// against: that one is asked about by itself.
func (d Day) together(p *Prompt, pieces []Piece, now time.Time) {
	if p.Rank != Now || p.Held || p.Tub < 0 || p.Doubt != "" {
		return
	}
	t := d.Tubs[p.Tub]
	if p.Act == DrainTub && d.release(p.Tub, d.heat(p.Tub)).below(t.Bath.LiftedAt.Add(-time.Minute)) {
		return // first it is to be decided whether this bath is washed again
	}
	at, act, title, parts := d, p.Act, []string{p.Title}, [][]Line{p.Details}
	for {
		var err error
		if at, err = at.after(DoNext{Tub: p.Tub, Act: act, Batch: p.Batch}, now); err != nil {
			return
		}
		next := at.Prompt(p.Tub, now)
		if !slices.Contains(follows[act], next.Act) || next.Doubt != "" || next.Rank != Now || act == DrainTub && !soon(pieces, p.Tub, next.Act, now) {
			break
		}
		act = next.Act
		p.Then = append(p.Then, act)
		if act != SinkIn { // goes without saying in the title
			title = append(title, next.Title)
		}
		if act == FillTub && next.Caution != (Caution{}) || p.Caution == (Caution{}) { // hot water before all
			p.Caution = next.Caution
		}
		parts = append(parts, next.Details)
	}
	if len(p.Then) == 0 {
		return
	}
	p.Title = strings.Join(title, ", ")
	p.Details = nil
	if p.Act == DrainTub { // where the water goes, before anything else is done
		p.Details, parts[0] = parts[0][:1], parts[0][1:]
	}
	if i := slices.Index(p.Then, FillTub); i >= 0 { // how much of what stands before all
		fill, must := parts[i+1], Prompt{Details: parts[i+1]}.must()
		p.Details = slices.Concat(fill[:must], p.Details, fill[must:])
		parts = slices.Concat(parts[i+2:], parts[:i+1])
	} else if slices.Contains(p.Then, RackFibre) { // where to
		slices.Reverse(parts)
	}
	for _, lines := range parts {
		for _, l := range lines {
			if l.Of != OfNext && !slices.ContainsFunc(p.Details, func(has Line) bool { return has.Say(nil) == l.Say(nil) }) {
				p.Details = append(p.Details, l)
			}
		}
	}
}

// soon says that an act at a tub is not planned for later.
func soon(pieces []Piece, tub int, act Action, now time.Time) bool {
	for _, piece := range pieces {
		if piece.Tub == tub && slices.Contains(piece.Acts, act) {
			return minutesBetween(now, piece.Start) <= apartMin
		}
	}
	return false
}

// DoTogether does an act at a tub and those that follow it in one movement, the
// last of them at now. The minutes since the hands came free are shared out as the
// acts usually take them, so that a fill is not taken for as late as its sink-in.
// Each is an event of its own: an undo takes the last one back.
//
// On a refusal of the first nothing has changed; on one of a later act those
// before it are done, and err says what was refused.
func DoTogether(d Day, c DoNext, then []Action, now time.Time) (Day, []Recorded, error) {
	acts := append([]Action{c.Act}, then...)
	agoMin := d.shareOut(c.Tub, acts, now)
	var recs []Recorded
	for i, act := range acts {
		do := c
		do.Act, do.AgoMin = act, agoMin[i]
		if i > 0 {
			do.Batch = ""
		}
		day, more, err := Do(d, do, now)
		if err != nil {
			return d, recs, err
		}
		d, recs = day, append(recs, more...)
	}
	return d, recs, nil
}

// shareOut is how long ago each of some acts at a tub was over, min; the last one
// is over now.
func (d Day) shareOut(tub int, acts []Action, now time.Time) []float64 {
	agoMin := make([]float64, len(acts))
	if tub < 0 || tub >= len(d.Tubs) {
		return agoMin
	}
	from, hands, all := d.Tubs[tub].PhaseAt, d.Plan.HandsMin(), 0.0
	if d.freeAt.After(from) {
		from = d.freeAt
	}
	for _, a := range acts {
		all += hands[a]
	}
	part := min(1, max(0, minutesBetween(from, now))/all)
	for i := len(acts) - 2; i >= 0; i-- {
		agoMin[i] = agoMin[i+1] + part*hands[acts[i+1]]
	}
	return agoMin
}
