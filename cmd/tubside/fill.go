package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

const fillHelp = `fill says how much water from the hot tap, the cold tap and the kettle makes a
bath that has the temperature you want once the fleece is in it, with as little from
the kettle as will do. It counts the weight and warmth of each water, the water in a
drained fleece, and the tub's own wall.

Type figures with their unit (65 C, 149 F, 8 L, 2 US gal, 225 g, 8 oz). A plain
number is in °C, L or g, in US units °F, US gal or oz; there gal, qt, pt, cup and fl
oz are US ones. With --step tap water comes in whole marks of your jug, and kettle
water in marks of 0.25 L or US cups, or by the full kettle. Without --kettle it is
a kettle that has just boiled at --altitude; --kettle none says that you have none.`

// fill is what the flags of the command ask for.
type fill struct {
	kettle, kettleSize                                           string // none, or leftOut
	target, volume                                               string // leftOut
	json                                                         bool
	units                                                        measure.System
	targetC, volumeL, hotC, coldC, kettleC, kettleL, stepL, tubL float64
	fleeceG, carriedG, fleeceC, roomC, altitudeM                 float64
}

func newFill(o *options) *cobra.Command {
	f := &fill{}
	cmd := &cobra.Command{
		Use:   "fill",
		Short: "Work out the hot, cold and kettle water for a bath",
		Long:  fillHelp,
		Example: `  tubside fill --target "{65 C}" --volume "{8 L}" --hot "{51 C}" --cold "{12 C}" --fleece "{200 g}" --carried "{260 g}" --fleece-temp "{18 C}" --step "{0.25 L}"
  tubside fill --target "{65 C}" --volume "{8 L}" --hot "{51 C}" --kettle none --json`,
		Args: takes(0, 0, "fill takes no file: give its figures as flags, --target TEMPERATURE --volume WATER"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			kit, u, err := o.kitOf(cmd)
			if err == nil {
				f.units, err = u, readFigures(cmd.Flags(), u, kit)
			}
			if err != nil {
				return err
			}
			return f.run(cmd.OutOrStdout())
		},
	}
	flags, usual := cmd.Flags(), shed.DefaultKit()
	within := func(r measure.Range, check func(measure.System, float64, measure.Range) error) func(measure.System, float64) error {
		return func(u measure.System, v float64) error { return check(u, v, r) }
	}
	temp := within(fillTapC, measure.System.CheckTempC)
	water := within(measure.Range{Max: fillVolumeL.Max}, measure.System.CheckVolumeL)
	mass := within(fillMassG, measure.System.CheckMassG)
	temperature(flags, &f.targetC, "target", "", "the `temperature` you want with the fleece in").within(within(fillTargetC, measure.System.CheckTempC)).or(&f.target, "")
	volume(flags, &f.volumeL, "volume", "", "how much `water` the bath takes").within(within(fillVolumeL, measure.System.CheckVolumeL)).or(&f.volume, "")
	temperature(flags, &f.hotC, "hot", usualC(usual.HotTapC), "the hot tap's `temperature`").within(temp).of(hotTap)
	temperature(flags, &f.coldC, "cold", usualC(usual.ColdTapC), "the cold tap's `temperature`").within(temp).of(coldTap)
	temperature(flags, &f.kettleC, "kettle", "", "the `temperature` of kettle water as it goes into the tub, or none").within(temp).or(&f.kettle, "none", "")
	volume(flags, &f.kettleL, "kettle-volume", "", "how much `water` the kettle boils at a time, three times at most; otherwise your kit's, or no limit").within(water).of(kettleSize).or(&f.kettleSize, "")
	weight(flags, &f.fleeceG, "fleece", "0", "raw `weight` of the fleece that goes in").within(mass)
	weight(flags, &f.carriedG, "carried", "0", "`weight` of the water already in the fleece").within(mass)
	temperature(flags, &f.fleeceC, "fleece-temp", usualC(usual.RoomC), "the fleece's `temperature`").within(temp).of(roomOf)
	volume(flags, &f.stepL, "step", "0", "one `mark` of the jug you measure tap water with; 0 for exact figures").within(water).of(func(k shed.Kit) float64 { return k.JugL })
	volume(flags, &f.tubL, "tub", "0", "the tub's `size` to the rim, for the heat its wall takes; 0 leaves that out").within(water)
	temperature(flags, &f.roomC, "room", usualC(usual.RoomC), "the room's `temperature`, and the empty tub's").within(temp).of(roomOf)
	altitude(flags, &f.altitudeM)
	kitFlag(flags)
	unitsFlag(flags)
	flags.BoolVar(&f.json, "json", false, "print JSON")
	return cmd
}

