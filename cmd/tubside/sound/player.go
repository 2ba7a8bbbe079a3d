package sound

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"fleece.example/tubside/session"
)

// Options are what a player needs to know.
type Options struct {
	// Consent allows a muted or low output to be turned up while an alarm
	// rings; it is put back afterwards exactly as it was, unless somebody has
	// changed it in between. Headphones are never turned up.
	Consent bool
	// Self is the program's own file, for its hidden subcommand; "" asks the
	// system for it.
	Self string
	// Env is added to the environment in which players are looked for and run,
	// NAME=value.
	Env []string
	// Log, if not nil, is told in sentences what went wrong on the way. It is
	// called from a goroutine of the player's and must not wait.
	Log func(string)
}

// State is how it sounds, or why it does not.
type State struct {
	Path    string  // the player that plays or played last; "" before the first
	Muted   bool    // the output is muted: nothing can be heard
	Volume  float64 // of the output's full level, 0 to 1 and more; NaN: unknown
	Raised  bool    // the output is turned up for an alarm, and not put back yet
	Ringing bool    // a pattern is wanted
	Working bool    // the last pattern wanted is or was played by Path
	Problem string  // a sentence; "" if there is none
}

// Player rings. Its methods do not wait for a sound device and may be called
// from any goroutine.
type Player struct {
	opts  Options
	paths []path
	owes  *debt
	wake  chan struct{}
	done  chan struct{}
	over  chan struct{}
	close sync.Once
	// collecting says that somebody sees to it that the output is put back.
	collecting atomic.Bool

	mu    sync.Mutex
	want  session.Priority
	rings bool
	state State
	since time.Time // since when Path plays without a break; zero: it does not
	fresh time.Time // when it was last seen to play
	// exhausted says that every way out has been tried and none plays.
	exhausted bool
}

const (
	// roundAgain is the pause before the ways out are all tried again when
	// none has played.
	roundAgain = 2 * time.Second
	// distrust is how long a way that failed is tried last.
	distrust = 2 * time.Minute
	// longest is how old a player may get before it is replaced.
	longest = 10 * time.Minute
	// closeLimit is how long Close waits for the output to be put back.
	closeLimit = 1500 * time.Millisecond
)

// New makes a player; it starts nothing but a goroutine.
func New(o Options) *Player {
	if o.Self == "" {
		// Without its own file the helper cannot start, and the next plays.
		o.Self, _ = os.Executable()
	}
	owes := &debt{}
	return newPlayer(o, owes, systemPaths(o, owes))
}

func newPlayer(o Options, owes *debt, paths []path) *Player {
	p := &Player{opts: o, paths: paths, owes: owes, wake: make(chan struct{}, 1), done: make(chan struct{}), over: make(chan struct{}),
		state: State{Volume: unknown}}
	go p.run()
	return p
}

// Ring plays the priority's pattern, again and again until Silence. While one
// rings, a more urgent one takes its place and a less urgent one changes
// nothing.
func (p *Player) Ring(pr session.Priority) {
	p.mu.Lock()
	if !p.rings || pr > p.want {
		p.want = pr
	}
	p.rings, p.state.Ringing = true, true
	p.mu.Unlock()
	p.poke()
}

// Silence ends the sound.
func (p *Player) Silence() {
	p.mu.Lock()
	p.rings, p.state.Ringing = false, false
	p.mu.Unlock()
	p.poke()
}

// State is how it is now.
func (p *Player) State() State {
	p.mu.Lock()
	defer p.mu.Unlock()
	s := p.state
	s.Raised = p.owes.get() != nil
	return s
}

// Close ends the sound and the player; it waits 1.5 s at most for the
// output to be put back.
func (p *Player) Close() {
	p.Silence()
	p.close.Do(func() { close(p.done) })
	select {
	case <-p.over:
	case <-time.After(closeLimit):
	}
}

func (p *Player) poke() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

func (p *Player) wanted() (session.Priority, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.want, p.rings
}

func (p *Player) set(change func(*State)) {
	p.mu.Lock()
	defer p.mu.Unlock()
	change(&p.state)
}

func (p *Player) log(text string) {
	if p.opts.Log != nil {
		p.opts.Log(text)
	}
}

// run plays until the player is closed. A mistake of ours costs the sound of
// one round, not the program.
func (p *Player) run() {
	defer close(p.over)
	for !p.safely() {
		select {
		case <-p.done:
		case <-time.After(roundAgain):
		}
		p.poke() // what is wanted is still wanted
	}
}

func (p *Player) safely() (finished bool) {
	r := &ringer{Player: p, failedAt: map[string]time.Time{}}
	defer func() {
		if x := recover(); x != nil {
			p.mistake(x)
			r.hush()
		}
	}()
	r.loop()
	return true
}

// rescue is deferred in the player's other goroutines.
func (p *Player) rescue() {
	if x := recover(); x != nil {
		p.mistake(x)
	}
}

func (p *Player) mistake(x any) {
	p.set(func(s *State) { s.Working, s.Problem = false, fmt.Sprintf("the sound player crashed: %v", x) })
}

