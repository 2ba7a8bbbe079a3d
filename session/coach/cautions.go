package coach

import (
	"math"
	"slices"
	"strconv"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Scald is how fast water of a temperature burns an adult's skin seriously.
type Scald struct {
	TempC   float64
	Seconds float64
}

// ScaldTable gives the time to a serious burn at 120, 130, 140, 150 and 155 °F. Sources: US
// Consumer Product Safety Commission, tap-water scald leaflet (49 °C 5 min, 54 °C 30 s, 60 °C
// 6 s, 66 °C 2 s); where others give a shorter time it is the one shown: 60 °C
// 3 s (derived from the Moritz and Henriques table), 66 °C 1.5 s and 68 °C 1 s (children's
// safety leaflets).
func ScaldTable() []Scald {
	return []Scald{{48.9, 300}, {54.4, 30}, {60, 3}, {65.6, 1.5}, {68.3, 1}}
}

// ScaldSeconds is the time to a serious burn in water of tempC as it is shown, between two
// rows of the table as the logarithm goes. ok is false below the table, where it makes
// no promise; above, it is that of the last row.
func ScaldSeconds(u measure.System, tempC float64) (seconds float64, ok bool) {
	table := ScaldTable()
	if !(tempC >= table[0].TempC-4) {
		return 0, false
	}
	shown := func(c float64) float64 { return math.RoundToEven(u.Degrees(c)) }
	from, is := table[0], shown(tempC)
	for _, to := range table {
		if a, b := shown(from.TempC), shown(to.TempC); is <= b {
			part := max(0, is-a) / max(1, b-a)
			return from.Seconds * math.Pow(to.Seconds/from.Seconds, part), true
		}
		from = to
	}
	return from.Seconds, true
}

// HotWaterCaution is the line for a step with hot water.
func HotWaterCaution(u measure.System, tempC float64) Caution {
	s, ok := ScaldSeconds(u, tempC)
	if !ok {
		return Caution{}
	}
	return caution(u.Temp(tempC)+" water burns in "+scaldPhrase(s), ": gloves, clear path")
}

func caution(harm, keep string) Caution { return Caution{harm + keep, harm} }

// scaldPhrase is a time to a burn, rounded down: 1.9 s must not read as 2.
func scaldPhrase(s float64) string {
	step := 0.5
	switch {
	case s >= 120:
		return "minutes"
	case s >= 60:
		return "1 min"
	case s >= 10:
		step = 5
	case s >= 5:
		step = 1
	}
	return strconv.FormatFloat(math.Floor(s/step+1e-9)*step, 'f', -1, 64) + " s"
}

// warned says that the caution of a prompt was read before: the same deed at a step
// of the same kind has been done today.
func warned(d session.Day, p Prompt) bool {
	s, spun := d.Tubs[p.Tub].Step(), false
	of := func(b session.Bath) bool {
		switch p.Act {
		case shed.FillTub:
			return !b.FilledAt.IsZero() && b.Step.Kind == s.Kind && b.Step.Water == s.Water
		case shed.SinkIn:
			return !b.SunkAt.IsZero() && b.Step.Kind == s.Kind
		case shed.DrainTub:
			return !b.DrainedAt.IsZero() && b.Step.DrainTo == s.DrainTo
		default:
			return false
		}
	}
	for _, t := range d.Tubs {
		spun = spun || t.Phase == shed.ToRack
		if !p.Stopped() && of(t.Bath) {
			return true
		}
	}
	for _, f := range d.Fate {
		spun = spun || !f.RackedAt.IsZero()
	}
	return p.Act == shed.SpinFibre && spun || !p.Stopped() && slices.ContainsFunc(d.Baths, of)
}

// drainCaution is the line for a step that drains soiled water.
var drainCaution = caution("local rules decide where this water may go", "; wax harms septic tanks and streams")

// rawFleeceCaution is the line for the first handling of a raw batch.
var rawFleeceCaution = caution("raw fleece", ": gloves, keep dust down, wash hands and arms after")

// spinCaution is the line for a machine near water.
func spinCaution(u measure.System) Caution {
	return caution(u.Spell("dry hands at plug and switch"), u.Spell("; machine and computer on a residual-current device (RCD)"))
}

// boilingCaution is the line where boiling water is carried.
var boilingCaution = caution("boiling water burns in 1 s", ": lid on, gloves, clear path")

// scaldWords is the table as one reads it.
func scaldWords(u measure.System) string {
	text, table := "", ScaldTable()
	for i, row := range table[1:] {
		if i == len(table)-2 {
			return text + "hotter in " + scaldPhrase(row.Seconds) + " or less"
		}
		text += u.Temp(row.TempC) + " in " + scaldPhrase(row.Seconds) + ", "
	}
	return text
}

// Cautions gathers every caution for the help. First aid for a scald: British Burn
// Association.
func Cautions(u measure.System) []string {
	return []string{
		"Hot water burns: " + scaldWords(u) + ". Cold water first, then hot; heavy gloves; no children or animals underfoot.",
		"A scald: cool running water for at least 20 minutes, then medical advice.",
		"Kettle: part filled, lid shut, carried along a clear path. Turned the water heater up for the day? Turn it back down.",
		"Raw fleece: gloves, keep dust down, wash hands and arms. Health bodies name Q fever, ringworm, tetanus and dip residues. Pregnant, or with heart-valve disease: keep away from raw fleece. After dipping, leave raw fleece alone for three months.",
		"Waxy water: outdoors where local rules allow it, never into a septic tank, stream or house drain.",
		u.Spell("Electricity: kettle and computer away from splashes, on a residual-current device (RCD); leave wiring to a licensed electrician."),
	}
}
