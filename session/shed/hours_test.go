package shed_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session/shed"
)

// The break of a plan of older versions reads as the only one; what is no break does not.
func TestBreaksOfOlderPlans(t *testing.T) {
	lunch := shed.Hours{FromMin: 750, ToMin: 795}
	for text, want := range map[string]shed.Breaks{
		`{"break": {"from_min": 750, "to_min": 795}}`:                              {lunch},
		`{"break": [{"from_min":750,"to_min":795},{"from_min":960,"to_min":980}]}`: {lunch, {FromMin: 960, ToMin: 980}},
		`{"break": []}`: nil, `{}`: nil,
	} {
		var p, again shed.Plan
		if err := json.Unmarshal([]byte(text), &p); err != nil || !slices.Equal(p.Break, want) {
			t.Errorf("%s reads as %v (%v)", text, p.Break, err)
		}
		written, err := json.Marshal(p)
		if err == nil {
			err = json.Unmarshal(written, &again)
		}
		if err != nil || !slices.Equal(again.Break, want) {
			t.Errorf("%s comes back as %s (%v)", text, written, err)
		}
	}
	for _, bad := range []string{`{"break": {"from_min": 750, "until": 795}}`, `{"break": [{"from_min": 750, "until": 795}]}`, `{"break": "12:30"}`, `{"break": 7}`} {
		if err := json.Unmarshal([]byte(bad), &shed.Plan{}); err == nil {
			t.Errorf("%s reads", bad)
		}
	}
}

// Breaks and quiet hours that meet are one time away, however they stand in the plan; hours that
// leave too little of the day are not planned around.
func TestTimeAway(t *testing.T) {
	at := func(day, h, min int) time.Time { return time.Date(2026, 5, day, h, min, 0, 0, time.UTC) }
	p := shed.Plan{Break: shed.Breaks{{FromMin: 21 * 60, ToMin: 22*60 + 10}, {FromMin: 12 * 60, ToMin: 13 * 60}, {FromMin: 12*60 + 30, ToMin: 14 * 60}}}
	p = p.WithQuiet(shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60})
	for now, want := range map[time.Time]shed.Span{
		at(4, 8, 0): {From: at(4, 12, 0), To: at(4, 14, 0)}, at(4, 14, 0): {From: at(4, 21, 0), To: at(5, 7, 0)},
		at(4, 6, 59): {From: at(3, 22, 0), To: at(4, 7, 0)}, at(4, 22, 30): {From: at(4, 22, 0), To: at(5, 7, 0)},
	} {
		if got, ok := p.Away(now); !ok || !got.From.Equal(want.From) || !got.To.Equal(want.To) {
			t.Errorf("from %s: %v, want %v", now, got, want)
		}
	}
	if _, ok := (shed.Plan{}).Away(at(4, 8, 0)); ok {
		t.Error("away without a break")
	}
	if night := p.Quiet; p.SayNoQuiet(night) != "" || (shed.Plan{}).SayNoQuiet(shed.Hours{}) != "" || (shed.Plan{}).WithQuiet(night).SayNoQuiet(night) != "" {
		t.Error("quiet hours that are planned around are said not to be")
	}
	long := shed.Hours{FromMin: 21 * 60, ToMin: 11*60 + 30}
	if text := p.WithQuiet(long).SayNoQuiet(long); text == "" {
		t.Error("quiet hours are dropped without a word")
	}
	if got := p.WithQuiet(long); got.Quiet != (shed.Hours{}) || got.Validate() == nil {
		t.Errorf("quiet hours of %v are planned around", got.Quiet)
	}
	whole := shed.Plan{Break: shed.Breaks{{FromMin: 0, ToMin: 720}, {FromMin: 720, ToMin: 0}}} // of a journal: it comes to an end
	if _, ok := whole.Away(at(4, 8, 0)); !ok || whole.Break.Check() == nil {
		t.Error("a day of breaks passes")
	}
}
