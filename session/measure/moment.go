package measure

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// monthsFirst are the layouts of package time as a US kitchen writes them; a longer one
// stands before one that it begins with.
var monthsFirst = strings.NewReplacer("2 January 2006", "January 2, 2006", "2 Jan 2006", "Jan 2, 2006", "2 January", "January 2", "2 Jan", "Jan 2")

// Moment is a moment in a layout of package time that is written the metric way: "Mon 2
// Jan 15:04" is "Sat 13 Jun 14:30", and "Sat Jun 13 2:30 pm" where the clock has 12 hours and months come first. The zone
// is the moment's own.
func (s System) Moment(t time.Time, layout string) string { return t.Format(s.Layout(layout)) }

// Layout is a layout of package time, written the metric way, as it is in these units.
func (s System) Layout(metric string) string {
	if s&clock12 != 0 {
		metric = strings.ReplaceAll(metric, "15:04", "3:04 pm")
	}
	if s&monthFirst != 0 {
		metric = monthsFirst.Replace(metric)
	}
	return metric
}

// Clock is Moment for a time of day.
func (s System) Clock(t time.Time) string { return s.Moment(t, "15:04") }

// ClockOn is Clock beside a day: of another day it has its weekday before it, or its date where
// that is weeks off.
func (s System) ClockOn(t, day time.Time) string {
	switch {
	case t.Format(time.DateOnly) == day.Format(time.DateOnly):
		return s.Clock(t)
	case t.Sub(day).Abs() < 6*24*time.Hour:
		return s.Moment(t, "Mon 15:04")
	case t.Year() != day.Year():
		return s.Moment(t, "2 Jan 2006 15:04")
	}
	return s.Moment(t, "2 Jan 15:04")
}

// Hour is a full hour of the day, 0 to 24, as one types it: "22", "10 pm".
func (s System) Hour(h int) string {
	if s&clock12 == 0 {
		return strconv.Itoa(h)
	}
	return time.Date(2000, 1, 1, h, 0, 0, 0, time.UTC).Format("3 pm")
}

// ClockShort is Clock in as few letters as an axis has room for: "7 am" on the hour.
func (s System) ClockShort(t time.Time) string {
	if s&clock12 != 0 && t.Minute() == 0 {
		return t.Format("3 pm")
	}
	return s.Clock(t)
}

// ClockColumn is Clock as it stands below others, the colons one below the other.
func (s System) ClockColumn(t time.Time) string {
	return fmt.Sprintf("%*s", len(pick(s&clock12 != 0, "00:00", "12:00 am")), s.Clock(t))
}

// ReadDay reads a date; one without a year is of the year 0. It takes 2026-06-13, a date with its
// month in words, its weekday before it or not, and one in figures, where the choice of dates says
// whether the month or the day comes first. Its error is a sentence for the person.
func (s System) ReadDay(text string) (time.Time, error) {
	layouts, orders := []string{"2006 1 2"}, []string{"2 Jan", "Jan 2", "2 January", "January 2"}
	if len(strings.Fields(text)) == 1 { // 1 2 are two days
		orders = append(orders, pick(s&monthFirst != 0, "2 1", "1 2"))
	}
	for _, l := range orders {
		layouts = append(layouts, l, l+" 2006", l+" 06", "Mon "+l, "Mon "+l+" 2006")
	}
	parts := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" ,./-", r) })
	plain := strings.NewReplacer("sept ", "sep ").Replace(strings.Join(parts, " "))
	for _, l := range layouts {
		if day, err := time.Parse(l, plain); err == nil {
			return day, nil
		}
	}
	example := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	return time.Time{}, errors.New(quote(text) + " isn't a date: type one such as " + s.Moment(example, "2 Jan 2006") + " or 2026-06-13")
}

// ParseDay is ReadDay for a day that has been: its noon in the zone of now, without a year the last
// such day by then.
func (s System) ParseDay(text string, now time.Time) (time.Time, error) {
	at, err := s.ReadDay(text)
	if err != nil {
		return at, err
	}
	noon := func(year int) time.Time {
		return time.Date(year, at.Month(), at.Day(), 12, 0, 0, 0, now.Location())
	}
	if at.Year() != 0 {
		return noon(at.Year()), nil
	}
	year, today := now.Year(), now.Format(time.DateOnly)
	for noon(year).Format(time.DateOnly) > today || noon(year).Day() != at.Day() { // no 29 February in most
		year--
	}
	return noon(year), nil
}
