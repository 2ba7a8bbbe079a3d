package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

const forecastHelp = `forecast fits a cooling curve, T = room + (start - room) exp(-rate t), to the
readings in FILE and says when it comes down to a floor: early, likely and late
(5, 50 and 95 %). FILE is CSV: time, temperature; lines that begin with # are
left out, and so is a first line of names. - reads standard input.

Give the room's temperature where you know it: a room that the fit has to find
comes out several degrees too warm for real water.`

// forecast is what the flags of the command ask for.
type forecast struct {
	timeUnit, tempUnit             string
	room, start, readingErr, until string // free, or leftOut
	roomC, startC, floorC          float64
	readingSDC, untilMin           float64
	file                           measure.System // the units of its temperatures
	json                           bool
}

func newForecast(o *options) *cobra.Command {
	f := &forecast{}
	cmd := &cobra.Command{
		Use:   "forecast FILE.csv",
		Short: "Fit a cooling curve to readings and forecast it",
		Long:  forecastHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("forecast needs one file of readings: tubside forecast FILE.csv --room 18C")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			u, err := f.units(o.unitsOf(cmd), cmd.Flags().Changed("units"))
			if err == nil {
				err = readFigures(cmd.Flags(), u)
			}
			if err != nil {
				return err
			}
			return f.run(args[0], u, cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.timeUnit, "time-unit", "min", "unit of the times: s, min or h")
	flags.StringVar(&f.tempUnit, "temp-unit", "", "unit of the temperatures, c or f, and without --units of the answer; left out, by the units")
	temperature(flags, &f.roomC, "room", "", "the room's `temperature`, or free").within(room).or(&f.room, "free", "")
	temperature(flags, &f.startC, "start", "free", "the `temperature` at time 0, or free").within(water).or(&f.start, "free")
	temperature(flags, &f.floorC, "floor", "49 C", "the `temperature` whose crossing is wanted").within(water)
	degrees(flags, &f.readingSDC, "reading-error", "", "how far one reading usually errs, in `degrees`; left out, the readings tell").within(checkReadingError).or(&f.readingErr, "")
	minutes(flags, &f.untilMin, "until", "", "use only the readings up to this `time`, such as 40 or 1:30").within(checkUntil).or(&f.until, "")
	unitsFlag(flags)
	flags.BoolVar(&f.json, "json", false, "print JSON")
	return cmd
}

// hottestC is beyond all water that a thermometer can stand in, anywhere.
const hottestC = 103

// water refuses what no water is; most often it is °F read as °C.
func water(u measure.System, c float64) error {
	if c <= hottestC {
		return nil
	}
	return fmt.Errorf("%s is hotter than water gets: give what the thermometer said, up to %s", u.TempFine(c), u.Temp(hottestC))
}

// room refuses what no kit's room is.
func room(u measure.System, c float64) error { return shed.Kit{Units: u}.CheckRoomC(c) }

func checkReadingError(u measure.System, c float64) error {
	if !(c > 0 && c <= 20) {
		return fmt.Errorf("a reading errs by more than 0 and up to %s: give one such as 0.5", u.TempDelta(20))
	}
	return nil
}

func checkUntil(_ measure.System, m float64) error {
	if m <= 0 {
		return errors.New("give minutes more than 0, such as 40")
	}
	return nil
}

func (f *forecast) run(name string, u measure.System, in io.Reader, out io.Writer) error {
	if f.room == leftOut {
		return usage("say how warm the room is, such as --room %s, or --room free if nobody knows", u.TempField(u.RoundTempC(18)))
	}
	if name != "-" {
		file, err := openFile(name, "the readings")
		if err != nil {
			return err
		}
		defer func() { _ = file.Close() }() // only read
		in = file
	}
	points, err := readSeries(in, f.timeUnit, f.file)
	if err != nil {
		return fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	if f.until == "" {
		points = slices.DeleteFunc(points, func(p cooling.Reading) bool { return p.AtMin > f.untilMin })
	}
	got, err := f.fit(points)
	if err != nil {
		return fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	if f.json {
		return writeForecastJSON(out, got)
	}
	return writeForecastText(out, u, got, f.floorC)
}

// livedIn is how cold and how warm a room is in which anybody washes.
var livedIn = measure.Range{Min: 0, Max: 40}

// forecastFit is a fit, and the room's bounds where the readings cannot tell it.
type forecastFit struct {
	cooling.SeriesFit
	bounded bool
	within  measure.Range // the rooms the answer is for
	freeC   float64       // the room that would fit them
}

// fit fits the curve. A room that comes out where nobody lives, or so uncertain
// that the floor may never be reached, cannot be told from the readings: then
// the answer is for the coldest and the warmest room there may be.
func (f *forecast) fit(points []cooling.Reading) (forecastFit, error) {
	o := cooling.SeriesOptions{RoomC: f.roomC, RoomFree: f.room == "free", StartC: f.startC, StartFree: f.start == "free", FloorC: f.floorC, HasFloor: true}
	if f.readingErr == "" {
		o.ReadingSDC = f.readingSDC
	}
	got, err := cooling.FitSeries(points, o)
	if err != nil || !o.RoomFree {
		return forecastFit{SeriesFit: got}, err
	}
	if livedIn.Contains(got.RoomC) && !(math.IsInf(got.Crossing.LateMin, 0) && f.floorC > livedIn.Max) {
		return forecastFit{SeriesFit: got}, nil
	}
	within := livedIn
	for _, p := range points { // the room is no warmer than what cools down to it
		within.Max = min(within.Max, p.TempC-1)
	}
	o.RoomFree, o.RoomC = false, within.Min
	cold, coldOK := fits(points, o)
	o.RoomC = within.Max
	warm, warmOK := fits(points, o)
	if !coldOK || !warmOK || within.Max < within.Min { // no water that cools in a room
		return forecastFit{SeriesFit: got}, nil
	}
	free := got.RoomC
	near := warm
	if free < livedIn.Min {
		near = cold
	}
	near.Crossing.EarlyMin = min(cold.Crossing.EarlyMin, warm.Crossing.EarlyMin)
	near.Crossing.LateMin = max(cold.Crossing.LateMin, warm.Crossing.LateMin)
	return forecastFit{near, true, within, free}, nil
}

// fits is a fit, if there is one.
func fits(points []cooling.Reading, o cooling.SeriesOptions) (cooling.SeriesFit, bool) {
	got, err := cooling.FitSeries(points, o)
	return got, err == nil
}

// units turns the units' flags into what bare figures and the answer are in, and
// keeps what the file is in. The file's unit alone says both, as it always did.
func (f *forecast) units(u measure.System, asked bool) (measure.System, error) {
	if _, err := minutesPer(f.timeUnit); err != nil {
		return u, err
	}
	switch strings.ToLower(f.tempUnit) {
	case "":
		f.file = u
	case "c":
		f.file = measure.Metric
	case "f":
		f.file = measure.US
	default:
		return u, usage("--temp-unit %s is not known: use c or f", measure.CleanText(f.tempUnit, 20))
	}
	if asked {
		return u, nil
	}
	return f.file, nil
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
			return nil, fmt.Errorf("line %d: \"%s\", \"%s\" is not a time and a temperature: write numbers such as 12.5, 63", line,
				measure.CleanText(row[0], 20), measure.CleanText(row[1], 20))
		}
		if system == measure.US {
			temp = measure.FToC(temp)
		}
		if err := water(system, temp); err != nil {
			if system == measure.Metric {
				err = fmt.Errorf("%w; if the figures are °F, say --temp-unit f", err)
			}
			return nil, fmt.Errorf("line %d: %w", line, err)
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
	RoomBounded bool         `json:"room_bounded,omitempty"` // the readings cannot tell the room: these are the nearest there may be
	CrossingMin struct {
		Early  finiteOrNull `json:"early"`
		Likely finiteOrNull `json:"likely"`
		Late   finiteOrNull `json:"late"`
	} `json:"crossing_min"`
}

func writeForecastJSON(out io.Writer, fit forecastFit) error {
	j := forecastJSON{
		RoomC: finiteOrNull(fit.RoomC), RoomSD: finiteOrNull(fit.RoomSDC),
		StartC: finiteOrNull(fit.StartC), StartSD: finiteOrNull(fit.StartSDC),
		RatePerMin: finiteOrNull(fit.RatePerMin), RateSD: finiteOrNull(fit.RateSDPerMin),
		RSS: finiteOrNull(fit.RSS), Points: fit.Points, RoomBounded: fit.bounded,
	}
	j.CrossingMin.Early = finiteOrNull(fit.Crossing.EarlyMin)
	j.CrossingMin.Likely = finiteOrNull(fit.Crossing.LikelyMin)
	j.CrossingMin.Late = finiteOrNull(fit.Crossing.LateMin)
	return json.NewEncoder(out).Encode(j)
}

func writeForecastText(out io.Writer, s measure.System, fit forecastFit, floorC float64) error {
	when := func(m float64) string {
		if math.IsNaN(m) || math.IsInf(m, 0) {
			return "never, as far as can be told"
		}
		return measure.Minutes(m)
	}
	room := s.TempFine(fit.RoomC)
	if fit.bounded {
		room = fmt.Sprintf("the readings cannot tell: %s would fit them best, where nobody washes\n       so this is for a room of %s to %s; --room with a thermometer's figure tells more",
			s.Temp(fit.freeC), s.Temp(fit.within.Min), s.Temp(fit.within.Max))
		if livedIn.Contains(fit.freeC) {
			room = fmt.Sprintf("the readings cannot tell\n       so this is for a room of %s to %s; --room with a thermometer's figure tells more", s.Temp(fit.within.Min), s.Temp(fit.within.Max))
		}
	}
	_, err := fmt.Fprintf(out, "%d readings; they lie about %s from the curve\nroom   %s\nstart  %s\nrate   %.4g %% of the difference to the room a minute (+- %.2g)\ndown to %s: early %s, likely %s, late %s\n",
		fit.Points, s.TempDelta(fit.ReadingSDC), room, s.TempFine(fit.StartC), 100*fit.RatePerMin, 100*fit.RateSDPerMin,
		s.Temp(floorC), when(fit.Crossing.EarlyMin), when(fit.Crossing.LikelyMin), when(fit.Crossing.LateMin))
	return err
}
