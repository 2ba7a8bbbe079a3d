package form

import (
	"fmt"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// HoursField asks for hours of the day, such as these and no more of them, or none.
func HoursField(u measure.System, label, why string, such shed.Breaks, into *shed.Breaks) *Field {
	text := "none"
	if len(*into) > 0 {
		text = HoursText(u, *into)
	}
	return CheckedField(label, why+"; such as "+HoursText(u, such)+", or none", text, func(text string) (err error) {
		*into, err = ReadHours(u, text, such)
		return err
	})
}

// UsualBreaks are offered as a form of words.
var UsualBreaks = shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}, {FromMin: 16 * 60, ToMin: 16*60 + 20}}

// HoursText is hours as a person writes them.
func HoursText(u measure.System, all shed.Breaks) string {
	said := func(min int) string {
		return strings.TrimPrefix(u.Clock(time.Date(2000, 1, 1, 0, min, 0, 0, time.UTC)), "0")
	}
	texts := make([]string, len(all))
	for i, h := range all {
		texts[i] = said(h.FromMin) + "-" + said(h.ToMin)
	}
	return strings.Join(texts, ", ")
}

// ReadHours reads what HoursText writes: one where one is offered, else as many as a day holds.
func ReadHours(u measure.System, text string, such shed.Breaks) (all shed.Breaks, err error) {
	text = strings.ToLower(measure.CleanText(text, 30*shed.MostBreaks))
	if text == "" || text == "none" {
		return nil, nil
	}
	give := "type two times such as " + HoursText(u, such[:1]) + ", or none"
	for part := range strings.SplitSeq(text, ",") {
		part = strings.TrimSpace(part)
		from, to, ok := strings.Cut(strings.NewReplacer("–", "-", " to ", "-").Replace(part), "-")
		fromMin, fromSaid, okFrom := TimeOfDay(from)
		toMin, toSaid, okTo := TimeOfDay(to)
		fromMin, toMin = halves(u, fromSaid, toSaid, fromMin, toMin, len(such) > 1)
		switch {
		case !ok || !okFrom || !okTo || len(all) > 0 && len(such) == 1:
			return nil, fmt.Errorf("\"%s\" isn't two times: %s", part, give)
		case fromMin == toMin:
			return nil, fmt.Errorf("\"%s\" starts and ends at the same time: %s", part, give)
		}
		all = append(all, shed.Hours{FromMin: fromMin, ToMin: toMin})
	}
	if len(such) > 1 {
		if err = all.Check(); err != nil {
			err = fmt.Errorf("%w: %s", err, give)
		}
	}
	return all, err
}

// halves are two times of which one may leave am or pm out, as in "12:30-1:15 pm": it lies in the half of
// the day that makes the shorter stretch. A break without either is none of more than half a day, and
// by a clock of twelve hours none before six in the morning; nor is quiet of more than half a day.
func halves(u measure.System, fromSaid, toSaid bool, fromMin, toMin int, breaks bool) (int, int) {
	const half, day = 12 * 60, 24 * 60
	long := (toMin-fromMin+day)%day > half
	switch {
	case long && !toSaid && toMin <= half && (fromSaid || breaks && fromMin < half+60):
		toMin = (toMin + half) % day
	case long && toSaid && !fromSaid && fromMin < half+60:
		fromMin = (fromMin + half) % day
	}
	if u&measure.Twelve == 0 || fromSaid || toSaid {
		return fromMin, toMin
	}
	switch {
	case breaks && fromMin < half/2 && toMin < half:
		fromMin, toMin = fromMin+half, toMin+half
	case !breaks && long && fromMin < half: // 10-6:30 is the night
		fromMin += half
	}
	return fromMin, toMin
}
