package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

const forecastHelp = `forecast fits a cooling curve, T = room + (start - room) exp(-rate t), to the
readings in FILE and says when it comes down to a floor: early, likely and late
(5, 50 and 95 %). FILE is CSV: time, temperature; lines that begin with # are
left out, and so is a first line of names. - reads standard input.

Give the room's temperature where you know it: a room that the fit has to find
comes out several degrees too warm for real water.`

// forecast is what the flags of the command ask for.
type forecast struct {
	timeUnit, tempUnit string
	room, start        string
	floor, readingErr  string
	untilMin           float64
	json               bool
}

func newForecast() *cobra.Command {
	f := &forecast{}
	cmd := &cobra.Command{
		Use:   "forecast FILE.csv",
		Short: "Fit a cooling curve to readings and forecast it",
		Long:  forecastHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("forecast needs one file of readings: tubside forecast FILE.csv --room 18")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(args[0], cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.timeUnit, "time-unit", "min", "unit of the times: s, min or h")
	flags.StringVar(&f.tempUnit, "temp-unit", "c", "unit of the temperatures: c or f")
	flags.StringVar(&f.room, "room", "", "the room's `temperature`, or free")
	flags.StringVar(&f.start, "start", "free", "the `temperature` at time 0, or free")
	flags.StringVar(&f.floor, "floor", "49 C", "the `temperature` whose crossing is wanted")
	flags.StringVar(&f.readingErr, "reading-error", "", "how far one reading usually errs, in `degrees`; left out, the readings tell")
	flags.Float64Var(&f.untilMin, "until", math.Inf(1), "use only the readings up to this `minute`")
	flags.Lookup("until").DefValue = "0" // not shown: it is no limit
	flags.BoolVar(&f.json, "json", false, "print JSON")
	return cmd
}

func (f *forecast) run(name string, in io.Reader, out io.Writer) error {
	o, system, err := f.options()
	if err != nil {
		return err
	}
	if name != "-" {
		file, err := os.Open(name)
		if err != nil {
			return fmt.Errorf("the readings cannot be read: %w", err)
		}
		defer func() { _ = file.Close() }() // only read
		in = file
	}
	points, err := readSeries(in, f.timeUnit, system)
	if err != nil {
		return fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	kept := points[:0]
	for _, p := range points {
		if p.AtMin <= f.untilMin {
			kept = append(kept, p)
		}
	}
	fit, err := cooling.FitSeries(kept, o)
	if err != nil {
		return fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	if f.json {
		return writeForecastJSON(out, fit)
	}
	return writeForecastText(out, system, fit, o.FloorC)
}

// options turns the flags into what is known of the series.
func (f *forecast) options() (cooling.SeriesOptions, measure.System, error) {
	o := cooling.SeriesOptions{HasFloor: true}
	system := measure.Metric
	switch strings.ToLower(f.tempUnit) {
	case "c":
	case "f":
		system = measure.US
	default:
		return o, system, usage("--temp-unit %s is not known: use c or f", measure.CleanText(f.tempUnit, 20))
	}
	if _, err := minutesPer(f.timeUnit); err != nil {
		return o, system, err
	}
	if f.room == "" {
		return o, system, usage("say how warm the room is, such as --room 18, or --room free if nobody knows")
	}
	var err error
	if o.RoomC, o.RoomFree, err = tempOrFree(system, "--room", f.room); err != nil {
		return o, system, err
	}
	if o.StartC, o.StartFree, err = tempOrFree(system, "--start", f.start); err != nil {
		return o, system, err
	}
	if o.FloorC, err = system.ParseTempC(f.floor); err != nil {
		return o, system, usage("--floor: %v", err)
	}
	if f.readingErr != "" {
		v, err := strconv.ParseFloat(f.readingErr, 64)
		if err != nil || !(v > 0 && v <= 20) {
			return o, system, usage("--reading-error should be degrees between 0 and 20, such as 0.5")
		}
		if system == measure.US {
			v = measure.DeltaFToC(v)
		}
		o.ReadingSDC = v
	}
	if math.IsNaN(f.untilMin) || f.untilMin <= 0 {
		return o, system, usage("--until should be minutes more than 0")
	}
	return o, system, nil
}

func tempOrFree(s measure.System, flag, text string) (c float64, free bool, err error) {
	if strings.EqualFold(strings.TrimSpace(text), "free") {
		return 0, true, nil
	}
	c, err = s.ParseTempC(text)
	if err != nil {
		return 0, false, usage("%s: %v, or free", flag, err)
	}
	return c, false, nil
}

func minutesPer(unit string) (float64, error) {
	switch strings.ToLower(unit) {
	case "s":
		return 1.0 / 60, nil
	case "min":
		return 1, nil
	case "h":
		return 60, nil
	}
	return 0, usage("--time-unit %s is not known: use s, min or h", measure.CleanText(unit, 20))
}

// mostReadings bounds a file of readings; a tub that is read each second for a
// day has fewer.
const mostReadings = 200_000

// mostSeries bounds what is read of one, bytes: a file may have no end.
const mostSeries = 80 * mostReadings

// readSeries reads time and temperature from the first two columns.
func readSeries(in io.Reader, timeUnit string, system measure.System) ([]cooling.Reading, error) {
	perUnit, err := minutesPer(timeUnit)
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(io.LimitReader(in, mostSeries+1))
	if err != nil {
		return nil, fmt.Errorf("it cannot be read: %w", err)
	}
	if len(raw) > mostSeries {
		return nil, fmt.Errorf("it is larger than %d MB, which no file of readings is: give fewer", mostSeries/1_000_000)
	}
	// Some editors put the mark of their encoding before the first figure.
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(raw, []byte("\ufeff"))))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.ReuseRecord = true
	var out []cooling.Reading
	for first := true; ; first = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("it is not CSV: %w", err)
		}
		line, _ := r.FieldPos(0)
		if len(row) < 2 {
			if err := otherSeparator(line, row); err != nil {
				return nil, err
			}
			return nil, fmt.Errorf("line %d has no second column: write time, temperature", line)
		}
		at, errAt := number(row[0])
		temp, errTemp := number(row[1])
		if first && errAt != nil && errTemp != nil {
			continue // the names of the columns
		}
		if err := errors.Join(errAt, errTemp); err != nil {
			if err := otherSeparator(line, row); err != nil {
				return nil, err
			}
			return nil, fmt.Errorf("line %d: %q, %q is not a time and a temperature: write numbers such as 12.5, 63", line,
				measure.CleanText(row[0], 20), measure.CleanText(row[1], 20))
		}
		if system == measure.US {
			temp = measure.FToC(temp)
		}
		if out = append(out, cooling.Reading{AtMin: at * perUnit, TempC: temp}); len(out) > mostReadings {
			return nil, fmt.Errorf("it has more than %d readings: give fewer", mostReadings)
		}
	}
	return out, nil
}