// Figures of a kit.
func hotTap(k shed.Kit) float64     { return k.HotTapC }
func coldTap(k shed.Kit) float64    { return k.ColdTapC }
func roomOf(k shed.Kit) float64     { return k.RoomC }
func kettleSize(k shed.Kit) float64 { return k.Kettle.CapacityL }
func heightOf(k shed.Kit) float64   { return k.AltitudeM }

// Limits of what the command takes for a slip of the hand.
var (
	fillTargetC = measure.Range{Min: 1, Max: 100}
	fillTapC    = measure.Range{Min: 0, Max: 100}
	fillVolumeL = measure.Range{Min: 0.1, Max: 500}
	fillMassG   = measure.Range{Min: 0, Max: 50_000}
)

func (f *fill) run(out io.Writer) error {
	if err := f.parse(); err != nil {
		return err
	}
	w := cooling.FillWish{
		VolumeL: f.volumeL, TargetC: f.targetC, HotC: f.hotC, ColdC: f.coldC, KettleC: f.kettleC, KettleMaxL: f.kettleL * shed.MostKettleLoads, KettleFullL: f.kettleL, StepL: f.stepL, KettleStepL: (&shed.Kit{Units: f.units, JugL: f.stepL}).KettleMarkL(),
		Fleece: []cooling.Portion{
			{HeatJPerK: f.fleeceG * cooling.WoolJPerGK, TempC: f.fleeceC},
			{HeatJPerK: f.carriedG / 1000 * cooling.SpecificHeatJPerKgK(f.fleeceC), TempC: f.fleeceC},
		},
	}
	if f.tubL > 0 {
		w.Tub = cooling.Portion{HeatJPerK: cooling.VesselHeatJPerK(cooling.Vessel{CapacityL: f.tubL, Shape: cooling.Deep}, f.volumeL), TempC: f.roomC}
	}
	got := cooling.FillFor(w)
	if poured := got.HotL + got.ColdL + got.KettleL; f.tubL > 0 && poured > f.tubL+1e-9 {
		return usage("--tub holds %s, but whole marks of %s come to %s: give a --volume of %s", f.units.Volume(f.tubL), f.units.Pour(f.stepL, f.units.FinestL()),
			f.units.Pour(poured, f.units.FinestL()), f.units.VolumeFine(whole(f.units, f.tubL, f.stepL, math.Floor)))
	}
	over, stop := overOf(w, got), stopOf(f.units, w, got)
	if f.json {
		return writeFillJSON(out, got, over, stop != "")
	}
	return f.writeText(out, w, got, over, stop)
}

// stopOf says that a bath meant for a wash is too cool for one, and what would do;
// "" if it is not. What a wash takes is the built-in method's.
func stopOf(u measure.System, w cooling.FillWish, got cooling.Fill) string {
	var wash shed.Step
	for _, s := range shed.BuiltInMethod().Steps {
		if s.HasRelease() {
			wash = s
		}
	}
	why := fmt.Sprintf("%s with the fleece in, and wax sets below %s", u.TempFine(got.AfterC), u.TempFine(wash.ReleaseC))
	switch {
	case w.TargetC < wash.LowestSinkC || got.ShortC <= 0:
		return ""
	case got.AfterC < wash.ReleaseC:
	case got.WaterC < wash.LowestSinkC:
		why = fmt.Sprintf("%s before the fleece, and it takes %s to begin", u.TempFine(got.WaterC), u.TempFine(wash.LowestSinkC))
	default:
		return ""
	}
	ways := fillWays(u, w, got.Need, "raise the tank to ", "boil ", " in all", "fill no more than ", "")
	if ways == "" {
		ways = "nothing here makes it hot enough"
	}
	return "too cool to wash, " + why + ": " + ways
}

// fillWays are what would make a bath as warm as it is wanted, each by itself, in words
// before a tap's temperature, around the kettle's water and around the bath's. A figure
// is rounded to where it still does.
func fillWays(u measure.System, w cooling.FillWish, n cooling.FillNeed, hot, kettle, kettleEnd, bath, bathEnd string) string {
	var ways []string
	if !math.IsNaN(n.HotC) {
		ways = append(ways, hot+u.TempUp(n.HotC))
	}
	if !math.IsNaN(n.KettleL) && !math.IsNaN(w.KettleC) {
		ways = append(ways, kettle+u.VolumeFine(whole(u, n.KettleL, w.KettleStepL, math.Ceil))+kettleEnd)
	}
	if l := whole(u, n.VolumeL, w.StepL, math.Floor); l >= session.LeastBathPart*w.VolumeL {
		ways = append(ways, bath+u.VolumeFine(l)+bathEnd)
	}
	return strings.Join(ways, ", or ")
}

