package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

const yieldHelp = `yield works out the clean yield of a batch, dry weight by raw weight, with what
the rounding of the scale leaves open, and brings it to a standard regain (water
by dry mass), since fleece holds more water in a damp room than in a dry one.
Give --raw and --dry several times for several batches of one fleece.

With --rest it forecasts what the rest of the fleece will give. Batches from one
part are more alike than the rest will be: give --part once for each batch. Those
without a part may all be from one, and the range is as wide as that; for
batches taken from all over the fleece the part is mixed.

All ranges are 90 % ones. Type weights with their unit (225, 0.5 kg, 8 oz, 1 lb 4);
a plain number is in g, in US units oz.`

// yieldFlags is what the flags of the command ask for.
type yieldFlags struct {
	rawG, dryG       []float64
	part             []string
	stepG, restG     float64
	rh, regain       float64
	humidity, rest   string // leftOut
	side, fleeceType string
	sure, json       bool
}

func newYield(o *options) *cobra.Command {
	y := &yieldFlags{}
	cmd := &cobra.Command{
		Use:     "yield --raw WEIGHT --dry WEIGHT",
		Short:   "Work out the clean yield of batches and forecast the rest of a fleece",
		Long:    yieldHelp,
		Example: `  tubside yield --raw "{225 g}" --dry "{118 g}" --rest "{900 g}"`,
		Args:    takes(0, 0, "yield takes weights by their flags: --raw WEIGHT --dry WEIGHT"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			kit, u, err := o.kitOf(cmd)
			if err == nil {
				err = readFigures(cmd.Flags(), u, kit)
			}
			if err != nil {
				return err
			}
			return y.run(u, cmd.OutOrStdout())
		},
	}
	flags := cmd.Flags()
	weights(flags, &y.rawG, "raw", "raw `weight` of a batch, such as {225 g}; once for each batch")
	weights(flags, &y.dryG, "dry", "dry `weight` of a batch; once for each, in the same order")
	flags.StringArrayVar(&y.part, "part", nil, "the `part` of the fleece a batch is from, such as shoulder; once for each, or not at all")
	weight(flags, &y.restG, "rest", "", "raw `weight` of the rest of the fleece, to forecast what it gives").within(moreThanNone).or(&y.rest, "")
	flags.StringVar(&y.fleeceType, "type", "", "the `type` of fleece: "+strings.Join(yield.Types(), ", "))
	perCent(flags, &y.rh, "humidity", "", "relative humidity (`%`) where the dry fleece was weighed").within(aPart).or(&y.humidity, "")
	flags.StringVar(&y.side, "side", "drying", "`how` it came to that humidity: drying (off the rack), taking-up or unknown")
	perCent(flags, &y.regain, "regain", "16", "standard regain (`%`): 16 in the trade, 13.6 by ASTM D1909").within(aPart)
	weight(flags, &y.stepG, "scale-step", "1 g", "one step of the scale, as a `weight`").within(aStep).
		usual(func(u measure.System, _ float64) float64 { return shed.UsualScale(u).StepG }, measure.System.Step).
		of(func(k shed.Kit) float64 { return append(slices.Clone(k.Scales), shed.UsualScale(k.Units))[0].ReadToG() })
	kitFlag(flags)
	unitsFlag(flags)
	flags.BoolVar(&y.sure, "sure", false, "take an unusual yield or humidity as right")
	flags.BoolVar(&y.json, "json", false, "print JSON: masses in g, yields and regains as parts of one")
	return cmd
}

// yieldAsk is what the flags mean.
type yieldAsk struct {
	batches  []yield.Batch
	room     yield.Room
	regain   float64
	restG    float64 // 0 when not asked for
	fleece   string
	system   measure.System
	showMass yield.Show // what was typed
}

// mostBatches bounds the batches of one fleece.
const mostBatches = 200

func aPart(u measure.System, v float64) error {
	if v > 1 {
		return errors.New(u.Spell("it should be from 0 to 100 per cent, such as 55"))
	}
	return nil
}

func aStep(u measure.System, g float64) error {
	if g <= 0 || g > 1000 {
		return fmt.Errorf("a step should be more than 0 and at most %s, such as %s", u.Mass(1000), u.Mass(shed.UsualScale(u).StepG))
	}
	return nil
}

func moreThanNone(_ measure.System, g float64) error {
	if g <= 0 {
		return errors.New("it should be more than 0")
	}
	return nil
}

