package lookback

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Stretch is a time from one moment to another; zero moments are not known.
type Stretch struct{ From, To time.Time }

// Known says that both ends are.
func (s Stretch) Known() bool { return !s.From.IsZero() && !s.To.IsZero() }

// Min is its length, min; NaN where an end is not known.
func (s Stretch) Min() float64 {
	if !s.Known() {
		return math.NaN()
	}
	return measure.MinutesBetween(s.From, s.To)
}

// Deed is one act of the person at a tub. The record tells when it was over; since when it
// could be done, and from when the hands were free for it, follows. At is the work itself:
// as long as such a deed lasts, and no longer than it could have.
type Deed struct {
	Act   shed.Action
	Tub   int
	Batch string
	Step  int       // index into the batch's steps
	Ready time.Time // from then on it could be done
	At    Stretch
}

// fewDeeds: of so few of a kind nobody can tell a slow one from a late one; what was
// planned counts. Our own choice.
const fewDeeds = 3

// walk lives a day once more, as far as it was told.
type walk struct {
	begun  session.Day // as it was when it began
	poured []poured
	deeds  []Deed
	open   []Deed // that fleece in a bath or wet still waited for in the end: no work
	boils  []Boil
	cool   map[int][]Stretch // when no wait would have made the tap warm enough for that bath; the last may have no end yet
	tank   map[int]Stretch   // when the bath that the tub waits for had to wait for hot water
	waits  map[int]waitsFor  // what deeds waited for besides hands, by their index
	held   map[int][]Stretch // when tubs were on hold
	putOff map[int][]Stretch // when the washes of tubs were put behind a break
	added  map[string]time.Time
}

// waitsFor is what a deed had to wait for besides the person.
type waitsFor struct {
	tank               Stretch
	kettle, cool, away []Stretch
	elsewhere          []Boil  // the kettle for other baths, before it was on for this one
	boilMin            float64 // what was poured boiling has boiled for so long, though nobody told when; 0: told, or nothing was
}

// kept is a time in which a deed could not be done, whoever stood there.
type kept struct {
	Stretch
	by  Cause
	tub int // of ForKettle: the other that it was on for; else -1
}

// kept is what kept a deed, as far as it was told; what comes first goes before the rest.
func (w *walk) kept(i, tub int) (out []kept) {
	x := w.waits[i]
	for _, of := range []struct {
		by Cause
		at []Stretch
	}{{OnHold, w.held[tub]}, {PutOff, w.putOff[tub]}, {ForKettle, x.kettle}, {ForTank, []Stretch{x.tank}}} {
		for _, at := range of.at {
			out = append(out, kept{at, of.by, -1})
		}
	}
	for _, b := range x.elsewhere {
		out = append(out, kept{b.Stretch, ForKettle, b.Tub})
	}
	for _, at := range x.cool {
		out = append(out, kept{at, ForWarmth, -1})
	}
	return out
}

// untold is when the water of a fill boiled at the latest, where nobody told.
func (w *walk) untold(i int) (at Stretch) {
	if min := w.waits[i].boilMin; min > 0 && i < len(w.deeds) {
		at = Stretch{w.deeds[i].At.From.Add(-measure.Lasting(min)), w.deeds[i].At.From}
	}
	return at
}

// away are the breaks of the person from one moment to another, as a day has them.
func away(d *session.Day, from, to time.Time) (out []Stretch) {
	for at := later(from, d.StartedAt); ; at = out[len(out)-1].To {
		s, ok := d.NextBreak(at)
		if !ok || !s.From.Before(to) {
			return out
		}
		out = append(out, Stretch(s))
	}
}

// Boil is the kettle from when it was put on until it boiled, for a bath of a batch. Told
// says that somebody said when; else it is reckoned.
type Boil struct {
	Stretch
	Tub   int // whose bath it was for
	Batch string
	Step  int
	Told  bool
}