// whole is so much water in whole marks of so many litres, or 0: as finely as it is
// shown.
func whole(u measure.System, l, markL float64, round func(float64) float64) float64 {
	if markL <= 0 {
		markL = u.FinestL()
	}
	const hair = 1e-6 // of a mark: no more than it is worked out to
	marks := l / markL
	if n := math.Round(marks); math.Abs(marks-n) < hair {
		marks = n
	}
	return round(marks) * markL
}

// fillOver is a bath that stays too warm even of cold water alone.
type fillOver struct {
	byC   float64 // above the target; 0: it does not
	coldC float64 // a cold tap that would do; NaN: none would
}

// overOf finds that out. A bath with other water in it is as near its target as
// the jug allows.
func overOf(w cooling.FillWish, got cooling.Fill) fillOver {
	out := fillOver{coldC: math.NaN()}
	over := got.AfterC - w.TargetC
	if !(over >= 0.05) || got.HotL > 1e-6 || got.KettleL > 0 { // less than 0.05 is the thermometer's
		return out
	}
	out.byC = over
	after := func(coldC float64) float64 {
		colder := w
		colder.ColdC, colder.StepL = coldC, 0
		return cooling.FillFor(colder).AfterC
	}
	low, high := 0.0, w.ColdC
	const near = 1e-6 // as near as a fill is solved
	if after(low) > w.TargetC+near {
		return out
	}
	for range 60 {
		if mid := (low + high) / 2; after(mid) > w.TargetC+near {
			high = mid
		} else {
			low = mid
		}
	}
	out.coldC = math.Floor(low*1000) / 1000
	return out
}

// parse finds what cannot be meant together, and says what would do.
func (f *fill) parse() error {
	u := f.units
	if f.target != "" || f.volume != "" {
		return usage("say what the bath should be: --target %s --volume %s", u.TempField(u.RoundTempC(65)), u.VolumeField(u.RoundVolumeL(8)))
	}
	switch {
	case f.kettle == "none", f.kettle == leftOut && f.kettleSize == "" && f.kettleL == 0:
		f.kettleC = math.NaN()
	case f.kettle == leftOut:
		f.kettleC = cooling.BoilingC(f.altitudeM) - cooling.PourCoolsC
	}
	switch {
	case f.hotC < f.coldC:
		return usage("--hot %s is colder than --cold %s: swap them", u.TempRead(f.hotC), u.TempRead(f.coldC))
	case f.kettleC < f.hotC:
		return usage("--kettle %s is colder than --hot %s: boil it, or say --kettle none", u.TempRead(f.kettleC), u.TempRead(f.hotC))
	case f.stepL > f.volumeL:
		return usage(u.Spell("--step %s is more than the whole bath of %s: give a smaller jug"), u.Volume(f.stepL), u.Volume(f.volumeL))
	case f.tubL > 0 && f.volumeL > f.tubL:
		return usage("--tub holds %s, so a bath of %s runs over: fill less", u.Volume(f.tubL), u.Volume(f.volumeL))
	}
	return nil
}

// fillJSON is the command's answer: litres and °C; what would do it where the
// bath stays short, or too warm, else null.
type fillJSON struct {
	HotL    float64      `json:"hot_l"`
	ColdL   float64      `json:"cold_l"`
	KettleL float64      `json:"kettle_l"`
	VolumeL float64      `json:"volume_l"`
	WaterC  finiteOrNull `json:"water_c"`
	AfterC  finiteOrNull `json:"after_c"`
	ShortC  float64      `json:"short_c"`
	OverC   float64      `json:"over_c"`
	// TooCool says that the bath is meant for a wash and cannot be one.
	TooCool bool          `json:"too_cool_to_wash"`
	Needs   *fillNeedJSON `json:"needs"`
}

type fillNeedJSON struct {
	KettleL finiteOrNull `json:"kettle_l"`
	HotC    finiteOrNull `json:"hot_c"`
	VolumeL finiteOrNull `json:"volume_l"`
	ColdC   finiteOrNull `json:"cold_c"`
}

// toldC: nobody can set, nor read, what would make up for less.
const (
	toldC  = 0.5
	unread = "less than a kitchen thermometer shows"
)

func writeFillJSON(out io.Writer, f cooling.Fill, over fillOver, tooCool bool) error {
	j := fillJSON{HotL: f.HotL, ColdL: f.ColdL, KettleL: f.KettleL, VolumeL: f.HotL + f.ColdL + f.KettleL,
		WaterC: finiteOrNull(f.WaterC), AfterC: finiteOrNull(f.AfterC), ShortC: f.ShortC, OverC: over.byC, TooCool: tooCool}
	none := finiteOrNull(math.NaN())
	switch {
	case f.ShortC >= toldC || tooCool:
		j.Needs = &fillNeedJSON{finiteOrNull(f.Need.KettleL), finiteOrNull(f.Need.HotC), finiteOrNull(f.Need.VolumeL), none}
	case over.byC >= toldC:
		j.Needs = &fillNeedJSON{none, none, none, finiteOrNull(over.coldC)}
	}
	return json.NewEncoder(out).Encode(j)
}

