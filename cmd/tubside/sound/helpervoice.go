package sound

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"fleece.example/tubside/session"
)

const (
	// helperStart is how long the helper may take to play, its own start
	// included; helperQuiet how long it may say nothing while it plays.
	helperStart = 2500 * time.Millisecond
	helperQuiet = 1500 * time.Millisecond
	// silentLimit is how long the helper may take to be silent when told;
	// backLimit how long to put the output back after that.
	silentLimit = 200 * time.Millisecond
	backLimit   = 2 * time.Second
)

// helped plays through the helper. owes carries what is to be put back from one
// run to the next, for a helper that died before it could.
func helped(o Options, owes *debt) func(session.Priority) (*voice, error) {
	return func(p session.Priority) (*voice, error) {
		argv := []string{o.Self, HelperName, "--priority", p.String()}
		if o.Consent {
			argv = append(argv, "--consent")
		}
		argv = append(argv, owes.args()...)
		hears, speaks, err := os.Pipe()
		if err != nil {
			return nil, fmt.Errorf("the sound helper could not be started: %w", err)
		}
		told, tells := io.Pipe()
		proc, err := begin(o.Env, hears, tells, argv...)
		_ = hears.Close()
		if err != nil {
			_, _ = speaks.Close(), tells.Close()
			return nil, err
		}
		h := &helperRun{voice: newVoice(), proc: proc, speaks: speaks, owes: owes,
			lines: make(chan report, 32), silent: make(chan struct{}), done: make(chan struct{})}
		go func() { // the pipe's writing end is nobody else's
			<-proc.ended
			_ = tells.Close()
		}()
		go h.read(told)
		go h.watch()
		h.change = func(p session.Priority) bool { return h.say(wordChange + p.String()) }
		h.stop = sync.OnceFunc(h.end)
		return h.voice, nil
	}
}

// helperRun is one helper seen from the program.
type helperRun struct {
	*voice
	proc   *process
	speaks *os.File
	owes   *debt
	lines  chan report
	silent chan struct{} // closed when the helper says its stream is gone
	done   chan struct{} // closed when it is not wanted any more
}

// say tells the helper a word. The pipe holds thousands of them: it is full
// only when the helper is frozen.
func (h *helperRun) say(word string) bool {
	_ = h.speaks.SetWriteDeadline(time.Now().Add(50 * time.Millisecond))
	_, err := h.speaks.WriteString(word + "\n")
	return err == nil
}

// read takes the helper's lines. What is not one of ours is the library's.
func (h *helperRun) read(from io.Reader) {
	defer h.guard()
	defer close(h.lines)
	lines := bufio.NewScanner(from)
	for lines.Scan() {
		var r report
		if json.Unmarshal(lines.Bytes(), &r) != nil {
			continue
		}
		switch r.Event {
		case eventRaised:
			h.owes.set(r.Owed)
		case eventBack:
			h.owes.set(nil)
		case eventSilent:
			close(h.silent)
		}
		select {
		case h.lines <- r:
		case <-h.done:
		}
	}
}

// watch holds the helper to its times.
func (h *helperRun) watch() {
	defer h.guard()
	limit, plays := time.NewTimer(helperStart), false
	defer limit.Stop()
	for {
		select {
		case <-h.done:
			return
		case r, open := <-h.lines:
			switch {
			case !open:
				<-h.proc.ended
				h.die(h.proc.why("the sound helper"))
				return
			case r.Event == eventFailed && r.Frozen:
				h.die(fmt.Errorf("%w: %s", errFrozenServer, r.Problem))
				return
			case r.Event == eventFailed:
				h.die(errors.New(r.Problem))
				return
			}
			plays = plays || r.Event == eventState
			if plays {
				limit.Reset(helperQuiet)
			}
			h.tell(r)
		case <-limit.C:
			h.proc.kill()
			if plays {
				h.die(fmt.Errorf("the sound helper has said nothing for %v and was stopped", helperQuiet))
			} else {
				h.die(fmt.Errorf("%w: nothing within %v", errFrozenServer, helperStart))
			}
			return
		}
	}
}

// end silences the helper: by its own hand, which puts the output back, or by
// ours. The putting back is not waited for.
func (h *helperRun) end() {
	close(h.done)
	h.say(wordStop)
	_ = h.speaks.Close()
	select {
	case <-h.silent:
	case <-h.proc.ended:
		return
	case <-time.After(silentLimit):
		h.proc.kill()
		return
	}
	finished := h.owes.payer()
	go func() {
		defer finished()
		select {
		case <-h.proc.ended:
		case <-time.After(backLimit):
			h.proc.kill()
		}
	}()
}
