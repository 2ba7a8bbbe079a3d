package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

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

// readings are those of a file and what is made of them.
type readings struct {
	points []cooling.Reading // from time 0 of the file, or from its first time of day
	lines  []int             // where each of them stands
	clock  bool              // its times are times of day
	dated  bool              // with their date
	first  time.Time

	fit     cooling.SeriesFit
	leftOut []leftOutReading
}

// keep leaves only the readings that are wanted.
func (s *readings) keep(wanted func(i int) bool) {
	points, lines := []cooling.Reading(nil), []int(nil)
	for i := range s.points {
		if wanted(i) {
			points, lines = append(points, s.points[i]), append(lines, s.lines[i])
		}
	}
	s.points, s.lines = points, lines
}

// timeOfDay reads 09:05, 09:05:30, 9:05 am or a date with a time.
func timeOfDay(text string) (at time.Time, dated, ok bool) {
	text = strings.ToUpper(strings.TrimSpace(text))
	for _, layout := range []string{"15:04", "15:04:05", "3:04 PM", "3:04PM", "3:04:05 PM"} {
		if at, err := time.Parse(layout, text); err == nil {
			return at, false, true
		}
	}
	text = strings.Replace(text, " ", "T", 1)
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00", "2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if at, err := time.Parse(layout, text); err == nil {
			return at, true, true
		}
	}
	return at, false, false
}

// clockTimes turns times of day into minutes since the earliest of them. One without a
// date is within half a day of the one before it, so that midnight may lie between.
func (s *readings) clockTimes(times []time.Time) {
	for i := range times {
		for ; i > 0 && !s.dated && times[i].Sub(times[i-1]) < -12*time.Hour; times[i] = times[i].AddDate(0, 0, 1) {
		}
		for ; i > 0 && !s.dated && times[i].Sub(times[i-1]) > 12*time.Hour; times[i] = times[i].AddDate(0, 0, -1) {
		}
		if i == 0 || times[i].Before(s.first) {
			s.first = times[i]
		}
	}
	for i, at := range times {
		s.points[i].AtMin = at.Sub(s.first).Minutes()
	}
}

// readSeries reads time and temperature from the first two columns.
func readSeries(in io.Reader, timeUnit string, system measure.System) (s readings, err error) {
	perUnit, err := minutesPer(timeUnit)
	if err != nil {
		return s, err
	}
	raw, err := io.ReadAll(io.LimitReader(in, mostSeries+1))
	if err != nil {
		return s, fmt.Errorf("it cannot be read: %w", err)
	}
	if len(raw) > mostSeries {
		return s, fmt.Errorf("it is larger than %d MB, which no file of readings is: give fewer", mostSeries/1_000_000)
	}
	r := csv.NewReader(bytes.NewReader(measure.NoMark(raw)))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	r.ReuseRecord = true
	var times []time.Time
	columns := 0 // of the first reading
	for first := true; ; first = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return s, fmt.Errorf("it is not CSV: %w", err)
		}
		line, _ := r.FieldPos(0)
		if len(row) < 2 {
			if err := otherSeparator(line, row); err != nil {
				return s, err
			}
			return s, fmt.Errorf("line %d has no second column: write time, temperature", line)
		}
		at, errAt := number(row[0])
		temp, errTemp := number(row[1])
		moment, dated, isClock := timeOfDay(row[0])
		if isClock {
			errAt = nil
		}
		if first && errAt != nil && errTemp != nil {
			continue // the names of the columns
		}
		if err := errors.Join(errAt, errTemp); err != nil {
			if err := otherSeparator(line, row); err != nil {
				return s, err
			}
			return s, fmt.Errorf("line %d: \"%s\", \"%s\" is not a time and a temperature: write numbers such as 12.5, 63, or a time of day such as 09:05, 63", line,
				measure.CleanText(row[0], 20), measure.CleanText(row[1], 20))
		}
		if columns == 0 {
			columns = len(row)
		}
		if more := max(len(row), columns); len(row) != columns && more == 3 { // a decimal comma parts a figure where it has a tenth
			return s, fmt.Errorf("line %d has %s, others %d: write points in the figures, such as 12.5, 63.5, and leave other columns out", line, measure.Counted(len(row), "column", "columns"), columns)
		}
		if system.Fahrenheit() {
			temp = measure.FToC(temp)
		}
		if err := water(system, temp); err != nil {
			if !system.Fahrenheit() {
				err = fmt.Errorf("%w; if the figures are °F, say --temp-unit f", err)
			}
			return s, fmt.Errorf("line %d: %w", line, err)
		}
		if len(s.points) > 0 && (isClock != s.clock || dated != s.dated) {
			return s, fmt.Errorf("line %d: \"%s\" is another kind of time than those before it: write all times alike", line, measure.CleanText(row[0], 30))
		}
		if s.clock, s.dated = isClock, dated; isClock {
			times = append(times, moment)
		}
		s.lines = append(s.lines, line)
		if s.points = append(s.points, cooling.Reading{AtMin: at * perUnit, TempC: temp}); len(s.points) > mostReadings {
			return s, fmt.Errorf("it has more than %d readings: give fewer", mostReadings)
		}
	}
	s.clockTimes(times)
	return s, nil
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
