package session

import (
	"fmt"
	"strings"

	"fleece.example/tubside/session/shed"
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
	if err := s.QuietHours().Validate("quiet hours go", "22:00 to 7:00"); err != nil {
		return err
	}
	if len(s.Hook) > 500 || strings.ContainsAny(s.Hook, "\x00\n\r\x1b") {
		return fmt.Errorf("your own command should be one line of up to 500 letters")
	}
	return nil
}

// QuietHours are none where they begin and end at once.
func (s AlarmSettings) QuietHours() shed.Hours {
	return shed.Hours{FromMin: s.QuietFromMin, ToMin: s.QuietToMin}
}

// Quiet says that an alarm of a priority waits at a minute of the day.
func (s AlarmSettings) Quiet(localMin int, p Priority) bool {
	return p < HighPriority && s.QuietHours().Has(localMin)
}
