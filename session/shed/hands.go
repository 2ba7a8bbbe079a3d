package shed

import (
	"fleece.example/tubside/session/measure"
)

// Hands is how long each act takes the person's hands, min.
type Hands map[Action]float64

// usualHands is what the acts take before any day has taught better: our own
// guesses, no source.
func usualHands() Hands {
	return Hands{LoadNext: 1.5, FillTub: 3, SinkIn: 1, Lift: 1.5, DrainTub: 3, SpinFibre: 4, RackFibre: 2.5}
}

// guessWeight: what is guessed counts as much as so many times seen.
const guessWeight = 2.0

// HandsMin is what each act takes, as past days have it.
func (p *Plan) HandsMin() Hands {
	h := usualHands()
	for _, t := range p.Hands {
		if guess, known := h[t.Act]; known && t.Times > 0 && t.Min > 0 && measure.Finite(t.Min) {
			n := float64(t.Times)
			h[t.Act] = (guess*guessWeight + t.Min*n) / (guessWeight + n)
		}
	}
	return h
}
