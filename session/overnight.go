package session

import (
	"fmt"
	"slices"
	"time"
)

// An overnight presoak is sunk in in the evening and lifted when the person is up:
// all of a fleece at once in a bin or a bath, where the kit has one, else a batch in
// each tub. What no night has room for waits for the next one.

const (
	// soakGPerL is how much raw fleece a litre of cold water takes where nothing has
	// to open out: about twice a wash's; our own choice.
	soakGPerL = 50.0
	// nightMin: a presoak planned so long goes over a night; our own choice.
	nightMin = 6 * 60.0
	noonH    = 12
)

func (s Step) overNight() bool { return s.Kind.Facts().Night && s.SoakMin > nightMin }

// inBin says that a batch soaks over night in the kit's bin and not in its tub.
func (p Plan) inBin(b Batch) bool {
	return p.Kit.BinL > 0 && b.Presoak == PresoakOvernight && p.Method.hasStep(func(f StepFacts) bool { return f.ByBatch })
}

// InBin names the batches that soak over night in the kit's bin, "A1 to A6"; "" for
// none.
func (p Plan) InBin() string {
	var ids []string
	for _, b := range p.Batches {
		if p.inBin(b) {
			ids = append(ids, b.ID)
		}
	}
	if len(ids) == 0 {
		return ""
	}
	return namedBatches(ids)
}

// fromBin is how a batch comes to its first bath: wet from the bin and as warm as
// the room, or dry.
func (p Plan) fromBin(b Batch) lifted {
	if !p.inBin(b) {
		return lifted{}
	}
	return lifted{wet: true, liftC: p.Kit.RoomC, sankC: p.Kit.RoomC}
}

// stepsOf is the series that a batch goes through in its tub.
func (p Plan) stepsOf(b Batch) []Step {
	var f Fleece
	if i := slices.IndexFunc(p.Fleeces, func(f Fleece) bool { return f.ID == b.FleeceID }); i >= 0 {
		f = p.Fleeces[i]
	}
	presoak := b.Presoak
	if p.inBin(b) {
		presoak = PresoakNone
	}
	return p.Method.StepsFor(f, presoak)
}

// goesOver says that a batch is presoaked over a night, wherever.
func (p Plan) goesOver(b Batch) bool {
	return p.inBin(b) || slices.ContainsFunc(p.stepsOf(b), Step.overNight)
}

// nights are the batches that soak over a night, with which night it is, from 0: the
// bin takes so much a night, a tub one batch that goes into it. The first night has
// no room in the tubs that are taken.
func (p Plan) nights(batches []Batch, taken []int) map[string]int {
	out := map[string]int{}
	inBin, rawG := 0, 0.0
	var inTubs []Batch
	for _, b := range batches {
		switch {
		case p.inBin(b):
			if rawG > 0 && rawG+b.RawG > p.Kit.BinL*soakGPerL {
				inBin, rawG = inBin+1, 0
			}
			out[b.ID], rawG = inBin, rawG+b.RawG
		case p.goesOver(b):
			inTubs = append(inTubs, b)
		}
	}
	for night := 0; len(inTubs) > 0 && len(p.Kit.Tubs) > 0; night++ {
		for tub := range p.Kit.Tubs {
			i := slices.IndexFunc(inTubs, func(b Batch) bool { return p.fitsIn(b, tub) })
			if i < 0 || night == 0 && slices.Contains(taken, tub) {
				continue
			}
			out[inTubs[i].ID] = night
			inTubs = slices.Delete(inTubs, i, i+1)
		}
	}
	return out
}

// local is a moment by the clock on the wall.
func (p Plan) local(t time.Time) time.Time {
	return t.In(time.FixedZone("", p.ZoneMin*60))
}

