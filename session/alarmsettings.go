package session

import (
	"fmt"
	"strings"
)

// AlarmSettings are how alarms reach the person.
type AlarmSettings struct {
	// Quiet hours, minutes of the person's own day; equal is none. Low and medium
	// alarms wait in them, high ones never.
	QuietFromMin int    `json:"quiet_from_min"`
	QuietToMin   int    `json:"quiet_to_min"`
	RaiseVolume  bool   `json:"raise_volume"` // a muted or low output may be turned up for an alarm
	Speak        bool   `json:"speak"`
	Notify       bool   `json:"notify"`
	Hook         string `json:"hook,omitempty"` // a command of the person's own, for the system's shell
}

// Validate says in a sentence what is wrong with the settings.
func (s AlarmSettings) Validate() error {
	const day = 24 * 60
	if s.QuietFromMin < 0 || s.QuietFromMin >= day || s.QuietToMin < 0 || s.QuietToMin >= day {
		return fmt.Errorf("quiet hours go from one time of the day to another, such as 22:00 to 7:00")
	}
	if len(s.Hook) > 500 || strings.ContainsAny(s.Hook, "\x00\n\r\x1b") {
		return fmt.Errorf("your own command should be one line of up to 500 letters")
	}
	return nil
}

// Quiet says that an alarm of a priority waits at a minute of the day.
func (s AlarmSettings) Quiet(localMin int, p Priority) bool {
	switch {
	case p >= HighPriority || s.QuietFromMin == s.QuietToMin:
		return false
	case s.QuietFromMin < s.QuietToMin:
		return localMin >= s.QuietFromMin && localMin < s.QuietToMin
	}
	return localMin >= s.QuietFromMin || localMin < s.QuietToMin
}