// ringer is the one goroutine that starts and ends voices.
type ringer struct {
	*Player
	voice    *voice
	plays    session.Priority
	path     string
	born     time.Time
	failedAt map[string]time.Time
	tried    []string // in this round
	retry    *time.Timer
}

func (r *ringer) loop() {
	r.retry = time.NewTimer(time.Hour)
	defer r.retry.Stop()
	for {
		var news chan report
		var dead chan error
		if r.voice != nil {
			news, dead = r.voice.news, r.voice.dead
		}
		select {
		case <-r.done:
			r.hush()
			r.payUp()
			r.paid(closeLimit)
			return
		case <-r.wake:
			r.follow()
		case n := <-news:
			r.heard(n)
		case err := <-dead:
			r.failed(err)
		case <-r.retry.C:
			r.tried = nil
			r.follow()
		}
	}
}

// follow makes what plays what is wanted.
func (r *ringer) follow() {
	p, rings := r.wanted()
	switch {
	case !rings:
		r.hush()
		r.tried = nil
		r.payUp()
	case r.voice == nil:
		r.begin(p)
	case r.plays != p:
		if r.voice.change(p) {
			r.plays = p
			r.mark(time.Now())
			return
		}
		r.hush()
		r.tried = nil // it did not fail
		r.begin(p)
	}
}

// hush silences the voice.
func (r *ringer) hush() {
	if r.voice != nil {
		r.voice.stop()
		r.voice = nil
	}
	r.mark(time.Time{})
}

// mark says since when the pattern plays unbroken.
func (r *ringer) mark(at time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.since = at
}

// begin plays by the first way that has not failed in this round.
func (r *ringer) begin(p session.Priority) {
	r.owes.settled(closeLimit)
	for _, way := range r.order() {
		if slices.Contains(r.tried, way.name) {
			continue
		}
		r.tried = append(r.tried, way.name)
		v, err := way.start(p)
		if err != nil {
			r.note(way.name, err)
			continue
		}
		r.voice, r.plays, r.path, r.born = v, p, way.name, time.Now()
		return
	}
	r.retry.Reset(roundAgain)
	r.set(func(s *State) {
		r.exhausted = true
		s.Working = false
		if !strings.HasPrefix(s.Problem, nobody) {
			s.Problem = strings.TrimSuffix(nobody+": "+s.Problem, ": ")
		}
	})
}

const nobody = "no player on this machine can sound the alarm"

// order is the ways out, those that failed lately last.
func (r *ringer) order() []path {
	good, bad := []path(nil), []path(nil)
	for _, way := range r.paths {
		if at, failed := r.failedAt[way.name]; failed && time.Since(at) < distrust {
			bad = append(bad, way)
		} else {
			good = append(good, way)
		}
	}
	return append(good, bad...)
}

// note keeps why a way failed.
func (r *ringer) note(name string, err error) {
	r.failedAt[name] = time.Now()
	if errors.Is(err, errFrozenServer) {
		for _, way := range r.paths {
			if way.server && way.name != name {
				r.failedAt[way.name] = time.Now()
			}
		}
	}
	r.set(func(s *State) { s.Working, s.Problem = false, err.Error() })
	r.log(err.Error())
}

// failed goes on to the next way.
func (r *ringer) failed(err error) {
	name := r.path
	r.hush()
	r.note(name, err)
	if p, rings := r.wanted(); rings {
		r.begin(p)
	}
}

// heard takes in what a voice says of itself.
func (r *ringer) heard(n report) {
	r.mu.Lock()
	r.fresh = time.Now()
	r.mu.Unlock()
	if n.Event != eventState {
		return
	}
	r.mu.Lock()
	if r.since.IsZero() {
		r.since = time.Now()
		if n.Whole {
			r.since = r.born
		}
	}
	s := &r.state
	r.exhausted = false
	before := s.Problem
	s.Path, s.Working, s.Muted, s.Volume = r.path, true, n.Muted, unknown
	if n.Volume != nil {
		s.Volume = *n.Volume
	}
	s.Problem = n.problem()
	news := s.Problem != before && s.Problem != ""
	problem := s.Problem
	r.mu.Unlock()
	delete(r.failedAt, r.path)
	r.tried = []string{r.path}
	if news {
		r.log(problem)
	}
	if time.Since(r.born) > longest { // between two reports, not inside a pulse
		r.hush()
		r.tried = nil
		r.follow()
	}
}

// problem is what a person has to know of the output.
func (n report) problem() string {
	where := "the output"
	if n.Own {
		where = "tubside's own volume in the mixer"
	}
	switch {
	case n.Muted:
		return where + " is muted: nobody can hear the alarm until it is unmuted"
	case n.Volume != nil && *n.Volume < lowVolume:
		return fmt.Sprintf("%s is at %.0f %%: turn it up to %.0f %% or more to hear the alarm from afar",
			where, math.Floor(*n.Volume*100+0.01), lowVolume*100)
	case n.Headphones:
		return "the sound goes to headphones: unplug them to hear the alarm from afar"
	}
	return ""
}
