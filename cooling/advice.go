package cooling

import "math"

// A Choice is what can be done about a bath that cools too soon.
type Choice int

// The choices, from the least trouble to the most. Leave is the zero value.
const (
	Leave Choice = iota
	PutCover
	PourKettle
	CoverAndPour
	LiftNow
)

var choiceNames = [...]string{Leave: "leave", PutCover: "cover", PourKettle: "top up", CoverAndPour: "cover and top up", LiftNow: "lift now"}

// String is the trade's word for it.
func (c Choice) String() string { return nameOf(choiceNames[:], int(c), "choice") }

// A Question is what [Fitted.Advise] is asked.
type Question struct {
	NowMin   float64
	UntilMin float64 // the fleece is to stay in until then
	FloorC   float64 // and not in a bath below this

	// Covered is the loss under a better cover, as in a [Change] (its time is
	// not read); a LossWPerK that is not above 0: there is none to put on.
	Covered Change

	// Poured is a remedy ([Remedy.Change]; now at the soonest, or once it has
	// boiled); an AddJPerK that is not above 0: nothing to pour.
	Poured Change
}

// An Option is one choice and what comes of it.
type Option struct {
	Choice   Choice
	Crossing Crossing // of the floor, from now on
	GainMin  float64  // how much later the early crossing is than if left alone
	Enough   bool     // even the early crossing is not before UntilMin
}

// Advice compares what can be done. The Options always begin with Leave and end
// with LiftNow; between them are those that there is anything for.
type Advice struct {
	Options []Option
	Best    Option
}

// Advise compares leaving a bath, covering it, topping it up, both, and lifting
// now, by when the bath may come down to the floor at the earliest: the alarm
// leads that, so the choice does too. Best is the least trouble that is enough;
// if none is, the one that holds out longest; and to lift now if the bath may
// be at the floor already whatever is done.
func (f Fitted) Advise(q Question) Advice {
	q.NowMin = max(q.NowMin, 0)
	q.Covered.AtMin, q.Poured.AtMin = q.NowMin, max(q.Poured.AtMin, q.NowMin)
	before := f.Crossing(q.FloorC, q.NowMin)
	a := Advice{Options: make([]Option, 0, 5)}
	if math.IsNaN(before.EarlyMin) {
		a.Best.Crossing = before // no telling: the zero value's Leave
		a.Options = append(a.Options, a.Best, Option{Choice: LiftNow, Crossing: before})
		return a
	}
	add := func(c Choice, changes ...Change) {
		o := Option{Choice: c, Crossing: before}
		if len(changes) > 0 {
			o.Crossing = f.With(changes...).Crossing(q.FloorC, q.NowMin)
			// Endless against endless is no gain.
			if o.Crossing.EarlyMin != before.EarlyMin {
				o.GainMin = o.Crossing.EarlyMin - before.EarlyMin
			}
		}
		o.Enough = o.Crossing.EarlyMin >= q.UntilMin
		a.Options = append(a.Options, o)
	}
	cover, pour := q.Covered.LossWPerK > 0, q.Poured.AddJPerK > 0
	add(Leave)
	if cover {
		add(PutCover, q.Covered)
	}
	if pour {
		add(PourKettle, q.Poured)
	}
	if cover && pour {
		add(CoverAndPour, q.Poured, q.Covered)
	}
	a.Best = a.Options[0]
	for _, o := range a.Options {
		if a.Best.Enough {
			break
		}
		if o.Enough || o.Crossing.EarlyMin > a.Best.Crossing.EarlyMin {
			a.Best = o
		}
	}
	// Lifted, the fleece is out of it: there is nothing to gain or to wait for.
	lift := Option{Choice: LiftNow, Crossing: before, Enough: q.NowMin >= q.UntilMin}
	a.Options = append(a.Options, lift)
	if lift.Enough || !a.Best.Enough && !(a.Best.Crossing.EarlyMin > q.NowMin) {
		a.Best = lift
	}
	return a
}

// With is the same knowledge of a bath to which something more was, or would
// be, done.
func (f Fitted) With(changes ...Change) Fitted {
	all := make([]Change, 0, len(f.bath.Changes)+len(changes))
	f.bath.Changes = orderedChanges(append(append(all, f.bath.Changes...), changes...))
	return f
}
