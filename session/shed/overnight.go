package shed

import (
	"math"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
)

// Lifted is how a batch comes to its next bath: dry, or wet from a bath that it went
// into at SankC and left at LiftC, °C; 0 where that is not known. Washed: a wash has taken the
// grease and dirt out.
type Lifted struct {
	Wet, Washed  bool
	LiftC, SankC float64
}

// An overnight presoak is sunk in in the evening and lifted when the person is up:
// all of a fleece at once in a bin or a bath, where the kit has one, else a batch in
// each tub. What no night has room for waits for the next one.

const (
	// SoakGPerL is how much raw fleece a litre of cold water takes where nothing has
	// to open out: about twice a wash's; our own choice.
	SoakGPerL = 50.0
	// nightMin: a presoak planned so long goes over a night; our own choice.
	nightMin = 6 * 60.0
	noonH    = 12
)

// Overnight says that the step's soak goes over a night.
func (s *Step) Overnight() bool { return s.Kind.Facts().Night && s.SoakMin > nightMin }

// InBin says that a batch soaks over night in the kit's bin and not in its tub.
func (p *Plan) InBin(b *Batch) bool {
	return p.Kit.BinL > 0 && b.Presoak == PresoakOvernight && p.Method.hasStep(func(f *StepFacts) bool { return f.ByBatch })
}

// FromBin is how a batch comes to its first bath: wet from the bin and as warm as
// the room, or dry.
func (p *Plan) FromBin(b *Batch) Lifted {
	if !p.InBin(b) {
		return Lifted{}
	}
	return Lifted{Wet: true, LiftC: p.Kit.RoomC, SankC: p.Kit.RoomC}
}

// StepsOf is the series that a batch goes through in its tub.
func (p *Plan) StepsOf(b *Batch) []Step {
	var f Fleece
	if i := slices.IndexFunc(p.Fleeces, func(f Fleece) bool { return f.ID == b.FleeceID }); i >= 0 {
		f = p.Fleeces[i]
	}
	presoak := b.Presoak
	if p.InBin(b) {
		presoak = PresoakNone
	}
	steps := p.Method.StepsFor(f, presoak)
	if b.FromStep != "" { // a method of other names has it begin at its first step
		steps = steps[max(0, slices.IndexFunc(steps, func(s Step) bool { return s.Name == b.FromStep })):]
	}
	for i := range steps {
		if dose := steps[i].Dose(); dose > 0 && b.DosePart > 0 {
			steps[i].DosePart = dose * b.DosePart
		}
	}
	return steps
}

// SoaksOvernight says that a batch is presoaked over a night, wherever.
func (p *Plan) SoaksOvernight(b *Batch) bool {
	return p.InBin(b) || slices.ContainsFunc(p.StepsOf(b), func(s Step) bool { return s.Overnight() })
}

// NightOf are the batches that soak over a night, with which night it is, from 0: the
// bin takes so much a night, a tub one batch that goes into it. The first night has
// no room in the tubs that are taken.
func (p *Plan) NightOf(batches []Batch, taken []int) map[string]int {
	out := map[string]int{}
	inBin, rawG := 0, 0.0
	var inTubs []Batch
	for _, b := range batches {
		switch {
		case p.InBin(&b):
			if rawG > 0 && rawG+b.RawG > p.Kit.BinL*SoakGPerL {
				inBin, rawG = inBin+1, 0
			}
			out[b.ID], rawG = inBin, rawG+b.RawG
		case p.SoaksOvernight(&b):
			inTubs = append(inTubs, b)
		}
	}
	for night := 0; len(inTubs) > 0 && len(p.Kit.Tubs) > 0; night++ {
		for tub := range p.Kit.Tubs {
			i := slices.IndexFunc(inTubs, func(b Batch) bool { return p.FitsIn(&b, tub) })
			if i < 0 || night == 0 && slices.Contains(taken, tub) {
				continue
			}
			out[inTubs[i].ID] = night
			inTubs = slices.Delete(inTubs, i, i+1)
		}
	}
	return out
}

// WashFrom is the first of the moments, a day apart, at which washing goes on in a day that was begun then,
// a night's soak from t away or more; ok is false where a night's soak is lifted when the person is up.
func (p *Plan) WashFrom(begun, t time.Time) (wash time.Time, ok bool) {
	wash = p.OnTheWall(begun.Add(measure.Lasting(p.WashInMin)))
	for p.WashInMin > 0 && wash.Before(t.Add(nightMin*time.Minute)) {
		wash = wash.AddDate(0, 0, 1)
	}
	return wash, p.WashInMin > 0
}

// SunkFor is when a presoak is sunk in for washing that begins then: twelve hours before, and an hour
// before bed, a break or quiet hours at the latest.
func (p *Plan) SunkFor(wash time.Time) time.Time {
	const fills, look = time.Hour, 5 * time.Minute
	at := p.OnTheWall(wash.Add(-overnightPresoakMin * time.Minute))
	for range 24 * time.Hour / look {
		end := at.Add(fills)
		up := p.Kit.WhenUp(at).Equal(at) && p.Kit.WhenUp(end.Add(-look)).Before(end)
		if night := !p.Kit.Rises(at.Add(look)).After(wash); night && up {
			if s, away := p.AwayBut(at, nil); !away || !s.From.Before(end) {
				return at
			}
		}
		at = at.Add(-look)
	}
	return at
}