func (f *fill) writeText(out io.Writer, w cooling.FillWish, got cooling.Fill, over fillOver, stop string) error {
	u := f.units
	var b strings.Builder
	if stop != "" { // before anything is poured
		_, _ = fmt.Fprintf(&b, "do not fill: %s\n", stop)
	}
	boils := "" // where one kettle is not enough
	if k := (shed.Kit{Units: u, JugL: f.stepL, Kettle: shed.Kettle{CapacityL: f.kettleL}}); f.kettleL > 0 && got.KettleL > f.kettleL*(1+1e-9) {
		boils = ": " + k.BoilText(got.KettleL)
	}
	for _, p := range []struct {
		name, more string
		l, markL   float64
	}{{"cold tap", "", got.ColdL, w.StepL}, {"hot tap", "", got.HotL, w.StepL}, {"kettle", boils, got.KettleL, w.KettleStepL}} {
		if p.l > 0 {
			_, _ = fmt.Fprintf(&b, "%-9s %s%s%s\n", p.name, u.VolumeFine(p.l), inMarks(u, p.l, p.markL, w.StepL), p.more)
		}
	}
	_, _ = fmt.Fprintf(&b, "%-9s %s before the fleece, %s with it in\n", "bath", u.TempFine(got.WaterC), u.TempFine(got.AfterC))
	if poured, asked := u.VolumeFine(got.HotL+got.ColdL+got.KettleL), u.VolumeFine(f.volumeL); w.StepL > 0 && poured != asked {
		finestL, why := w.StepL, ": that is as near as whole marks come"
		if got.KettleL > 0 {
			finestL = min(finestL, w.KettleStepL)
		}
		if math.Abs(got.HotL+got.ColdL+got.KettleL-f.volumeL) > finestL/2+1e-6 { // marks would have come nearer
			why = ", so that it is as warm as asked"
			if got.ShortC > 0 || got.UnderC > 0 || over.byC > 0 {
				why = ", so that it is nearer to the warmth asked"
			}
		}
		_, _ = fmt.Fprintf(&b, "%-9s %s, not %s%s\n", "in all", poured, asked, why)
	}
	if got.ShortC > 0 && stop == "" {
		more := unread
		if got.ShortC >= toldC {
			more = fillMore(u, w, got.Need)
		}
		_, _ = fmt.Fprintf(&b, "%-9s %s under the %s wanted: %s\n", "short", u.TempMiss(got.ShortC), u.TempFine(f.targetC), more)
	}
	if got.UnderC > 0 && got.ShortC == 0 {
		_, _ = fmt.Fprintf(&b, "%-9s %s under the %s wanted: no boil more is worth it\n", "under", u.TempMiss(got.UnderC), u.TempFine(f.targetC))
	}
	if over.byC > 0 {
		way := "it has to cool down"
		if over.byC < toldC {
			way = unread
		} else if !math.IsNaN(over.coldC) {
			way = fmt.Sprintf("cold water of %s would do it", u.TempFine(over.coldC))
		}
		_, _ = fmt.Fprintf(&b, "%-9s %s over the %s wanted, of cold water alone: %s\n", "warm", u.TempMiss(over.byC), u.TempFine(f.targetC), way)
	}
	if got.WaterC >= 49 {
		_, _ = fmt.Fprintln(&b, "caution   this water scalds in seconds to minutes: cold water first, gloves, a clear path, no children or animals underfoot")
	}
	_, err := io.WriteString(out, b.String())
	return err
}

// inMarks is how many marks so much water is, and of which where they are not the
// jug's; "" without any, or for a kettle that is full between two of them.
func inMarks(u measure.System, l, markL, jugL float64) string {
	n := math.Round(l / markL)
	switch {
	case !(markL > 0) || math.Abs(l/markL-n) > 0.01:
		return ""
	case markL != jugL:
		return fmt.Sprintf(" (%s of %s)", measure.Counted(int(n), "mark", "marks"), u.Mark(markL))
	}
	return fmt.Sprintf(" (%s)", measure.Counted(int(n), "mark", "marks"))
}

func fillMore(u measure.System, w cooling.FillWish, n cooling.FillNeed) string {
	if ways := fillWays(u, w, n, "a hot tap of ", "", " from the kettle", "no more than ", " of water"); ways != "" {
		return ways
	}
	return "nothing here makes it"
}
