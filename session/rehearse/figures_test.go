package rehearse_test

import (
	"encoding/json"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
)

// What three invented days sound like. One that goes well hardly sounds, and
// takes no longer for it; a forgotten tub is told of before it comes to harm; a
// slow person is not hunted.
func TestHowADaySounds(t *testing.T) {
	for _, day := range []struct {
		name                             string
		sounds, repeats, useless, minute int // at most
		hours                            float64
		harms                            int // at least: the script has to bring them
	}{
		{"quiet", 9, 0, 0, 2, 6, 0},
		{"forgetful", 30, 14, 2, 2, 6.6, 1},
		{"slow", 16, 3, 8, 2, 12.8, 0},
	} {
		t.Run(day.name, func(t *testing.T) {
			t.Parallel()
			if day.name == "slow" && !long.Run() {
				t.Skip("thirteen hours: at length only")
			}
			f := must.Get(rehearse.Count(script(t, scenarios+day.name+"-day.json"))).In(t)
			text, _ := json.Marshal(f)
			t.Logf("%s", text)
			if f.Sounds > day.sounds || f.Repeats > day.repeats || f.Useless > day.useless || f.Most1 > day.minute {
				t.Errorf("at most %d sounds, %d again, %d useless and %d in a minute: %s", day.sounds, day.repeats, day.useless, day.minute, text)
			}
			if f.Hours > day.hours || f.Sounds > f.Calls+f.Alarms+f.Repeats {
				t.Errorf("%g h, at most %g: %s", f.Hours, day.hours, text)
			}
			if len(f.Harms) < day.harms {
				t.Errorf("%d harms, and the day is to bring %d", len(f.Harms), day.harms)
			}
			for _, h := range f.Harms {
				if !h.Told || h.AheadMin <= 0 {
					t.Errorf("not told of in time: %+v", h)
				}
			}
			if day.name == "quiet" && f.Alarms+len(f.Harms) > 0 {
				t.Errorf("a day that goes well has an alarm: %s", text)
			}
		})
	}
}
