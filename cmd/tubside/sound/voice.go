package sound

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/session"
)

// path is one way from a pattern to somebody's ears.
type path struct {
	name string // as the person is told
	// server says that it goes through the machine's sound server, so that it
	// is not worth trying when that has just been found dead.
	server bool
	// start begins to play without waiting for it.
	start func(p session.Priority) (*voice, error)
}

// voice is a pattern that is being played.
type voice struct {
	news   chan report // never waited for: what does not fit is dropped
	dead   chan error  // holds one: why it does not play any more
	change func(session.Priority) bool
	stop   func() // silent when it returns, or as good as can be; 400 ms at most
	once   sync.Once
}

func newVoice() *voice {
	return &voice{news: make(chan report, 32), dead: make(chan error, 1),
		change: func(session.Priority) bool { return false }}
}

func (v *voice) tell(r report) {
	select {
	case v.news <- r:
	default:
	}
}

func (v *voice) die(err error) { v.once.Do(func() { v.dead <- err }) }

// guard is deferred in every goroutine of a voice: one of our own mistakes is
// a player that failed.
func (v *voice) guard() {
	if r := recover(); r != nil {
		v.die(fmt.Errorf("the player crashed: %v", r))
	}
}

const (
	// settleAfter is how long a player has to live before it counts as playing;
	// those that cannot play end within it.
	settleAfter = 400 * time.Millisecond
	// keepsUp is how far behind real time a player that plays may be. One that
	// is stuck has taken less by then than this, its pipe and its own buffer.
	keepsUp = bytesPerSecond / 20
	// pipeStall is how long a player may take nothing from its pipe.
	pipeStall = 1500 * time.Millisecond
	// aheadLimit is how much more than real time a player may have taken: a
	// pipe and its own buffer. One that takes more plays into nothing.
	aheadLimit = 4 * bytesPerSecond
	chunk      = bytesPerSecond / 20
	maxSaid    = 4096 // bytes kept of what a player prints
)

// process is a player's program while it runs.
type process struct {
	cmd   *exec.Cmd
	said  *child.Catch
	ended chan struct{}
	err   error // why it ended, once it has

	mu    sync.Mutex
	isOut bool
}

func begin(env []string, stdin io.Reader, stdout io.Writer, argv ...string) (*process, error) {
	p := &process{cmd: child.Command(env, argv...), said: &child.Catch{Max: maxSaid}, ended: make(chan struct{})}
	p.cmd.Stdin, p.cmd.Stdout, p.cmd.Stderr = stdin, stdout, p.said
	if stdout == nil {
		p.cmd.Stdout = p.said
	}
	if err := p.cmd.Start(); err != nil {
		return nil, child.CannotStart(argv[0], err)
	}
	go func() {
		err := p.cmd.Wait()
		p.mu.Lock()
		p.isOut = true
		p.mu.Unlock()
		p.err = err
		close(p.ended)
	}()
	return p, nil
}

// kill ends the program. A number that has been given to another since is safe.
func (p *process) kill() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.isOut {
		child.Kill(p.cmd)
	}
}

// why is the sentence for a program that ended before it should.
func (p *process) why(name string) error {
	if p.err != nil && bytes.Contains(p.said.Bytes(), []byte("audio open error")) { // no words for a person
		return fmt.Errorf("%s found no sound output: plug a speaker in, or turn it on", name)
	}
	if p.err != nil {
		return child.Failed(name, p.err, p.said.Bytes())
	}
	return fmt.Errorf("%s ended before its sound did", name)
}

