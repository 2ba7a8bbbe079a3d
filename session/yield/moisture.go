package yield

import (
	"errors"
	"fmt"
	"math"
)

// TradeRegain is the standard regain of wool in the trade (AWTA glossary; Dooley, Textiles).
const TradeRegain = 0.16

// The isotherm's regain at 65 % relative humidity (after Lotens 1993).
const (
	regain65TakingUp = 0.145
	regain65Drying   = 0.16
)

// What was measured at 65 %, 20 °C: 14 % taking up, 16-18 % drying (Morton and
// Hearle 2008). These bound how far the isotherm is trusted.
const (
	leastRegain65       = 0.14
	mostRegain65Drying  = 0.18
	mostRegain65Taking  = 0.15
	leastRegain65Drying = 0.155
)

// SureRH is the relative humidity above which the isotherm overshoots.
const SureRH = 0.85

// mostRegain bounds it there: nothing mechanical takes wool below 33-35 % of
// water, so more than that is no longer bound in the fibre.
const mostRegain = 0.35

// Side says from which side wool came to the room's humidity: wool that dried
// holds more water than wool that took it up.
type Side int

// The sides. What comes off the rack came from the wet: Drying.
const (
	SideUnknown Side = iota
	TakingUp
	Drying
)

var sideWords = []string{"unknown", "taking up", "drying"}

func (s Side) String() string {
	if s < 0 || int(s) >= len(sideWords) {
		return fmt.Sprintf("Side(%d)", int(s))
	}
	return sideWords[s]
}

// MarshalText writes the word.
func (s Side) MarshalText() ([]byte, error) {
	if s < 0 || int(s) >= len(sideWords) {
		return nil, fmt.Errorf("%d is not a side: use unknown, taking up or drying", int(s))
	}
	return []byte(sideWords[s]), nil
}

// UnmarshalText reads the word.
func (s *Side) UnmarshalText(text []byte) error {
	for i, w := range sideWords {
		if w == string(text) {
			*s = Side(i)
			return nil
		}
	}
	return fmt.Errorf("%.20q is not a side: use unknown, taking up or drying", text)
}

func checkRegain(regain float64) error {
	if !(regain >= 0) || math.IsInf(regain, 0) {
		return fmt.Errorf("a regain can't be %g %%: give 0 %% or more, such as 16 %%", 100*regain)
	}
	return nil
}

// IsothermFactor is R(rh)/R(65 %), 0.55 rh [1/(0.25+rh) + 1/(1.25-rh)] (after
// Lotens 1993), for a relative humidity of 0 to 1; outside it the nearer end.
func IsothermFactor(rh float64) float64 {
	rh = min(max(rh, 0), 1)
	return 0.55 * rh * (1/(0.25+rh) + 1/(1.25-rh))
}

// Regain is the isotherm: the regain of clean wool at rest in a room of that
// relative humidity (0 to 1). For SideUnknown it is the mean of both sides. It
// never passes 35 %. sure is false above SureRH, where the isotherm overshoots.
func Regain(rh float64, side Side) (regain float64, sure bool, err error) {
	if !(rh >= 0 && rh <= 1) {
		return 0, false, fmt.Errorf("humidity can't be %g %%: give from 0 to 100 %%", 100*rh)
	}
	likely, _, _ := side.regain65()
	return min(likely*IsothermFactor(rh), mostRegain), rh <= SureRH, nil
}

func (s Side) regain65() (likely, least, most float64) {
	switch s {
	case TakingUp:
		return regain65TakingUp, leastRegain65, mostRegain65Taking
	case Drying:
		return regain65Drying, leastRegain65Drying, mostRegain65Drying
	case SideUnknown:
	}
	return (regain65TakingUp + regain65Drying) / 2, leastRegain65, mostRegain65Drying
}

// BoneDryG is the mass without its water of wool that weighs massG at a regain.
func BoneDryG(massG, regain float64) (float64, error) { return MassAtRegainG(massG, regain, 0) }

// MassAtRegainG is what wool that weighs massG at one regain weighs at another.
func MassAtRegainG(massG, from, to float64) (float64, error) {
	if err := errors.Join(checkRegain(from), checkRegain(to)); err != nil {
		return 0, err
	}
	if !(massG >= 0) || math.IsInf(massG, 0) {
		return 0, fmt.Errorf("a mass can't be %g g: give 0 or more", massG)
	}
	return massG * ((1 + to) / (1 + from)), nil
}

// Room is the air in which the dry fleece was weighed.
type Room struct {
	Known bool    `json:"known"`
	RH    float64 `json:"rh"`     // relative humidity, 0 to 1
	RHErr float64 `json:"rh_err"` // its standard deviation; 0 means 0.05, a household hygrometer (from memory)
	Side  Side    `json:"side"`   // from which side the wool came
	Told  int     `json:"-"`      // where it is not known: of how many batches it was told
}

// An unknown room is taken as anything between these (common practice, no
// source): a heated room in winter, a damp one in summer.
const (
	driestRoom  = 0.35
	dampestRoom = 0.75
)

const usualRHErr = 0.05

func (r Room) check() error {
	if r.Known && !(r.RH >= 0 && r.RH <= 1) {
		return fmt.Errorf("humidity can't be %g %%: give from 0 to 100 %%", 100*r.RH)
	}
	if !(r.RHErr >= 0 && r.RHErr <= 0.5) {
		return fmt.Errorf("a hygrometer that errs by %g %% is no help: give from 0 to 50 %%", 100*r.RHErr)
	}
	return nil
}

// regains spreads the regain over what is not known: the humidity and the side.
func (r Room) regains() []sample {
	const humidities, sides = 15, 9
	_, least, most := r.Side.regain65()
	sd := r.RHErr
	if sd == 0 {
		sd = usualRHErr
	}
	out := make([]sample, 0, humidities*sides)
	for i := range humidities {
		p := (float64(i) + 0.5) / humidities
		rh := driestRoom + p*(dampestRoom-driestRoom)
		if r.Known {
			rh = r.RH + sd*math.Sqrt2*math.Erfinv(2*p-1)
		}
		for j := range sides {
			at65 := least + (float64(j)+0.5)/sides*(most-least)
			out = append(out, sample{min(at65*IsothermFactor(rh), mostRegain), 1})
		}
	}
	return out
}

// RegainIn is the regain of clean wool at rest in the room, with the 90 %
// interval that the humidity and the side leave. sure is false for an unknown
// room and above SureRH.
func RegainIn(r Room) (regain Interval, sure bool, err error) {
	if err := r.check(); err != nil {
		return Interval{}, false, err
	}
	rh := (driestRoom + dampestRoom) / 2
	if r.Known {
		rh = r.RH
	}
	likely, sure, err := Regain(rh, r.Side)
	if err != nil {
		return Interval{}, false, err
	}
	q := interval90(r.regains())
	return Interval{q.Low, likely, q.High}.within(0, mostRegain), sure && r.Known, nil
}
