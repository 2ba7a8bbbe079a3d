package session

import (
	"fleece.example/tubside/session/shed"
)

// BoilsMin is BoilMin for a fill: each boil after the first costs a minute or so of
// hands.
func BoilsMin(k shed.Kit, f FillPlan) float64 {
	return k.BoilMin(f.Pour.KettleL) + float64(max(0, f.KettleLoads-1))
}