func (y *yieldFlags) ask(u measure.System) (yieldAsk, error) {
	a := yieldAsk{fleece: strings.ToLower(strings.TrimSpace(y.fleeceType)), system: u, showMass: u.MassTyped, restG: y.restG, regain: y.regain}
	if len(y.rawG) == 0 || len(y.rawG) != len(y.dryG) || len(y.rawG) > mostBatches {
		return a, usage("give --raw and --dry once for each batch, such as --raw %s --dry %s: there are %d raw and %d dry", u.MassField(u.RoundMassG(225)), u.MassField(u.RoundMassG(118)), len(y.rawG), len(y.dryG))
	}
	if len(y.part) != 0 && len(y.part) != len(y.rawG) {
		return a, usage("give --part once for each batch or never: there are %d parts for %d batches", len(y.part), len(y.rawG))
	}
	if _, err := yield.Usual(a.fleece); err != nil {
		return a, usage("--type: %v", err)
	}
	for i := range y.rawG {
		b := yield.Batch{RawStepG: y.stepG, DryStepG: y.stepG, RawG: y.rawG[i], DryG: y.dryG[i], Sure: y.sure}
		if len(y.part) > 0 {
			if b.Part = strings.ToLower(measure.CleanText(y.part[i], 40)); b.Part == "" {
				return a, usage("--part has no name: give one such as shoulder")
			}
		}
		a.batches = append(a.batches, b)
	}
	if y.humidity == "" {
		a.room.Known, a.room.RH = true, y.rh
		if err := session.OddRoom(u, y.rh); err != nil && !y.sure {
			return a, usage("--humidity: %v Say --sure if it is right", err)
		}
	}
	side := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(y.side)), "-", " ")
	if err := a.room.Side.UnmarshalText([]byte(side)); err != nil {
		return a, usage("--side %s is not known: use drying, taking-up or unknown", measure.CleanText(y.side, 20))
	}
	return a, nil
}

// yieldJSON is the command's answer: grams, and parts of one.
type yieldJSON struct {
	yield.Report
	Type  string              `json:"type,omitempty"`
	Place yield.Place         `json:"place"` // by the usual range
	Usual yield.Range         `json:"usual"`
	Rest  *yield.RestForecast `json:"rest,omitempty"`
}

func (y *yieldFlags) run(u measure.System, out io.Writer) error {
	a, err := y.ask(u)
	if err != nil {
		return err
	}
	report, err := yield.OfFleece(a.batches, a.room, a.regain, a.showMass)
	if err != nil {
		if q := (yield.Question{}); errors.As(err, &q) {
			return usage("%v Say --sure if it is right", err)
		}
		return usage("%v", err)
	}
	place, sentence, err := yield.Compare(report.AsWeighed.Likely, a.fleece)
	if err != nil {
		return err
	}
	usual, err := yield.Usual(a.fleece)
	if err != nil {
		return err
	}
	answer := yieldJSON{Report: report, Type: a.fleece, Place: place, Usual: usual}
	if a.restG > 0 {
		f, err := yield.ForecastRest(a.batches, []yield.Part{{RawG: a.restG}}, a.fleece, a.showMass)
		if err != nil {
			return usage("%v", err)
		}
		answer.Rest = &f
	}
	if y.json {
		return json.NewEncoder(out).Encode(answer)
	}
	return answer.write(out, a, sentence)
}

func (j yieldJSON) write(out io.Writer, a yieldAsk, sentence string) error {
	var b strings.Builder
	per := func(i yield.Interval) string {
		return fmt.Sprintf("%s (%s-%s)", a.system.Percent(i.Likely, 1), measure.PercentFigure(i.Low, 1), measure.PercentFigure(i.High, 1))
	}
	batches := ""
	if j.Batches > 1 {
		batches = fmt.Sprintf(", %d batches", j.Batches)
	}
	fmt.Fprintf(&b, "%s dry of %s raw%s\n", a.showMass(j.DryG), a.showMass(j.RawG), batches)
	fmt.Fprintf(&b, "yield as weighed          %s, by the scale's rounding\n", per(j.AsWeighed))
	room := "humidity not known"
	if a.room.Known {
		room = a.system.Percent(a.room.RH, 0) + " humidity"
	}
	fmt.Fprintf(&b, "regain as weighed         %s, %s, %s\n", per(j.Regain), room, a.room.Side)
	fmt.Fprintf(&b, "%-25s %s\n", "yield at "+a.system.Percent(j.StandardRegain, 1)+" regain", per(j.AtStandard))
	fmt.Fprintf(&b, "%s\n", sentence)
	remarks := j.Remarks
	if r := j.Rest; r != nil {
		show := a.system.MassSpread(r.DryG.Low, r.DryG.High)
		fmt.Fprintf(&b, "the rest, %s raw: yield %s, dry %s (%s to %s)\n", a.showMass(r.RawG), per(r.YieldPart),
			show(r.DryG.Likely), show(r.DryG.Low), show(r.DryG.High))
		remarks = append(remarks, r.Remarks...)
	}
	for _, r := range remarks {
		fmt.Fprintf(&b, "note: %s\n", r)
	}
	_, err := io.WriteString(out, a.system.PercentSigns(b.String()))
	return err
}
