package reach

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os/exec"
	"runtime"
	"strconv"
	"time"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// What is what has become of an alarm.
type What int

// What becomes of an alarm. Escalated is rung again, or for a worse cause,
// because nobody came.
const (
	Raised What = iota
	Escalated
	Cleared
)

var whatWords = [...]string{"raised", "escalated", "cleared"}

func (w What) String() string {
	if w < 0 || int(w) >= len(whatWords) {
		return fmt.Sprintf("what %d", int(w))
	}
	return whatWords[w]
}

// Facts is what a person's own command is told of an alarm.
type Facts struct {
	_        [0]func() // nobody compares two: no code for it
	What     What
	Tub      string // its name
	Alarm    session.AlarmKind
	Priority session.Priority
	Text     string    // a sentence: what it is
	Do       string    // what to do
	LeftMin  float64   // minutes left to do it; below 0: overdue; NaN: nobody knows
	At       time.Time // when
	Standing int       // alarms that stand now, this one included unless it is cleared
}

// textRunes is as much of a text as goes into a variable, a sentence to be
// spoken or a notice.
const textRunes = 300

// leftMin is the minutes left, or nil.
func (f Facts) leftMin() *float64 {
	if math.IsNaN(f.LeftMin) || math.IsInf(f.LeftMin, 0) {
		return nil
	}
	v := math.Round(f.LeftMin*10) / 10
	return &v
}

// Env is the facts as environment variables, without terminal codes:
// TUBSIDE_WHAT, TUBSIDE_TUB, TUBSIDE_ALARM, TUBSIDE_PRIORITY, TUBSIDE_TEXT,
// TUBSIDE_DO, TUBSIDE_LEFT_MIN ("" if nobody knows), TUBSIDE_AT (RFC 3339, UTC)
// and TUBSIDE_STANDING.
func (f Facts) Env() []string {
	left := ""
	if v := f.leftMin(); v != nil {
		left = strconv.FormatFloat(*v, 'f', -1, 64)
	}
	return []string{
		"TUBSIDE_WHAT=" + f.What.String(),
		"TUBSIDE_TUB=" + measure.CleanText(f.Tub, textRunes),
		"TUBSIDE_ALARM=" + f.Alarm.String(),
		"TUBSIDE_PRIORITY=" + f.Priority.String(),
		"TUBSIDE_TEXT=" + measure.CleanText(f.Text, textRunes),
		"TUBSIDE_DO=" + measure.CleanText(f.Do, textRunes),
		"TUBSIDE_LEFT_MIN=" + left,
		"TUBSIDE_AT=" + f.At.UTC().Format(time.RFC3339),
		"TUBSIDE_STANDING=" + strconv.Itoa(f.Standing),
	}
}

// JSON is the facts as one JSON object on one line, with the names of Env in
// small letters and without their beginning; left_min is null if nobody knows.
func (f Facts) JSON() ([]byte, error) {
	b, err := json.Marshal(struct {
		What     string    `json:"what"`
		Tub      string    `json:"tub"`
		Alarm    string    `json:"alarm"`
		Priority string    `json:"priority"`
		Text     string    `json:"text"`
		Do       string    `json:"do"`
		LeftMin  *float64  `json:"left_min"`
		At       time.Time `json:"at"`
		Standing int       `json:"standing"`
	}{f.What.String(), measure.CleanText(f.Tub, textRunes), f.Alarm.String(), f.Priority.String(), measure.CleanText(f.Text, textRunes),
		measure.CleanText(f.Do, textRunes), f.leftMin(), f.At.UTC(), f.Standing})
	return append(b, '\n'), err
}

// HookOptions are a person's own command and its limits; what is zero is
// usual.
type HookOptions struct {
	Command []string      // a program and its arguments, or
	Shell   string        // a line for the system's shell; the facts are never part of it
	Timeout time.Duration // for one run; usual 30 s
	Running int           // runs at once; usual 4
	Waiting int           // runs that may wait; usual 32: then the oldest is given up
	// Trouble, if not nil, is told in a sentence why a run failed: once, and
	// again after one has gone well. It is called from another goroutine.
	Trouble func(string)
}

// hookOutput is how much a command may print. Nobody reads it but for the last
// line of one that failed.
const hookOutput = 64 << 10

// Hook runs a person's own command at each raise, escalation and clear.
type Hook struct {
	opts    HookOptions
	argv    []string
	trouble *trouble
	queue   *queue[Facts]
	ctx     context.Context
	cancel  context.CancelFunc
}

// NewHook makes a hook; it starts nothing.
func NewHook(o HookOptions) *Hook {
	if o.Timeout <= 0 {
		o.Timeout = 30 * time.Second
	}
	if o.Running <= 0 {
		o.Running = 4
	}
	if o.Waiting <= 0 {
		o.Waiting = 32
	}
	h := &Hook{opts: o, argv: o.Command, trouble: &trouble{tell: o.Trouble}}
	if len(h.argv) == 0 && o.Shell != "" {
		h.argv = shell(o.Shell)
	}
	h.ctx, h.cancel = context.WithCancel(context.Background())
	h.queue = &queue[Facts]{running: o.Running, holds: o.Waiting, do: h.once, dropped: func(Facts) {
		h.trouble.failed(fmt.Errorf("your command is busy with %d alarms and %d more wait: the oldest was given up", o.Running, o.Waiting))
	}}
	return h
}

func shell(line string) []string {
	if runtime.GOOS == "windows" {
		return []string{"cmd", "/d", "/s", "/c", line}
	}
	return []string{"/bin/sh", "-c", line}
}

// Run starts the command for these facts, or puts them in the queue. It does
// not wait. Without a command it does nothing.
func (h *Hook) Run(f Facts) {
	if len(h.argv) > 0 {
		h.queue.add(f)
	}
}

// Close gives up what waits and ends what runs.
func (h *Hook) Close() {
	h.queue.close()
	h.cancel()
}

func (h *Hook) once(f Facts) {
	defer h.trouble.guard()
	in, err := f.JSON()
	if err == nil {
		_, err = child.Run(h.ctx, child.Spec{Command: h.argv, Stdin: in, Env: f.Env(), Timeout: h.opts.Timeout, MaxOutput: hookOutput})
	}
	switch {
	case err == nil:
		h.trouble.well()
	case h.ctx.Err() == nil:
		h.trouble.failed(fmt.Errorf("your command for alarms: %w%s", err, advice(err)))
	}
}

func advice(err error) string {
	if errors.Is(err, exec.ErrNotFound) {
		return ": give its whole path"
	}
	return ""
}
