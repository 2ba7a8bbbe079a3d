package reach

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"time"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// notifyLimit is how long the desktop may take for one notice.
const notifyLimit = 5 * time.Second

// Notice is a message on the desktop.
type Notice struct {
	Title, Text string
	Priority    session.Priority
}

// Desktop shows notices where the system has a program for it: notify-send on
// Linux and its like, osascript on macOS; on Windows none, for what there is
// needs an installed application.
type Desktop struct {
	trouble *trouble
	queue   *queue[Notice]
	ctx     context.Context
	cancel  context.CancelFunc
}

// NewDesktop makes it; it starts nothing. tell, if not nil, is told once in a
// sentence why a notice could not be shown, from another goroutine.
func NewDesktop(tell func(string)) *Desktop {
	d := &Desktop{trouble: &trouble{tell: tell}}
	d.ctx, d.cancel = context.WithCancel(context.Background())
	d.queue = &queue[Notice]{running: 1, holds: 4, do: d.once, dropped: func(Notice) {
		d.trouble.failed(fmt.Errorf("the desktop is slow to show notices: an old one was given up"))
	}}
	return d
}

// Notify shows a notice. It does not wait; where there is no program for it, it
// does nothing.
func (d *Desktop) Notify(n Notice) { d.queue.add(n) }

// Close gives up what waits.
func (d *Desktop) Close() {
	d.queue.close()
	d.cancel()
}

func (d *Desktop) once(n Notice) {
	defer d.trouble.guard()
	argv := notifier(n)
	if argv == nil {
		return
	}
	_, err := child.Run(d.ctx, child.Spec{Command: argv, Timeout: notifyLimit, MaxOutput: 4096})
	switch {
	case err == nil:
		d.trouble.well()
	case d.ctx.Err() == nil:
		d.trouble.failed(fmt.Errorf("the desktop shows no notices: %w", err))
	}
}

// markup is what a desktop may take for markup in a notice's text.
var markup = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

func notifier(n Notice) []string {
	title, text := measure.CleanText(n.Title, textRunes), measure.CleanText(n.Text, textRunes)
	switch runtime.GOOS {
	case "windows":
		return nil
	case "darwin":
		// The texts are arguments, not part of the script.
		return found("osascript", "-e", "on run argv", "-e", "display notification (item 2 of argv) with title (item 1 of argv)",
			"-e", "end run", "--", title, text)
	}
	return found("notify-send", "--app-name=tubside", "--urgency="+urgency(n.Priority), "--", title, markup.Replace(text))
}

func urgency(p session.Priority) string {
	switch p {
	case session.HighPriority:
		return "critical"
	case session.MediumPriority:
		return "normal"
	case session.LowPriority, session.CallPriority:
	}
	return "low"
}
