package coach

import (
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// follows are the acts that go on from another without a step away: the hands
// are at the tub, and the person tells of them by one press at the end. A lift
// ends such a movement, because its moment counts.
var follows = map[shed.Action][]shed.Action{
	shed.LoadNext:  {shed.FillTub},
	shed.FillTub:   {shed.SinkIn},
	shed.DrainTub:  {shed.FillTub, shed.SpinFibre},
	shed.SpinFibre: {shed.RackFibre},
}

// apartMin: a fill that the timetable has this much later is not part of the same
// movement. An emptied tub need not wait for the kettle before its person says so.
const apartMin = 6.0

// together adds to a prompt the acts that one press tells of with it, and what
// there is to know for them. It stops before an act that something speaks
// against: that one is asked about by itself.
func together(d session.Day, p *Prompt, pieces []planner.Piece, now time.Time) {
	if p.Rank != Now || p.Held || p.Tub < 0 || p.Doubt != "" {
		return
	}
	t := d.Tubs[p.Tub]
	if p.Act == shed.DrainTub && d.Release(p.Tub, d.Heat(p.Tub)).Below(t.Bath.LiftedAt.Add(-time.Minute)) {
		return // first it is to be decided whether this bath is washed again
	}
	at, act, title, parts := d, p.Act, []string{p.Title}, [][]Line{p.Details}
	for {
		var err error
		if at, err = at.After(session.DoNext{Tub: p.Tub, Act: act, Batch: p.Batch}, now); err != nil {
			return
		}
		next := PromptAt(at, p.Tub, now)
		if !slices.Contains(follows[act], next.Act) || next.Doubt != "" || next.Rank != Now || next.Act == shed.FillTub && act == shed.DrainTub && !soon(pieces, p.Tub, now) {
			break
		}
		act = next.Act
		p.Then = append(p.Then, act)
		if act != shed.SinkIn { // goes without saying in the title
			title = append(title, next.Title)
		}
		if act == shed.FillTub && next.Caution != (Caution{}) || p.Caution == (Caution{}) { // hot water before all
			p.Caution = next.Caution
		}
		parts = append(parts, next.Details)
	}
	if len(p.Then) == 0 {
		return
	}
	p.Title = strings.Join(title, ", ")
	p.Details = nil
	if p.Act == shed.DrainTub { // where the water goes, before anything else is done
		p.Details, parts[0] = parts[0][:1:1], parts[0][1:]
	}
	if i := slices.Index(p.Then, shed.FillTub); i >= 0 { // then how much of what
		p.Details = slices.Concat(p.Details, parts[i+1])
		parts = slices.Concat(parts[i+2:], parts[:i+1])
	}
	for _, lines := range parts {
		for _, l := range lines {
			if l.Of != OfNext && !slices.ContainsFunc(p.Details, func(has Line) bool { return has.Say(nil) == l.Say(nil) }) {
				p.Details = append(p.Details, l)
			}
		}
	}
}

// soon says that the fill of a tub is not planned for later.
func soon(pieces []planner.Piece, tub int, now time.Time) bool {
	for _, piece := range pieces {
		if piece.Tub == tub && slices.Contains(piece.Acts, shed.FillTub) {
			return measure.MinutesBetween(now, piece.Start) <= apartMin
		}
	}
	return false
}