func walked(d session.Day) *walk {
	w := &walk{cool: map[int][]Stretch{}, tank: map[int]Stretch{}, waits: map[int]waitsFor{}, held: map[int][]Stretch{}, putOff: map[int][]Stretch{}, added: map[string]time.Time{}}
	var day session.Day
	for i, r := range d.Told() {
		before := day
		day = session.Apply(before, r)
		if i == 0 {
			w.begun = day
			w.wantTank(&day, r.At)
			continue
		}
		if e, ok := r.Event.(session.BatchAdded); ok {
			w.added[e.Batch.ID] = r.At
		}
		w.puttingOff(&before, r.At)
		w.boil(&before, &day)
		if before.Kettle != day.Kettle {
			w.wantTank(&day, r.At)
		}
		tub := session.TubOf(r.Event)
		if tub < 0 || tub >= len(before.Tubs) {
			continue
		}
		if t := before.Tubs[tub]; t.Held() && !day.Tubs[tub].Held() {
			w.held[tub] = append(w.held[tub], Stretch{t.HeldAt, r.At})
		}
		if e, ok := r.Event.(session.BathFilled); ok {
			w.poured = append(w.poured, poured{before, e, day.Tubs[tub].Bath.FilledAt, w.tank[tub].To})
		}
		if c, ok := r.Event.(session.FillCorrected); ok {
			for i := range w.poured {
				if x := &w.poured[i]; x.e.Tub == tub && x.at.Equal(day.Tubs[tub].Bath.FilledAt) {
					x.e.VolumeL, x.e.HotL = c.VolumeL, c.HotL
				}
			}
		}
		act, _ := session.ActOf(r.Event)
		if len(day.Baths) > len(before.Baths) { // told for itself or not: moved, skipped, filled anew
			act = shed.DrainTub
		}
		if act != shed.Wait {
			w.deed(&before, &day, act, tub, r.Event)
		}
		_, poured := r.Event.(session.ToppedUp)
		if is := day.Tubs[tub].Phase; poured || is == shed.ToFill || is == shed.ToSink && is != before.Tubs[tub].Phase {
			w.wantTank(&day, day.FreeAt())
		}
	}
	if k := day.Kettle; !k.OnAt.IsZero() {
		w.boils = append(w.boils, boilOf(k, day.LastAt))
	}
	w.cut()
	end := cmp.Or(d.EndedAt, d.LastAt)
	w.puttingOff(&day, end)
	for tub, t := range day.Tubs {
		f := Deed{Act: t.Phase.Act(), Tub: tub, Batch: t.Batch, Step: t.At, Ready: t.PhaseAt, At: Stretch{end, end}}
		if t.Phase == shed.Soaking {
			f.Ready = t.SoakEndAt(end)
		}
		if !day.Fate[t.Batch].SunkAt.IsZero() && f.Ready.Before(end) {
			w.waits[len(w.deeds)+len(w.open)] = waitsFor{away: away(&day, f.Ready, end)}
			w.open = append(w.open, f)
		}
		if t.Held() {
			w.held[tub] = append(w.held[tub], Stretch{t.HeldAt, end})
		}
	}
	return w
}

// deed notes an act that was just told.
func (w *walk) deed(before, after *session.Day, act shed.Action, tub int, told session.Event) {
	t, done := before.Tubs[tub], after.FreeAt()
	f := Deed{Act: act, Tub: tub, Batch: t.Batch, Step: t.At, Ready: t.PhaseAt, At: Stretch{before.FreeAt(), done}}
	var x waitsFor
	switch {
	case act == shed.LoadNext:
		f.Batch, f.Step = after.Tubs[tub].Batch, 0
		f.Ready = later(f.Ready, w.added[f.Batch])
		if b, ok := after.Batch(f.Batch); ok && !after.Plan.FitsIn(b, tub) { // nobody was called to it
			f.Ready = done
		}
	case act == shed.Lift:
		f.Ready = t.SoakEndAt(done)
	case act == shed.DrainTub && t.Phase != shed.Draining: // nobody was called to it
		f.Ready = done
	case act == shed.FillTub:
		for _, b := range w.boils {
			if b.Batch == t.Batch && b.Step == t.At {
				x.kettle = append(x.kettle, b.Stretch)
			}
		}
		if e, ok := told.(session.BathFilled); ok && (len(x.kettle) > 0 || e.KettleL >= session.LeastKettleL) {
			for _, b := range w.boils {
				if other := b.Batch != t.Batch || b.Step != t.At; other && b.To.After(f.Ready) && (len(x.kettle) == 0 || b.From.Before(x.kettle[0].From)) {
					x.elsewhere = append(x.elsewhere, b)
				}
			}
			if len(x.kettle) == 0 {
				x.boilMin = before.Plan.Kit.BoilMin(e.KettleL)
			}
		}
		x.tank, x.cool = w.tank[tub], w.cool[tub]
		if n := len(x.cool); n > 0 && x.cool[n-1].To.IsZero() {
			x.cool[n-1].To = done
		}
		delete(w.cool, tub)
	}
	x.away = away(before, f.Ready, done)
	w.waits[len(w.deeds)] = x
	if f.Ready.After(done) { // sooner than planned
		f.Ready = done
	}
	f.At.From = later(f.At.From, f.Ready)
	w.deeds = append(w.deeds, f)
}

