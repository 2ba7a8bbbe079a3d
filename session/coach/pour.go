package coach

import (
	"fmt"
	"time"

	"fleece.example/tubside/cooling"
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

// topUp is boiling water for a bath that stands.
type topUp struct {
	text  string    // how it is poured
	short string    // by how much it falls short, in brackets
	whose string    // that another bath waits for it; "": none
	at    time.Time // when it is hot
}

// sayTopUp says how a remedy is poured: from the kettle that has boiled or is on, whichever bath it is for, where
// there is enough in it; else it is boiled for it.
func sayTopUp(d *session.Day, r cooling.Remedy, now time.Time) (t topUp) {
	k := &d.Plan.Kit
	u, litres, bail := k.Units, k.KettleText(r.PourL), ""
	if r.BailL > 0.02 {
		bail = "bail " + u.Pour(r.BailL, k.JugL) + ", then "
	}
	t.at = now.Add(measure.Lasting(k.BoilMin(r.PourL)))
	from := "boil " + litres + " and " + bail + "pour it in"
	if bail != "" {
		from = "boil " + litres + ", " + bail + "pour it in"
	}
	kettle, on := d.KettleOn()
	switch at, has := kettle.HotAt(r.PourL, now); {
	case on && kettle.Stale(now):
		from = "boil the kettle again, " + bail + "pour in " + litres
	case on && has:
		from = bail + "pour " + litres + " from the kettle"
		if t.at = at; at.After(now) {
			from = "when the kettle boils at " + u.Clock(d.Plan.OnTheWall(at)) + ", " + from
		} else if kettle.BoiledAt.IsZero() && r.PourL > kettle.PailL {
			from = "when the kettle boils, " + from
		}
	}
	if on {
		t.whose = WhoseKettle(d, t.at)
	}
	t.text = from + " at the side, to " + u.Temp(r.TempC)
	if r.ShortC > 0.5 {
		t.short = fmt.Sprintf(" (one kettle leaves it %s short of %s)", u.TempBy(r.ShortC), u.Temp(r.TempC+r.ShortC))
	}
	return t
}

// inBrackets is whose water that is, inside a sentence.
func (t *topUp) inBrackets() string {
	if t.whose == "" {
		return ""
	}
	return " (" + t.whose + ")"
}

// WhoseKettle says that what is in the kettle is for another bath, and when there is as much for that if it goes on
// again at a time; "" if nothing is in it.
func WhoseKettle(d *session.Day, again time.Time) string {
	k, on := d.KettleOn()
	if !on {
		return ""
	}
	ready := d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(again.Add(measure.Lasting(k.BoilMin))))
	return fmt.Sprintf("that's the kettle for %s's %s, boil again for it: ready at %s", d.TubName(k.Tub), k.StepName, ready)
}
