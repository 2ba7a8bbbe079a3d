package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

const forecastHelp = `forecast says from the readings in FILE when water will have cooled to --floor: early,
likely and late (5, 50 and 95 %). FILE is CSV: time, temperature. Lines that begin
with # are left out, and so is a first line of column names; - reads standard input.
Times are plain numbers, or times of day such as 09:05, 9:05 am or 2026-05-16T09:05:
then the answer is in times of day too.

With --cover and --volume it answers as on a wash day for such a bath, and takes the
first reading for the temperature at the fill. Without them it fits a plain curve,
T = room + (start - room) exp(-rate t). Open water leaves that curve; early and late
allow for it.

Give the room's temperature if you know it: one worked out from the readings
comes out several degrees too warm for real water.`

// forecast is what the flags of the command ask for.
type forecast struct {
	timeUnit, tempUnit             string
	room, start, readingErr, until string // free, or leftOut
	roomC, startC, floorC          float64
	readingSDC, untilMin           float64
	cover, volume, size            string // volume and size: leftOut
	volumeL, sizeL                 float64
	timeUnitGiven                  bool
	file                           measure.System // the units of its temperatures
	json                           bool
}

func newForecast(o *options) *cobra.Command {
	f := &forecast{}
	cmd := &cobra.Command{
		Use:   "forecast FILE.csv",
		Short: "Fit a cooling curve to readings and forecast it",
		Long:  forecastHelp,
		Args:  takes(1, 1, "forecast needs one file of readings: tubside forecast FILE.csv --room 18C"),
		RunE: func(cmd *cobra.Command, args []string) error {
			u, err := f.units(o.unitsOf(cmd), cmd.Flags().Changed("units"))
			if err == nil {
				err = readFigures(cmd.Flags(), u, nil)
			}
			if err == nil {
				err = f.checkTub()
			}
			if err != nil {
				return err
			}
			f.timeUnitGiven = cmd.Flags().Changed("time-unit")
			return f.run(args[0], u, cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.timeUnit, "time-unit", "min", "`unit` of times that are plain numbers: s, min or h")
	flags.StringVar(&f.tempUnit, "temp-unit", "", "`unit` of the temperatures in FILE, and without --units of the answer: c or f; otherwise by the units")
	temperature(flags, &f.roomC, "room", "", "the room's `temperature`, or free to work it out").within(room).or(&f.room, "free", "")
	temperature(flags, &f.startC, "start", "free", "the `temperature` at time 0, or free to work it out").within(water).or(&f.start, "free")
	temperature(flags, &f.floorC, "floor", "49 C", "the `temperature` it cools to").within(water)
	degrees(flags, &f.readingSDC, "reading-error", "", "how many `degrees` one reading is usually out; otherwise worked out from them").within(checkReadingError).or(&f.readingErr, "")
	flags.StringVar(&f.cover, "cover", "", "what `cover` is over the water: open, lid, film, or lid and film")
	volume(flags, &f.volumeL, "volume", "", "how much `water` there is").within(checkBathL).or(&f.volume, "")
	volume(flags, &f.sizeL, "size", "", "the tub's `size` to the rim; otherwise half as much again as the water").within(checkBathL).or(&f.size, "")
	minutes(flags, &f.untilMin, "until", "", "use only the readings up to this `time`, such as 40 or 1:30").within(checkUntil).or(&f.until, "")
	unitsFlag(flags)
	flags.BoolVar(&f.json, "json", false, "print JSON")
	return cmd
}

// waterC is all water that a thermometer can stand in, anywhere.
var waterC = measure.Between(-5, 103)

// water refuses what no water is; most often it is °F read as °C.
func water(u measure.System, c float64) error {
	if waterC.Contains(c) {
		return nil
	}
	said := "that"
	if math.Abs(c) < 10000 {
		said = u.TempRead(c)
	}
	is := "hotter"
	if c < 0 {
		is = "colder"
	}
	return fmt.Errorf("%s is %s than water gets: give what the thermometer said, %s to %s", said, is, u.Temp(waterC.Min), u.Temp(waterC.Max))
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

// bathL is from a cup to a bath.
var bathL = measure.Range{Min: 0.02, Max: 500}

func checkBathL(u measure.System, l float64) error { return u.CheckVolumeL(l, bathL) }

// checkTub says what is missing of a tub, or wrong.
func (f *forecast) checkTub() error {
	switch {
	case f.cover == "" && f.volume == "":
		return usage("--volume needs --cover with it: open, lid, film, or lid and film")
	case f.cover != "" && f.volume != "":
		return usage("--cover needs --volume with it, how much water it is")
	case f.cover == "" && f.size == "":
		return usage("--size needs --cover and --volume with it")
	case f.cover == "":
		return nil
	}
	if _, err := cooling.ParseCover(f.cover); err != nil {
		return usage("--cover: %v", err)
	}
	if f.size == leftOut {
		f.sizeL = 1.5 * f.volumeL
	}
	if f.sizeL < f.volumeL {
		return usage("--size is less than the --volume in it")
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
	s, err := readSeries(in, f.timeUnit, f.file)
	if err == nil && s.clock && f.timeUnitGiven {
		err = errors.New("its times are times of day: leave --time-unit out")
	}
	if err == nil {
		if f.until == "" {
			s.keep(func(i int) bool { return s.points[i].AtMin <= f.untilMin })
		}
		err = f.answer(&s)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", measure.CleanText(name, 80), err)
	}
	if f.json {
		return writeForecastJSON(out, s)
	}
	return f.writeText(out, u, s)
}

// leftOutReading is a reading that the others do not bear out.
type leftOutReading struct {
	line  int
	tempC float64
	cooling.Suspect
}

// answer leaves out what was mistyped, fits the rest and asks when it is at the floor.
func (f *forecast) answer(s *readings) error {
	o := cooling.SeriesOptions{RoomC: f.roomC, RoomFree: f.room == "free", StartC: f.startC, StartFree: f.start == "free", FloorC: f.floorC, HasFloor: true}
	if f.readingErr == "" {
		o.ReadingSDC = f.readingSDC
	}
	odd := map[int]bool{}
	for _, x := range cooling.SuspectReadings(s.points, o) {
		if f.file.Fahrenheit() {
			x.ReadInF(s.points[x.Index], max(o.ReadingSDC, cooling.KitchenReadingSDC))
		}
		s.leftOut = append(s.leftOut, leftOutReading{s.lines[x.Index], s.points[x.Index].TempC, x})
		odd[x.Index] = true
	}
	s.keep(func(i int) bool { return !odd[i] })
	if f.cover != "" {
		cover, err := cooling.ParseCover(f.cover)
		if err != nil {
			return err
		}
		o.Tub = &cooling.Tub{Vessel: cooling.Vessel{CapacityL: f.sizeL}, FillL: f.volumeL, Cover: cover}
	}
	var err error
	s.fit, err = cooling.FitSeries(s.points, o)
	return err
}

// units turns the units' flags into what bare figures and the answer are in, and
// keeps what the file is in. The file's unit alone says both, as it always did.
func (f *forecast) units(u measure.System, asked bool) (measure.System, error) {
	if _, err := minutesPer(f.timeUnit); err != nil {
		return u, err
	}
	f.file = u
	switch strings.ToLower(f.tempUnit) {
	case "":
	case "c":
		if u.Fahrenheit() {
			f.file = measure.Metric.Timed(u)
		}
	case "f":
		if !u.Fahrenheit() {
			f.file = measure.US.Timed(u)
		}
	default:
		return u, usage("--temp-unit %s is not known: use c or f", measure.CleanText(f.tempUnit, 20))
	}
	if asked {
		return u, nil
	}
	return f.file, nil
}
