package sound

import (
	"fmt"
	"math"

	"fleece.example/tubside/session"
)

// helperName is the hidden subcommand that plays.
const helperName = "sound-helper"

// HelperName is what the program is started with to play: the name of its
// hidden subcommand.
const HelperName = helperName

// What the helper is told.
const (
	wordStop   = "stop"
	wordChange = "change "
)

// What the helper says.
const (
	eventState  = "state"  // plays; how the output is
	eventBeat   = "beat"   // still plays
	eventRaised = "raised" // the output is about to be raised; Owed says how it was
	eventBack   = "back"   // the output is as it was
	eventOwed   = "owed"   // the output could not be put back
	eventSilent = "silent" // the sound is gone
	eventFailed = "failed" // it does not play, or not any more
)

const (
	// lowVolume is the level below which an output is called low: 18 dB down
	// on the sound servers' scale, whose level goes with the cube.
	lowVolume = 0.5
	// alarmVolume is what an output is raised to: its full level, no more.
	alarmVolume = 1.0
)

// report is a line from the helper.
type report struct {
	Event      string   `json:"event"`
	Muted      bool     `json:"muted,omitempty"`
	Volume     *float64 `json:"volume,omitempty"`
	Whole      bool     `json:"-"`             // a whole burst has been played since the voice began
	Own        bool     `json:"own,omitempty"` // turned down for this program alone
	Headphones bool     `json:"headphones,omitempty"`
	Owed       *output  `json:"owed,omitempty"`
	Problem    string   `json:"problem,omitempty"`
	Frozen     bool     `json:"frozen,omitempty"` // the server is there and does not serve
}

// output is how an output was before it was raised, and how it was set.
type output struct {
	Sink       string   `json:"sink"`
	Muted      bool     `json:"muted"`
	Volumes    []uint32 `json:"volumes"`
	SetVolumes []uint32 `json:"set_volumes"`
}

// known is a figure for JSON, which has no NaN.
func known(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}

func parsePriority(s string) (session.Priority, error) {
	for _, p := range []session.Priority{session.CallPriority, session.LowPriority, session.MediumPriority, session.HighPriority} {
		if p.String() == s {
			return p, nil
		}
	}
	return 0, fmt.Errorf("there is no priority \"%s\": call, low, medium, high", s)
}
