package sound

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/jfreymuth/pulse/proto"

	"fleece.example/tubside/session"
)

// The helper plays through the sound server in a process of its own: the
// library may panic in a goroutine that nobody can rescue, and print to the
// standard output, and neither may reach the screen.

const (
	// startLimit is how long the server may take to begin.
	startLimit = 2500 * time.Millisecond
	pollEvery  = time.Second
	beatEvery  = 250 * time.Millisecond
	// stallLimit is how long a server that plays may ask for no samples. With
	// this latency it asks some twenty times a second.
	stallLimit = 1200 * time.Millisecond
	// latencySeconds is what lies between us and the output: short, so that a
	// change is heard at once.
	latencySeconds = 0.06
	stopLimit      = 500 * time.Millisecond
)

// HelperMain is the hidden command that plays; args are what the program gave
// it, in carries its words ("change high", "stop"), out takes one JSON object a
// line. It stops when in ends, puts the output back as it was, and returns the
// exit code.
func HelperMain(args []string, in io.Reader, out io.Writer) int {
	// When the program is gone, so is the reader of out; the output has to be
	// put back all the same.
	signal.Ignore(syscall.SIGPIPE)
	h := &helper{out: json.NewEncoder(out)}
	flags := flag.NewFlagSet(helperName, flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	priority := flags.String("priority", "high", "")
	consent := flags.Bool("consent", false, "")
	owed := flags.String("owed", "", "")
	onlyBack := flags.Bool("only-put-back", false, "")
	if err := flags.Parse(args); err != nil {
		return h.fail(err)
	}
	p, err := parsePriority(*priority)
	if err == nil && *owed != "" {
		h.owed = &output{}
		err = json.Unmarshal([]byte(*owed), h.owed)
	}
	if err != nil {
		return h.fail(err)
	}
	if *onlyBack {
		return h.pay()
	}
	if err := h.play(p, *consent, in); err != nil {
		return h.fail(err)
	}
	return 0
}

// errStalled is a server that is there and takes nothing.
var errStalled = errors.New("the sound server stands still")

type helper struct {
	out    *json.Encoder
	server *server
	owed   *output // what has to be put back

	asked atomic.Int64 // when the server last asked for samples, ns
}

func (h *helper) say(r report) {
	// The program that reads this is gone when it cannot be written; the end
	// of the input says so as well.
	_ = h.out.Encode(r)
}

// samples is the loop as the library reads it.
type samples struct {
	*Loop
	asked *atomic.Int64
}

func (s samples) Read(b []byte) (int, error) {
	s.asked.Store(time.Now().UnixNano())
	return s.Loop.Read(b)
}

func (h *helper) play(p session.Priority, consent bool, in io.Reader) error {
	words := listen(in)
	var err error
	if h.server, err = connect(); err != nil {
		return err
	}
	h.putBack() // what an earlier helper left
	loop := NewLoop(p)
	if err := h.server.play(samples{loop, &h.asked}); err != nil {
		return err
	}
	state, err := h.look()
	if err != nil {
		return err
	}
	if consent {
		if state, err = h.raise(state); err != nil {
			return err
		}
	}
	started := make(chan struct{})
	go func() { defer close(started); h.server.begin() }()
	select {
	case <-started:
	case <-time.After(startLimit):
		return fmt.Errorf("%w: it did not begin within %v", errStalled, startLimit)
	}
	h.asked.Store(time.Now().UnixNano())
	h.say(state.report())
	err = h.watch(words, loop)
	if err != nil {
		h.fail(err) // before anything else: the next player waits for it
	}
	h.silence()
	h.putBack()
	return nil
}

// fail says why it does not play.
func (h *helper) fail(err error) int {
	h.say(report{Event: eventFailed, Problem: err.Error(), Frozen: errors.Is(err, errStalled) || errors.Is(err, context.DeadlineExceeded)})
	return 1
}

// pay only puts back what another helper left.
func (h *helper) pay() int {
	var err error
	if h.server, err = connect(); err != nil {
		h.say(report{Event: eventOwed, Problem: err.Error()})
		return 1
	}
	if h.putBack(); h.owed != nil {
		return 1
	}
	return 0
}

// watch goes on until it is told to stop, or the server fails.
func (h *helper) watch(words <-chan string, loop *Loop) error {
	beat := time.NewTicker(beatEvery)
	defer beat.Stop()
	looks := h.looks()
	for {
		select {
		case w, open := <-words:
			if !open || w == wordStop {
				return nil
			}
			if p, err := parsePriority(strings.TrimPrefix(w, wordChange)); err == nil {
				loop.Change(p)
			}
		case <-beat.C:
			quiet := time.Since(time.Unix(0, h.asked.Load()))
			if quiet > stallLimit {
				return fmt.Errorf("%w: it has taken no sound for %.1f s", errStalled, quiet.Seconds())
			}
			if h.server.lost.Load() {
				return errors.New("the sound server ended")
			}
			if quiet < beatEvery {
				h.say(report{Event: eventBeat})
			}
		case l := <-looks:
			if l.err != nil {
				return l.err
			}
			h.say(l.state.report())
		}
	}
}

type looked struct {
	state sinkState
	err   error
}

// looks polls the output once a second, beside the beat: a server that does not
// answer holds it up.
func (h *helper) looks() <-chan looked {
	out := make(chan looked)
	go func() {
		for range time.Tick(pollEvery) {
			s, err := h.look()
			out <- looked{s, err}
		}
	}()
	return out
}

// silence takes the stream away, which drops what is still in its buffer.
func (h *helper) silence() {
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		_ = h.server.Request(&proto.DeletePlaybackStream{StreamIndex: h.server.stream.StreamIndex}, nil)
	}()
	select {
	case <-gone:
	case <-time.After(stopLimit):
	}
	h.say(report{Event: eventSilent})
}

// listen brings the lines of in, and closes when it ends.
func listen(in io.Reader) <-chan string {
	words := make(chan string, 16)
	go func() {
		defer close(words)
		lines := bufio.NewScanner(in)
		for lines.Scan() {
			words <- lines.Text()
		}
	}()
	return words
}
