package form

import (
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
)

// A day without its hour is no moment, nor is one that its year does not have; of today's date it is today, past or not.
func TestMoment(t *testing.T) {
	for _, c := range []struct{ now, text, want string }{
		{"2026-02-20 09:00", "13 Jun 27", ""},
		{"2026-02-20 09:00", "Jun 13 27", ""},
		{"2026-02-20 09:00", "8 13 Jun", ""},
		{"2026-02-20 09:00", "13 Jun 27 8", "2027-06-13 08:00"},
		{"2026-02-20 09:00", "13 Jun 8", "2026-06-13 08:00"},
		{"2026-02-20 09:00", "8:30 13 Jun", "2026-06-13 08:30"},
		{"2026-02-20 09:00", "8 pm on 13 Jun 2027", "2027-06-13 20:00"},
		{"2026-02-20 09:00", "at 8 on 13 Jun", "2026-06-13 08:00"},
		{"2026-02-20 09:00", "20 Feb 7:00", "2026-02-20 07:00"},
		{"2026-02-20 09:00", "19 Feb 7:00", "2027-02-19 07:00"},
		{"2027-02-20 09:00", "29 Feb 8:00", ""},
		{"2027-06-20 09:00", "29 Feb 8:00", "2028-02-29 08:00"},
		{"2026-02-20 09:00", "tomorrow at 7", "2026-02-21 07:00"},
		{"2026-02-20 09:00", "7pm tomorrow", "2026-02-21 19:00"},
		{"2026-02-20 09:00", "tomorrow noon", "2026-02-21 12:00"},
		{"2026-02-20 09:00", "7 in the morning tomorrow", "2026-02-21 07:00"},
		{"2026-02-20 09:00", "tomorrow evening at half past 6", "2026-02-21 18:30"},
		{"2026-02-20 09:00", "tonight 7 pm", "2026-02-20 19:00"},
		{"2026-02-20 09:00", "tonight at 7", "2026-02-20 19:00"},
		{"2026-02-20 09:00", "tonight 19:30", "2026-02-20 19:30"},
		{"2026-02-20 09:00", "tonight at 12", "2026-02-21 00:00"},
		{"2026-02-20 09:00", "midnight tonight", "2026-02-21 00:00"},
		{"2026-02-20 09:00", "tonight, 1 am", "2026-02-21 01:00"},
		{"2026-02-20 09:00", "today 4:30 pm", "2026-02-20 16:30"},
		{"2026-02-20 09:00", "4 this afternoon", ""}, // of whichever day is meant
		{"2026-02-20 09:00", "7 pm in the morning tomorrow", ""},
		{"2026-02-20 09:00", "tomorrow", ""},
		{"2026-02-20 09:00", "tonight", ""},
		{"2026-02-20 09:00", "in 2 hours", ""},
		{"2026-02-20 09:00", "Sat 7 am", "2026-02-21 07:00"},
		{"2026-02-20 09:00", "friday 10:00", "2026-02-20 10:00"},
		{"2026-02-20 09:00", "Fri 8:00", "2026-02-27 08:00"},
		{"2026-02-20 09:00", "tomorrow, Saturday, 8:00", "2026-02-21 08:00"},
		{"2026-02-20 09:00", "tomorrow, Friday, 8:00", ""},
		{"2026-02-20 09:00", "Sat 13 Jun 8:00", "2026-06-13 08:00"},
		{"2026-02-20 09:00", "13 Jun 2026", ""},
		{"2026-02-20 09:00", "13 Jun noon", "2026-06-13 12:00"},
	} {
		now, err := time.Parse("2006-01-02 15:04", c.now)
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		if at, dated, ok := Moment(measure.Metric, c.text, now, now); ok && dated {
			got = at.Format("2006-01-02 15:04")
		}
		if got != c.want {
			t.Errorf("%s on %s: %q, want %q", c.text, c.now, got, c.want)
		}
	}
}

// By a clock of twelve hours 4 is the next 4, and tomorrow's is in the morning.
func TestMomentOfTwelveHours(t *testing.T) {
	for _, c := range []struct{ now, text, want, by24 string }{
		{"09:00", "4", "20 16:00", "20 04:00"}, {"09:00", "half past 4", "20 16:30", "20 04:30"}, {"09:00", "10", "20 10:00", "20 10:00"},
		{"09:00", "4 am", "20 04:00", "20 04:00"}, {"20:00", "7", "20 07:00", "20 07:00"}, {"09:00", "12:30", "20 12:30", "20 12:30"}, {"09:00", "tomorrow 4", "21 04:00", "21 04:00"},
	} {
		now := must.Get(time.Parse("2006-01-02 15:04", "2026-02-20 "+c.now)).In(t)
		for u, want := range map[measure.System]string{measure.US: c.want, measure.Metric: c.by24} {
			if at, _, ok := Moment(u, c.text, now, now); !ok || at.Format("2 15:04") != want {
				t.Errorf("%v, %s at %s: %v (%v), want %s", u, c.text, c.now, at, ok, want)
			}
		}
	}
}

// A time of day is read as people say it, and nothing else is.
func TestTimeOfDay(t *testing.T) {
	for text, want := range map[string]string{
		"7": "07:00", "7 pm": "19:00 said", "7p": "19:00 said", "7:30 P.M.": "19:30 said", "12 am": "00:00 said", "0730": "07:30", "730": "07:30", "1930": "19:30",
		"noon": "12:00 said", "12 noon": "12:00 said", "Midday": "12:00 said", "midnight": "00:00 said",
		"half past 4": "04:30", "half past 4 pm": "16:30 said", "quarter to 1": "00:45", "quarter past 12": "12:15", "quarter after 3 pm": "15:15 said", "quarter to 12 am": "23:45 said",
		"7 o'clock": "07:00", "7 o’clock pm": "19:00 said",
		"": "", "24": "", "13 pm": "", "7:60": "", "half past": "", "half past 4:10": "", "half 4": "", "4 ish": "", "-4": "", "2:5": "", "12345": "", "a": "", "pm": "",
	} {
		got := ""
		if min, said, ok := TimeOfDay(text); ok {
			got = time.Date(2026, 1, 1, 0, min, 0, 0, time.UTC).Format("15:04")
			if said {
				got += " said"
			}
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
