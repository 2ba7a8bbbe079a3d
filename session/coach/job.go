package coach

import (
	"fmt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Topic is what the trade does about one thing.
type Topic struct {
	Head string
	Says []string
}

// TheJob gathers for the help what the trade does from the sheet on the floor to the rack, in
// the order of the work. All of it is common practice, no source.
func TheJob(u measure.System) []Topic {
	bathL := 8.0
	if u.USVolume() {
		bathL = 2 * measure.LPerUSGal
	}
	takes := func(t shed.FleeceType, f shed.Form) string {
		return u.Mass(shed.BasketFor(u, bathL, t, f))
	}
	return []Topic{
		{"Sorting", []string{
			"Lay the fleece out on a sheet, cut side down. Skirt it: pull off dung, the stained and matted edge, hay, and shake out second cuts, the short bits from where the shears went twice.",
			"Hold a lock by both ends beside your ear and tug. Sound wool rings; tender wool crackles and breaks: keep it out of what you mean to comb.",
			"Put like with like: shoulder and sides, britch, stuck tips. Each batch can name its part, and its yield is then told apart.",
		}},
		{"How full", []string{
			fmt.Sprintf("A bath of %s takes about %s loose, %s of springy fine fleece, or %s of locks in layers. Much more can't be pushed under and doesn't open out.",
				u.Volume(bathL), takes(shed.Medium, shed.Loose), takes(shed.Fine, shed.Loose), takes(shed.Medium, shed.Locks)),
		}},
		{"Where the water goes", []string{
			"Soak and wash water is dirt and wax: pour it outdoors on rough ground, away from wells, ditches and streams, where local rules allow. It sets in a drain as it cools. The last rinse may go down the sink.",
		}},
		{"Wax that has set", []string{
			"Fleece that was lifted too late, or comes off the rack sticky, has its wax back on it. Hot rinses don't shift it: wash it again, hot from the start; half the scour does. Any day will do.",
		}},
		{"What felts easily", []string{
			"Heat with movement felts wool, and so does a jump from hot to cold. Press it under once and leave it: no dunking, stirring, rubbing or wringing, and nothing poured onto it. Keep each rinse near the bath before; spin it short, in a bag.",
		}},
	}
}

func howToSpin(f *shed.Fleece) Line {
	if f.Felting == shed.High {
		return Line{Text: "it felts easily: a short spin in a bag, machine on spin only; no rinse, no tumbling", Brief: "short spin in a bag: it felts"}
	}
	return Line{Text: "in a machine on spin only, or swung in a bag outdoors; no rinse, no tumbling", Brief: "spin only: no rinse, no tumbling"}
}

// washAhead says that the bath after this one is another wash: wax that is left goes in it.
func washAhead(t session.TubRun) bool {
	return t.At+1 < len(t.Steps) && t.Steps[t.At+1].HasRelease()
}