// fed plays through a program that takes samples on its standard input for as
// long as they come.
func fed(env []string, name string, argv ...string) func(session.Priority) (*voice, error) {
	return func(p session.Priority) (*voice, error) {
		out, in, err := os.Pipe()
		if err != nil {
			return nil, fmt.Errorf("%s could not be given its sound: %w", name, err)
		}
		proc, err := begin(env, out, nil, argv...)
		_ = out.Close() // the program has its own
		shrink(in)
		if err != nil {
			_ = in.Close()
			return nil, err
		}
		v := newVoice()
		loop := NewLoop(p)
		var mu sync.Mutex
		taken, last, began := 0, time.Now(), time.Now()
		go func() {
			defer v.guard()
			buf := make([]byte, chunk)
			for {
				_, _ = loop.Read(buf) // has no error
				n, err := in.Write(buf)
				mu.Lock()
				taken, last = taken+n, time.Now()
				mu.Unlock()
				if err != nil { // it ended, or was stopped
					return
				}
			}
		}()
		done := make(chan struct{})
		go func() {
			defer v.guard()
			defer proc.kill()
			beat := time.NewTicker(100 * time.Millisecond)
			defer beat.Stop()
			for {
				select {
				case <-done:
					return
				case <-proc.ended:
					v.die(proc.why(name))
					return
				case <-beat.C:
				}
				mu.Lock()
				stalled, ahead := time.Since(last), taken-int(time.Since(began).Seconds()*bytesPerSecond)
				mu.Unlock()
				switch {
				case stalled > pipeStall:
					v.die(fmt.Errorf("%s has taken no sound for %.1f s", name, stalled.Seconds()))
					return
				case ahead > aheadLimit:
					v.die(fmt.Errorf("%s takes the sound faster than it can be heard: it plays into nothing", name))
					return
				case time.Since(began) > settleAfter && ahead > -keepsUp:
					v.tell(report{Event: eventState})
				}
			}
		}()
		v.stop = ender(proc, done, func() { _ = in.Close() })
		return v, nil
	}
}

// ender ends a player: its program at once, for what is in its buffers is not
// wanted either.
func ender(proc *process, done chan struct{}, after func()) func() {
	return sync.OnceFunc(func() {
		close(done)
		proc.kill()
		after()
		select {
		case <-proc.ended:
		case <-time.After(400 * time.Millisecond):
		}
	})
}

// filed plays through a program that takes the name of a file: a WAV of one
// burst, and after the pause again. Only the end of a run, on time, proves that
// it played: it is not seen to take its sound.
func filed(env []string, name string, argv ...string) func(session.Priority) (*voice, error) {
	return func(p session.Priority) (*voice, error) {
		dir, err := os.MkdirTemp("", "tubside-sound-")
		if err != nil {
			return nil, fmt.Errorf("%s could not be given its sound: %w", name, err)
		}
		gone := func() { _ = os.RemoveAll(dir) } // the system clears what is left
		file := filepath.Join(dir, "alarm.wav")
		if err := os.WriteFile(file, burstWAV(p), 0o600); err != nil {
			gone()
			return nil, fmt.Errorf("%s could not be given its sound: %w", name, err)
		}
		again := append(slices.Clone(argv), file)
		proc, err := begin(env, nil, nil, again...)
		if err != nil {
			gone()
			return nil, err
		}
		v := newVoice()
		done, over := make(chan struct{}), make(chan struct{})
		go func() {
			defer close(over)
			defer gone()
			defer v.guard()
			pattern := PatternOf(p)
			for {
				began := time.Now()
				if err := lasts(proc, name, pattern.Burst(), done); err != nil {
					v.die(err)
					return
				}
				if child.IsClosed(done) {
					return
				}
				v.tell(report{Event: eventState, Whole: true})
				select {
				case <-done:
					return
				case <-time.After(time.Until(began.Add(pattern.Period))):
				}
				if proc, err = begin(env, nil, nil, again...); err != nil {
					v.die(err)
					return
				}
			}
		}()
		v.stop = sync.OnceFunc(func() {
			close(done)
			select {
			case <-over:
			case <-time.After(400 * time.Millisecond):
			}
		})
		return v, nil
	}
}

const (
	early = 300 * time.Millisecond  // how much sooner than its sound a player may end
	late  = 1500 * time.Millisecond // and how much later
)

// lasts waits for one run, which has to take as long as its sound.
func lasts(proc *process, name string, long time.Duration, done chan struct{}) error {
	defer proc.kill()
	began := time.Now()
	select {
	case <-done:
		return nil
	case <-proc.ended:
		if proc.err != nil || time.Since(began) < long-early {
			return proc.why(name)
		}
		return nil
	case <-time.After(long + late):
		return fmt.Errorf("%s did not come to the end of its sound", name)
	}
}

// errFrozenServer is the death of a way through a sound server that is there and
// does not serve: the other ways through it would hang as well.
var errFrozenServer = errors.New("the sound server is frozen")

// unknown is a level that nobody can read.
var unknown = math.NaN()