// otherSeparator names what parts the columns of a line where no comma does.
func otherSeparator(line int, row []string) error {
	for _, s := range []struct{ sign, name string }{{";", "semicolons"}, {"\t", "tabs"}} {
		if strings.Contains(strings.Join(row, ""), s.sign) {
			return fmt.Errorf("line %d has %s between its columns: write commas there, and points in the figures, such as 12.5, 63", line, s.name)
		}
	}
	return nil
}

func number(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = errors.New("not finite")
	}
	return v, err
}

// finiteOrNull writes what is not a number as null.
type finiteOrNull float64

func (f finiteOrNull) MarshalJSON() ([]byte, error) {
	if v := float64(f); math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(f))
}

// forecastJSON is the command's answer. Temperatures are °C, times minutes; a
// crossing that may never come is null.
type forecastJSON struct {
	RoomC       finiteOrNull `json:"room_c"`
	RoomSD      finiteOrNull `json:"room_sd"`
	StartC      finiteOrNull `json:"start_c"`
	StartSD     finiteOrNull `json:"start_sd"`
	RatePerMin  finiteOrNull `json:"rate_per_min"`
	RateSD      finiteOrNull `json:"rate_sd"`
	RSS         finiteOrNull `json:"rss"`
	Points      int          `json:"points"`
	CrossingMin struct {
		Early  finiteOrNull `json:"early"`
		Likely finiteOrNull `json:"likely"`
		Late   finiteOrNull `json:"late"`
	} `json:"crossing_min"`
}

func writeForecastJSON(out io.Writer, fit cooling.SeriesFit) error {
	j := forecastJSON{
		RoomC: finiteOrNull(fit.RoomC), RoomSD: finiteOrNull(fit.RoomSDC),
		StartC: finiteOrNull(fit.StartC), StartSD: finiteOrNull(fit.StartSDC),
		RatePerMin: finiteOrNull(fit.RatePerMin), RateSD: finiteOrNull(fit.RateSDPerMin),
		RSS: finiteOrNull(fit.RSS), Points: fit.Points,
	}
	j.CrossingMin.Early = finiteOrNull(fit.Crossing.EarlyMin)
	j.CrossingMin.Likely = finiteOrNull(fit.Crossing.LikelyMin)
	j.CrossingMin.Late = finiteOrNull(fit.Crossing.LateMin)
	return json.NewEncoder(out).Encode(j)
}

func writeForecastText(out io.Writer, s measure.System, fit cooling.SeriesFit, floorC float64) error {
	when := func(m float64) string {
		if math.IsNaN(m) || math.IsInf(m, 0) {
			return "never, as far as can be told"
		}
		return measure.Minutes(m)
	}
	_, err := fmt.Fprintf(out, "%d readings; they lie about %s from the curve\nroom   %s\nstart  %s\nrate   %.4g %% of the difference to the room a minute (+- %.2g)\ndown to %s: early %s, likely %s, late %s\n",
		fit.Points, s.TempDelta(fit.ReadingSDC), s.TempFine(fit.RoomC), s.TempFine(fit.StartC), 100*fit.RatePerMin, 100*fit.RateSDPerMin,
		s.Temp(floorC), when(fit.Crossing.EarlyMin), when(fit.Crossing.LikelyMin), when(fit.Crossing.LateMin))
	return err
}
