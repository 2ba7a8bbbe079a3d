package form

import (
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
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