// SinkFor is when the first presoak over the night before washing begins then is sunk in; ok is false
// where that would have to be before now, or lasts longer than a presoak may.
func (p *Plan) SinkFor(wash, now time.Time) (at time.Time, ok bool) {
	if at = p.SunkFor(wash); at.Before(now) {
		at = p.OnTheWall(now)
		if s, away := p.AwayBut(at, nil); away && s.Has(at) || p.Kit.WhenUp(at).After(at) {
			return at, false
		}
	}
	soakMin := measure.MinutesBetween(at, wash)
	for _, b := range p.Batches {
		for _, s := range p.StepsOf(&b) {
			if s.Overnight() && s.LongestMin > 0 && soakMin > s.LongestMin {
				return at, false
			}
			ok = ok || s.Overnight()
		}
	}
	return at, ok && soakMin >= nightMin
}

// NightFrom is the evening, from t on and so many nights later, on which presoaks of a day that was begun then
// are sunk in, and the morning when they are lifted.
func (p *Plan) NightFrom(begun, t time.Time, later int) (evening, morning time.Time) {
	for evening = p.OnTheWall(t); ; evening = morning {
		if wash, ok := p.WashFrom(begun, evening); ok {
			if at := p.SunkFor(wash); at.After(evening) {
				evening = at
			}
			morning = wash
		} else {
			evening = p.Kit.Evening(evening)
			morning = p.Kit.Morning(evening)
		}
		if later--; later < 0 {
			return evening, morning
		}
	}
}

// Evening is the first moment from t on at which an overnight presoak is sunk in:
// twelve hours before the person is up, or up to an hour before bed. What t's
// location says is the clock on the wall.
func (k *Kit) Evening(t time.Time) time.Time {
	up, bed := k.Waking()
	if bed <= up { // to bed after midnight
		bed += 24
	}
	from := min(up+overnightPresoakMin/60, bed-1)
	for day := -1; ; day++ {
		at := func(h int) time.Time { return time.Date(t.Year(), t.Month(), t.Day()+day, h, 0, 0, 0, t.Location()) }
		switch {
		case !t.Before(at(bed)):
		case t.Before(at(from)):
			return at(from)
		default:
			return t
		}
	}
}

// Morning is when a presoak that was sunk in then is lifted.
func (k *Kit) Morning(sunk time.Time) time.Time {
	return k.WhenUp(sunk.Add(overnightPresoakMin * time.Minute))
}

// night is the night of a day that is planned, or has begun, at t, so many nights later than its first. What
// lies in a bin in the morning went in the evening before.
func (p *Plan) night(t time.Time, later int) (evening, morning time.Time) {
	begun := p.OnTheWall(t)
	if p.Kit.BinL <= 0 || begun.Hour() >= noonH {
		return p.NightFrom(t, t, later)
	}
	yesterday := time.Date(begun.Year(), begun.Month(), begun.Day()-1, noonH, 0, 0, 0, begun.Location())
	if evening, morning = p.NightFrom(t, yesterday, later); later == 0 && begun.After(morning) {
		evening, morning = p.SunkFor(begun), begun
	}
	return evening, morning
}

// Night is a presoak over a night.
type Night struct {
	At, Until time.Time
	Batches   []string
	RawG      float64
	BinL      float64 // of water in the bin; 0: in the tubs
}

// BinWaterL is how much cold water the bin gets for so much raw fleece, L: what it lies as loose in as
// in a wash, no less than covers it, and never to the rim; our own choice.
func (k *Kit) BinWaterL(rawG float64) float64 {
	l := min(max(2*rawG/SoakGPerL, k.BinL/3), 0.9*k.BinL)
	if k.Units.Inches() {
		return k.Units.RoundVolumeL(l)
	}
	return math.Round(l)
}

// NightsOf are the nights of a day that begins at t, in order.
func (p *Plan) NightsOf(t time.Time) []Night {
	var out []Night
	at := p.NightOf(p.Batches, nil)
	for _, b := range p.Batches {
		n, ok := at[b.ID]
		if !ok {
			continue
		}
		for len(out) <= n {
			evening, morning := p.night(t, len(out))
			out = append(out, Night{At: evening, Until: morning})
		}
		out[n].Batches, out[n].RawG = append(out[n].Batches, b.ID), out[n].RawG+b.RawG
		if p.InBin(&b) {
			out[n].BinL = p.Kit.BinWaterL(out[n].RawG)
		}
	}
	return out
}

// FirstTubs is the tub that each batch begins a day in that begins at t, -1 for one that
// waits: the first of the plan that goes into it and is not in the bin for the night to come.
func (p *Plan) FirstTubs(t time.Time) []int {
	out := make([]int, len(p.Batches))
	for i := range out {
		out[i] = -1
	}
	var soaks []string
	for _, n := range p.NightsOf(t) {
		if n.BinL > 0 && t.Sub(n.At) < overnightPresoakMin/2*time.Minute { // who begins before they are usually up, begins
			soaks = append(soaks, n.Batches...)
		}
	}
	for tub := range p.Kit.Tubs {
		first := -1
		for i, b := range p.Batches {
			if out[i] >= 0 || !p.FitsIn(&b, tub) || slices.Contains(soaks, b.ID) {
				continue
			}
			if night := p.WashInMin > 0 && p.SoaksOvernight(&b); first < 0 || night && !p.SoaksOvernight(&p.Batches[first]) { // what soaks till then goes in first
				first = i
			}
		}
		if first >= 0 {
			out[first] = tub
		}
	}
	return out
}
