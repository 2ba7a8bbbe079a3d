package form

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// hourOfDay is a time as people write it, without its spaces: 22, 22:30, 22.30, 2230, 10pm, 10:30p.m.,
// halfpast4, 7o'clock. All of the text has to be one, or silence would be taken for hours nobody meant.
var hourOfDay = regexp.MustCompile(`^(halfpast|quarter(?:past|after)|quarterto)?(\d{1,2})(?:[:.]?(\d{2}))?(?:o['’]?clock)?(?:([ap])\.?m?\.?)?$`)

// TimeOfDay reads a time, minutes after midnight; said tells that it names its half of the day.
func TimeOfDay(text string) (min int, said, ok bool) {
	text = strings.ToLower(strings.ReplaceAll(text, " ", ""))
	switch text {
	case "noon", "midday", "12noon":
		return 12 * 60, true, true
	case "midnight", "12midnight":
		return 0, true, true
	}
	parts := hourOfDay.FindStringSubmatch(text)
	if parts == nil || parts[1] != "" && parts[3] != "" {
		return 0, false, false
	}
	h, _ := strconv.Atoi(parts[2]) // digits, by the pattern
	m, _ := strconv.Atoi(parts[3]) // or nothing: 0
	switch half := parts[4]; {
	case half != "" && (h < 1 || h > 12):
		return 0, false, false
	case half != "":
		if h %= 12; half == "p" {
			h += 12
		}
	}
	if h > 23 || m > 59 {
		return 0, false, false
	}
	const day = 24 * 60
	min = h*60 + m
	switch parts[1] {
	case "":
	case "halfpast":
		min += 30
	case "quarterto":
		min = (min + day - 15) % day
	default:
		min += 15
	}
	return min, parts[4] != "", true
}

// Moment reads when something is to be: a time on a day, one of today, tonight, tomorrow or a
// weekday, or a moment with its date, which dated says; a date without a year is the next from today. By
// a clock of twelve hours a time without its half that has passed on that day is the one twelve hours on.
func Moment(u measure.System, text string, day, now time.Time) (at time.Time, dated, ok bool) {
	if at, err := time.Parse(time.RFC3339, strings.TrimSpace(text)); err == nil {
		return at, true, true
	}
	var (
		rest    []string
		half    string
		weekday = time.Weekday(-1)
	)
	for _, w := range strings.Fields(strings.ReplaceAll(strings.ToLower(text), ",", " ")) {
		switch d := weekdayOf(w); {
		case d >= 0:
			weekday = d
		case w == "in", w == "the", w == "this":
		case w == "morning", w == "afternoon", w == "evening", w == "night":
			half = w
		case w == "today":
			day, dated = now, true
		case w == "tonight":
			day, dated, half = now, true, "night"
		case w == "tomorrow":
			day, dated = now.AddDate(0, 0, 1), true
		default:
			rest = append(rest, w)
		}
	}
	min, said, ok := TimeOfDay(without(rest))
	for i := 1; i < len(rest) && !ok; i++ {
		day, min, said, ok = dayAndTime(u, rest[:i], rest[i:], day, now)
		dated, weekday = dated || ok, -1
	}
	min, ok = inHalf(half, min, said, ok)
	onDay := func() time.Time {
		return time.Date(day.Year(), day.Month(), day.Day(), min/60, min%60, 0, 0, day.Location())
	}
	if weekday >= 0 && dated { // tomorrow, Friday
		ok = ok && day.Weekday() == weekday
	} else if weekday >= 0 {
		dated, day = true, now.AddDate(0, 0, int(weekday-now.Weekday()+7)%7)
		if !onDay().After(now) {
			day = day.AddDate(0, 0, 7)
		}
	}
	if !said && !dated && half == "" && u&measure.Twelve != 0 && min < 12*60 && !onDay().After(day) {
		if min += 12 * 60; !onDay().After(day) { // that has passed too
			min -= 12 * 60
		}
	}
	return onDay(), dated, ok
}

// weekdayOf is the day of the week that a word names, in three letters or more; -1 for none.
func weekdayOf(word string) time.Weekday {
	for d := time.Sunday; d <= time.Saturday; d++ {
		if len(word) > 2 && strings.HasPrefix(strings.ToLower(d.String()), strings.TrimSuffix(word, ".")) {
			return d
		}
	}
	return -1
}

// dayAndTime reads a date and a time, whichever comes first.
func dayAndTime(u measure.System, first, then []string, day, now time.Time) (on time.Time, min int, said, ok bool) {
	for turned, x := range [][2][]string{{first, then}, {then, first}} {
		date, clock := without(x[0]), without(x[1])
		if n, err := strconv.Atoi(strings.Join(x[1], "")); err == nil && (turned == 1 || n > 99) { // a day or a year, as 13 and 2027 are in 13 Jun 2027
			continue
		}
		read, err := u.ReadDay(date)
		if min, said, ok = TimeOfDay(clock); err != nil || !ok {
			continue
		}
		year := read.Year()
		if year == 0 {
			if year = now.Year(); now.YearDay() > time.Date(year, read.Month(), read.Day(), 0, 0, 0, 0, time.UTC).YearDay() {
				year++
			}
		}
		if at := time.Date(year, read.Month(), read.Day(), 12, 0, 0, 0, day.Location()); at.Day() == read.Day() { // it has a 29 February
			return at, min, said, true
		}
	}
	return day, 0, false, false
}

// without leaves out the words that stand before a time or a date.
func without(words []string) string {
	return strings.Join(slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "at" || w == "on" }), " ")
}

// inHalf is a time in the part of a day that stands beside it, as in tonight at 7: night goes on
// until five in the morning of the next day. Both have to agree.
func inHalf(part string, min int, said, ok bool) (int, bool) {
	const noon, day = 12 * 60, 24 * 60
	switch {
	case part == "morning":
		ok = ok && min < noon
	case part == "night" && (min < 5*60 || said && min < noon):
		min += day
	case part == "night" && !said && min >= noon && min < noon+60:
		min += noon
	case part != "" && !said && min < noon:
		min += noon
	case part != "":
		ok = ok && min >= noon
	}
	return min, ok
}
