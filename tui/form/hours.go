package form

import (
	"fmt"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// HoursField asks for hours of the day, such as these, or none.
func HoursField(u measure.System, label, why string, such shed.Hours, into *shed.Hours) *Field {
	text := "none"
	if *into != (shed.Hours{}) {
		text = HoursText(u, *into)
	}
	return CheckedField(label, why+"; such as "+HoursText(u, such)+", or none", text, func(text string) (err error) {
		*into, err = ReadHours(u, text, such)
		return err
	})
}

// HoursText is hours as a person writes them.
func HoursText(u measure.System, h shed.Hours) string {
	said := func(min int) string {
		return strings.TrimPrefix(u.Clock(time.Date(2000, 1, 1, 0, min, 0, 0, time.UTC)), "0")
	}
	return said(h.FromMin) + "-" + said(h.ToMin)
}

// ReadHours reads what HoursText writes.
func ReadHours(u measure.System, text string, such shed.Hours) (h shed.Hours, err error) {
	text = strings.ToLower(measure.CleanText(text, 30))
	if text == "" || text == "none" {
		return h, nil
	}
	from, to, ok := strings.Cut(strings.ReplaceAll(text, "–", "-"), "-")
	fromMin, okFrom := TimeOfDay(from)
	toMin, okTo := TimeOfDay(to)
	switch give := "give two times such as " + HoursText(u, such) + ", or none"; {
	case !ok || !okFrom || !okTo:
		return h, fmt.Errorf("\"%s\" isn't two times: %s", text, give)
	case fromMin == toMin:
		return h, fmt.Errorf("\"%s\" starts and ends at the same time: %s", text, give)
	}
	return shed.Hours{FromMin: fromMin, ToMin: toMin}, nil
}
