package coach

import (
	"fmt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

func orName(s shed.Scour) string {
	if s.Name == "" {
		return "scour"
	}
	return s.Name
}

// wholeText is the whole of a bath, as its parts are shown.
func wholeText(k shed.Kit, f session.FillPlan) string {
	own := k.KettleMarkL()
	l := k.Units.PourShownL(f.Pour.ColdL, k.JugL) + k.Units.PourShownL(f.Pour.HotL, k.JugL) + k.Units.PourShownL(f.Pour.KettleL, own)
	mark := k.JugL
	if f.Pour.KettleL > 0 {
		mark = own
	}
	return k.Units.Pour(l, mark)
}

// SayUnder says how far under its aim a bath comes; "" for no more than half a mark.
func SayUnder(u measure.System, f session.FillPlan) string {
	if f.Pour.UnderC <= 0 {
		return ""
	}
	return fmt.Sprintf(" (%s under its aim)", u.TempBy(f.Pour.UnderC))
}

// PourText is what to pour for a bath, from each source: "5 L hot tap + 3.2 L
// kettle (1 kettle + 1.5 L)".
func PourText(k shed.Kit, f session.FillPlan) string {
	text := ""
	add := func(l float64, amount, from string) {
		if l < 0.02 {
			return
		}
		if text != "" {
			text += " + "
		}
		text += amount + " " + from
	}
	add(f.Pour.ColdL, k.Units.Pour(f.Pour.ColdL, k.JugL), "cold")
	add(f.Pour.HotL, k.Units.Pour(f.Pour.HotL, k.JugL), "hot tap")
	kettle := "kettle"
	if f.KettleLoads > 1 {
		kettle = fmt.Sprintf("kettle (%s)", k.BoilText(f.Pour.KettleL))
	}
	add(f.Pour.KettleL, k.KettleText(f.Pour.KettleL), kettle)
	return text
}
