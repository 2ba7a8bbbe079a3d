package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/yield"
)

const yieldHelp = `yield works out the clean yield of a batch, dry weight by raw weight, with what
the rounding of the scale leaves open, and brings it to a standard regain (water
by dry mass): fleece weighed in a damp room holds more water than in a dry one.
Give --raw and --dry several times for the batches of one fleece.

With --rest it forecasts what the rest of the fleece will give. Batches count as
taken from all over the fleece; say --part once for each batch where they are
not: batches of one part are more alike than the rest will be.

All ranges are 90 % ones. Weights carry their unit (225, 0.5 kg, 8 oz, 1 lb 4 oz);
a bare number is grams, or ounces with --units us.`

// yieldFlags is what the flags of the command ask for.
type yieldFlags struct {
	raw, dry, part         []string
	step, units            string
	humidity, regain       string
	side, fleeceType, rest string
	sure, json             bool
}

func newYield() *cobra.Command {
	y := &yieldFlags{}
	cmd := &cobra.Command{
		Use:   "yield --raw WEIGHT --dry WEIGHT",
		Short: "Work out the clean yield of batches and forecast the rest of a fleece",
		Long:  yieldHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 0 {
				return usage("yield takes weights by their flags: tubside yield --raw 225 --dry 118")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return y.run(cmd.OutOrStdout()) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&y.raw, "raw", nil, "raw `weight` of a batch, such as 225 or 8 oz; once for each batch")
	flags.StringArrayVar(&y.dry, "dry", nil, "its dry `weight`; once for each batch, in the same order")
	flags.StringArrayVar(&y.part, "part", nil, "the `part` of the fleece it is from, such as shoulder; once for each batch, or never")
	flags.StringVar(&y.rest, "rest", "", "raw `weight` of the rest of the fleece: forecast what it gives")
	flags.StringVar(&y.fleeceType, "type", "", "the `type` of fleece: "+strings.Join(yield.Types(), ", "))
	flags.StringVar(&y.humidity, "humidity", "", "relative humidity where the dry fleece was weighed, in `per cent`")
	flags.StringVar(&y.side, "side", "drying", "from which side it came to that humidity: drying (off the rack), taking-up or unknown")
	flags.StringVar(&y.regain, "regain", "16", "the standard regain, in `per cent`: 16 in the trade, 13.6 by ASTM D1909")
	flags.StringVar(&y.step, "scale-step", "1 g", "the `weight` of one step of the scale: 1 g, 5 g, 0.1 oz")
	flags.StringVar(&y.units, "units", "metric", "unit of bare weights and of the answer: metric or us")
	flags.BoolVar(&y.sure, "sure", false, "an unusual yield is right")
	flags.BoolVar(&y.json, "json", false, "print JSON: masses in grams, yields and regains as parts of one")
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
	showMass yield.Show
}

// mostBatches bounds the batches of one fleece.
const mostBatches = 200

func (y *yieldFlags) ask() (yieldAsk, error) {
	a := yieldAsk{fleece: strings.ToLower(strings.TrimSpace(y.fleeceType))}
	var err error
	if a.system, err = measure.ParseSystem(y.units); err != nil {
		return a, usage("--units: %v", err)
	}
	a.showMass = a.system.Mass
	if len(y.raw) == 0 || len(y.raw) != len(y.dry) || len(y.raw) > mostBatches {
		return a, usage("give --raw and --dry once for each batch, such as --raw 225 --dry 118: there are %d raw and %d dry", len(y.raw), len(y.dry))
	}
	if len(y.part) != 0 && len(y.part) != len(y.raw) {
		return a, usage("give --part once for each batch or never: there are %d parts for %d batches", len(y.part), len(y.raw))
	}
	if _, err := yield.Usual(a.fleece); err != nil {
		return a, usage("--type: %v", err)
	}
	stepG, err := a.system.ParseMassG(y.step)
	if err != nil {
		return a, usage("--scale-step: %v", err)
	}
	if stepG <= 0 || stepG > 1000 {
		return a, usage("--scale-step should be more than nothing and at most %s, such as 1 g", a.system.Mass(1000))
	}
	for i := range y.raw {
		b := yield.Batch{RawStepG: stepG, DryStepG: stepG, Sure: y.sure}
		if b.RawG, err = a.system.ParseMassG(y.raw[i]); err != nil {
			return a, usage("--raw: %v", err)
		}
		if b.DryG, err = a.system.ParseMassG(y.dry[i]); err != nil {
			return a, usage("--dry: %v", err)
		}
		if len(y.part) > 0 {
			if b.Part = strings.ToLower(measure.CleanText(y.part[i], 40)); b.Part == "" {
				return a, usage("--part has no name: give one such as shoulder")
			}
		}
		a.batches = append(a.batches, b)
	}
	if y.rest != "" {
		if a.restG, err = a.system.ParseMassG(y.rest); err != nil {
			return a, usage("--rest: %v", err)
		}
		if a.restG <= 0 {
			return a, usage("--rest should be more than nothing, such as 900")
		}
	}
	if a.regain, err = perCent("--regain", y.regain, "16"); err != nil {
		return a, err
	}
	if y.humidity != "" {
		a.room.Known = true
		if a.room.RH, err = perCent("--humidity", y.humidity, "55"); err != nil {
			return a, err
		}
	}
	side := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(y.side)), "-", " ")
	if err := a.room.Side.UnmarshalText([]byte(side)); err != nil {
		return a, usage("--side %s is not known: use drying, taking-up or unknown", measure.CleanText(y.side, 20))
	}
	return a, nil
}