// wantTank notes until when tubs have to wait for hot water, as it is at a moment: after each
// draw, and when one begins to wait for a bath.
func (w *walk) wantTank(d *session.Day, at time.Time) {
	for tub := range d.Tubs {
		was, cool := w.tank[tub], w.cool[tub]
		open := len(cool) > 0 && cool[len(cool)-1].To.IsZero()
		if d.Tubs[tub].Phase != shed.ToFill {
			delete(w.tank, tub)
			delete(w.cool, tub)
			continue
		}
		idle, ok := d.IdleFill(tub, at)
		switch ever := measure.Finite(idle.WaitMin); {
		case ok && ever:
			if !at.Before(was.To) {
				was.From = at
			}
			w.tank[tub] = Stretch{was.From, at.Add(measure.Lasting(idle.WaitMin))}
		case ok && !open:
			w.cool[tub] = append(cool, Stretch{From: at})
		}
		if open && (!ok || measure.Finite(idle.WaitMin)) {
			cool[len(cool)-1].To = at
		}
	}
}

// putOffLongest is how far back a wash is looked at that may have waited for a break: none lasts longer, and a clock may have been set by years.
const putOffLongest = 12 * time.Hour

// puttingOff notes when a day, as it stood till a moment, put washes behind a break.
func (w *walk) puttingOff(d *session.Day, to time.Time) {
	for tub := range d.Tubs {
		for at := later(d.LastAt, to.Add(-putOffLongest)); at.Before(to) && d.Tubs[tub].Phase == shed.ToFill; {
			next := sooner(to, at.Add(time.Minute))
			if _, waits := d.FillWaits(tub, at); waits {
				w.putOff[tub] = append(w.putOff[tub], Stretch{at, next})
			}
			at = next
		}
	}
}

// boil notes a boil that is over: the kettle was poured, refilled, or put on for another bath.
func (w *walk) boil(before, after *session.Day) {
	k := before.Kettle
	if !k.OnAt.IsZero() && !k.OnAt.Equal(after.Kettle.OnAt) {
		w.boils = append(w.boils, boilOf(k, after.FreeAt()))
	}
}

// boilOf is the boil that is on. One through which nobody refilled the kettle is over with it.
func boilOf(k session.KettleRun, by time.Time) Boil {
	b := Boil{Stretch{k.OnAt, k.ReadyAt()}, k.Tub, k.Batch, k.Step, !k.BoiledAt.IsZero()}
	if k.Follows() {
		b.To = k.RefillAt()
	}
	b.To = sooner(b.To, by)
	return b
}

// handsAll says that a deed waited for nothing but hands.
func (w *walk) handsAll(i int) bool {
	x := w.waits[i]
	return len(x.kettle)+len(x.elsewhere) == 0 && len(x.cool) == 0 && len(x.away) == 0 && !x.tank.Known() && len(w.held[w.deeds[i].Tub]) == 0
}

// cut takes from each deed what it cannot have lasted: what such a deed usually took on this
// day, or was planned to, whichever is longer. The rest nobody came. Of a lift the plan alone
// says it: nobody can tell a slow one from a late one.
func (w *walk) cut() {
	hands := w.begun.Plan.HandsMin()
	took := map[shed.Action][]float64{}
	for i, f := range w.deeds {
		if w.handsAll(i) {
			took[f.Act] = append(took[f.Act], f.At.Min())
		}
	}
	for act, min := range took {
		if act != shed.Lift && len(min) >= fewDeeds {
			hands[act] = max(hands[act], middle(min))
		}
	}
	for i := range w.deeds {
		f := &w.deeds[i]
		f.At.From = later(f.At.From, f.At.To.Add(-measure.Lasting(hands[f.Act])))
	}
}

// middle is the middle one of some figures, the lower of two; 0 of none.
func middle(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	v = slices.Clone(v)
	sort.Slice(v, func(i, j int) bool { return v[i] < v[j] })
	return v[(len(v)-1)/2]
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func sooner(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
