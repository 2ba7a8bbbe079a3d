package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

func methodJSON(t sessiontest.Reporter, m shed.Method) json.RawMessage {
	t.Helper()
	v, err := json.Marshal(m)
	if err != nil {
		t.Fatalf("write: %v", err)
	}
	return v
}

// What no form takes and no clock has shown is refused with its place, and what a newer
// version wrote is called so.
func TestMergeBelievesNothing(t *testing.T) {
	s := newStore(t)
	before := dump(t, s)
	day := func(change func([]session.Recorded)) []DayContents {
		recs := invented(4, true)
		sum := ledger.Summarise(5, session.Replay(recs))
		change(recs)
		return []DayContents{rawDay(t, 5, recs, sum)}
	}
	with := func(e session.Event) []DayContents { return day(func(r []session.Recorded) { r[2].Event = e }) }
	field := func(part, more string) []DayContents {
		d := day(func([]session.Recorded) {})
		d[0].Events[2] = json.RawMessage(strings.Replace(string(d[0].Events[2]), part, more+part, 1))
		return d
	}
	fleece := func(text string) Contents {
		return Contents{Fleeces: []json.RawMessage{json.RawMessage(`{"id":"f1","animal":"Bramble",` + text + `}`)}}
	}
	hot := keptMethod
	hot.Steps = slices.Clone(hot.Steps)
	hot.ID, hot.Steps[0].SoakMin = "m1", 1e9
	for _, c := range []struct {
		name string
		c    Contents
		days []DayContents
		kind error
		want string
	}{
		{"hot", Contents{}, with(session.ReadingTaken{TempC: 900}), ErrUnreadable, "wash day 5, event 3 (reading taken) cannot be read: temp_c: 900 °C; it must be between 0 and 100 °C"},
		{"wide", Contents{}, with(session.BathFilled{VolumeL: 1e6}), ErrUnreadable, "volume_l: 1000000 L"},
		{"tub", Contents{}, with(session.TubHeld{Tub: 9}), ErrUnreadable, "there is no tub 10"},
		{"no time", Contents{}, day(func(r []session.Recorded) { r[2].At = time.Time{} }), ErrUnreadable, "event 3 (note added) cannot be read: it has no time"},
		{"to come", Contents{}, day(func(r []session.Recorded) { r[3].At = r[3].At.AddDate(173, 0, 0) }), ErrUnreadable, "still to come"},
		{"back", Contents{}, day(func(r []session.Recorded) { r[2].At = r[2].At.Add(-time.Hour) }), ErrUnreadable, "before the event that it follows"},
		{"days", Contents{}, []DayContents{inventedDay(t, 6, 2, true), inventedDay(t, 5, 2, true)}, ErrUnreadable, "wash day 5 cannot be read: days count up from 1, and each comes once, in order"},
		{"light fleece", fleece(`"raw_g":-5`), nil, ErrUnreadable, "fleece number 1 of the list cannot be read: raw_g: -5 g"},
		{"heavy fleece", fleece(`"raw_g":1e300`), nil, ErrUnreadable, "raw_g: 1e+300 g"},
		{"no fleece", fleece(`"raw_g":0`), nil, ErrUnreadable, "a whole fleece of 0 g"},
		{"fleece to come", fleece(`"raw_g":900,"changed_at":"2199-01-01T00:00:00Z"`), nil, ErrUnreadable, "changed_at: it is of 2199-01-01"},
		{"method", Contents{Methods: []json.RawMessage{methodJSON(t, hot)}}, nil, ErrUnreadable, "soak_min: 1e+09 min"},
		{"newer fleece", fleece(`"raw_g":900,"lustre":"high"`), nil, ErrNewer, `written by a newer tubside (this version does not know its field "lustre")`},
		{"newer event", Contents{}, field(`"event"`, `"ph":7,`), ErrNewer, `wash day 5, event 3 was written by a newer`},
		{"newer body", Contents{}, field(`"tub"`, `"ph":7,`), ErrNewer, `"ph"`},
	} {
		m, err := s.Merge(c.c, c.days, false)
		if !errors.Is(err, c.kind) || !strings.Contains(fmt.Sprint(err), c.want) {
			t.Errorf("%s: %+v (%v), want %q", c.name, m, err, c.want)
		}
		wantDump(t, s, before)
	}
	// A clock that was set back is no event out of order.
	if _, err := s.Merge(Contents{}, day(func(r []session.Recorded) {
		r[2].Event = session.ClockSet{By: -time.Hour}
		r[2].At, r[3].At = r[2].At.Add(-time.Hour), r[3].At.Add(-time.Hour)
	}), false); err != nil {
		t.Error(err)
	}
}