// Evening is the first moment from t on at which an overnight presoak is sunk in:
// twelve hours before the person is up, or up to an hour before bed. What t's
// location says is the clock on the wall.
func (k Kit) Evening(t time.Time) time.Time {
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
func (k Kit) Morning(sunk time.Time) time.Time {
	return k.WhenUp(sunk.Add(overnightPresoakMin * time.Minute))
}

// firstEvening is the evening of the first night of a day that is planned, or has
// begun, at t. What lies in a bin in the morning went in the evening before.
func (p Plan) firstEvening(t time.Time) time.Time {
	t = p.local(t)
	if p.Kit.BinL > 0 && t.Hour() < noonH {
		t = time.Date(t.Year(), t.Month(), t.Day()-1, noonH, 0, 0, 0, t.Location())
	}
	return p.Kit.Evening(t)
}

// A Night is a presoak over a night.
type Night struct {
	At, Until time.Time
	Batches   []string
	RawG      float64
	BinL      float64 // of water in the bin; 0: in the tubs
}

// nightsOf are the nights of a day that begins at t, in order.
func (p Plan) nightsOf(t time.Time) []Night {
	var out []Night
	at := p.nights(p.Batches, nil)
	for _, b := range p.Batches {
		n, ok := at[b.ID]
		if !ok {
			continue
		}
		for len(out) <= n {
			evening := p.firstEvening(t).AddDate(0, 0, len(out))
			out = append(out, Night{At: evening, Until: p.Kit.Morning(evening)})
		}
		out[n].Batches, out[n].RawG = append(out[n].Batches, b.ID), out[n].RawG+b.RawG
		if p.inBin(b) {
			out[n].BinL = p.Kit.BinL
		}
	}
	return out
}

// begins is when a plan that is looked at at t has its first work: in the evening
// where all of it soaks over a night, and where that is in a bin, in the morning.
func (p Plan) begins(t time.Time) time.Time {
	nights := p.nightsOf(t)
	if len(nights) == 0 || slices.ContainsFunc(p.Batches, func(b Batch) bool { return !p.goesOver(b) }) {
		return t
	}
	first := nights[0].At
	if nights[0].BinL > 0 {
		first = nights[0].Until
	}
	if first.Before(t) {
		return t
	}
	return first
}

// soaksTill is when a batch that waits for its tub has soaked in the bin; zero for
// any other batch.
func (d Day) soaksTill(b Batch) time.Time {
	if !d.Plan.inBin(b) {
		return zeroTime
	}
	for _, n := range d.Plan.nightsOf(d.StartedAt) {
		if slices.Contains(n.Batches, b.ID) {
			return n.Until
		}
	}
	return zeroTime
}

// Say is what is done, or at now was to be done, on the evening of a night in a bin.
func (n Night) Say(k Kit, now time.Time) string {
	text := n.say(k)
	if n.At.Before(now) {
		text += ". Not in the bin yet? Then begin tonight, and wash tomorrow"
	}
	return text
}

func (n Night) say(k Kit) string {
	return fmt.Sprintf("overnight presoak: %s, %s raw, into %s of cold water; lifted %s", namedBatches(n.Batches), k.Units.Mass(n.RawG), k.Units.Volume(n.BinL), n.Until.Format("Mon 15:04"))
}

// sayNights says that one night is not enough, and what would be.
func (o Outlook) sayNights() string {
	n := len(o.Nights)
	if n < 2 {
		return ""
	}
	if k := o.Plan.Kit; k.BinL > 0 {
		return fmt.Sprintf("the bin of %s takes about %s a night: the presoak takes %d nights", k.Units.Volume(k.BinL), k.Units.Mass(k.BinL*soakGPerL), n)
	}
	return fmt.Sprintf("the tubs take %s a night: the presoak takes %d nights. A bin or a bath (Kit) takes a whole fleece in one", countedBatches(len(o.Nights[0].Batches)), n)
}

// namedBatches are marks in a row: "A1 to A4", "A1, B1 and B2".
func namedBatches(ids []string) string {
	last := len(ids) - 1
	switch {
	case last == 0:
		return ids[0]
	case last > 1 && ids[0][:1] == ids[last][:1]:
		return ids[0] + " to " + ids[last]
	}
	text := ids[0]
	for _, id := range ids[1:last] {
		text += ", " + id
	}
	return text + " and " + ids[last]
}