// perCent reads a number of per cent as a part of one.
func perCent(flag, text, example string) (float64, error) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !(v >= 0 && v <= 100) {
		return 0, usage("%s should be per cent from 0 to 100, such as %s", flag, example)
	}
	return v / 100, nil
}

// yieldJSON is the command's answer: grams, and parts of one.
type yieldJSON struct {
	yield.Report
	Type  string              `json:"type,omitempty"`
	Place yield.Place         `json:"place"` // by the usual range
	Usual yield.Range         `json:"usual"`
	Rest  *yield.RestForecast `json:"rest,omitempty"`
}

func (y *yieldFlags) run(out io.Writer) error {
	a, err := y.ask()
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
			return err
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
		return fmt.Sprintf("%.1f %% (%.1f-%.1f)", 100*i.Likely, 100*i.Low, 100*i.High)
	}
	batches := ""
	if j.Batches > 1 {
		batches = fmt.Sprintf(", %d batches", j.Batches)
	}
	fmt.Fprintf(&b, "%s dry of %s raw%s\n", a.showMass(j.DryG), a.showMass(j.RawG), batches)
	fmt.Fprintf(&b, "yield as weighed          %s, by the scale's rounding\n", per(j.AsWeighed))
	room := "humidity not known"
	if a.room.Known {
		room = fmt.Sprintf("%.0f %% humidity", 100*a.room.RH)
	}
	fmt.Fprintf(&b, "regain as weighed         %s, %s, %s\n", per(j.Regain), room, a.room.Side)
	fmt.Fprintf(&b, "yield at %4.1f %% regain    %s\n", 100*j.StandardRegain, per(j.AtStandard))
	fmt.Fprintf(&b, "%s\n", sentence)
	remarks := j.Remarks
	if r := j.Rest; r != nil {
		fmt.Fprintf(&b, "the rest, %s raw: yield %s, dry %s (%s to %s)\n", a.showMass(r.RawG), per(r.YieldPart),
			a.showMass(r.DryG.Likely), a.showMass(r.DryG.Low), a.showMass(r.DryG.High))
		remarks = append(remarks, r.Remarks...)
	}
	for _, r := range remarks {
		fmt.Fprintf(&b, "note: %s\n", r)
	}
	_, err := io.WriteString(out, b.String())
	return err
}
