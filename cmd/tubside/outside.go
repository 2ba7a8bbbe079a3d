package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"sync"
	"time"

	"fleece.example/tubside/cmd/tubside/machine"
	"fleece.example/tubside/cmd/tubside/reach"
	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/keep"
)

// outside brings alarms to a person who is not looking: sound, speech, notices
// of the desktop and the terminal, a command of their own. It makes out of what
// rings what has changed. Nothing of it waits on the screen's time.
type outside struct {
	out  io.Writer // the terminal, for its own notices
	desk *reach.Desktop
	play sound.Options // the person's consent is put in
	own  *machine.File

	mu       sync.Mutex
	player   *sound.Player
	speaker  *reach.Speaker
	hook     *reach.Hook
	shell    string                // of the settings that hook was made for
	asked    session.AlarmSettings // as they were given last
	may      session.AlarmSettings // as far as they may be used here
	word     session.AlarmSettings // what was confirmed while the program runs
	strange  session.AlarmSettings // what of asked nobody has confirmed here
	ringing  map[callKey]coach.AlarmCall
	loudest  session.Priority
	sounding bool
	hush     *time.Timer // ends what sounds
	spokenAt time.Time
	trouble  map[string]string // by what does not work
	rescue   func()
}

// callKey tells alarms apart.
type callKey struct {
	tub  int
	kind session.AlarmKind
}

func newOutside(out io.Writer, play sound.Options, own *machine.File, rescue func()) *outside {
	o := &outside{out: out, play: play, own: own, ringing: map[callKey]coach.AlarmCall{}, trouble: map[string]string{}, rescue: rescue}
	o.desk = reach.NewDesktop(o.tell("notices"))
	o.speaker = reach.NewSpeaker(o.tell("speech"))
	o.player = sound.New(play)
	return o
}

// tell keeps a sentence about a part that does not work. It is called from other
// goroutines.
func (o *outside) tell(part string) func(string) {
	return func(text string) {
		o.mu.Lock()
		defer o.mu.Unlock()
		o.trouble[part] = text
	}
}

// Call implements the screen's way out.
func (o *outside) Call(calls []coach.AlarmCall, standing int, s session.AlarmSettings, now time.Time) {
	o.mu.Lock()
	defer o.mu.Unlock()
	s = o.follow(s)
	seen, rung := map[callKey]bool{}, []coach.AlarmCall(nil)
	for _, c := range calls {
		k := callKey{c.Tub, c.Kind}
		seen[k] = true
		was, known := o.ringing[k]
		switch {
		case !known && o.worse(c):
			o.raised(reach.Escalated, c, standing, s, now)
		case !known:
			o.raised(reach.Raised, c, standing, s, now)
		case c.Rings > was.Rings && s.Speak:
			o.say(c, now)
		}
		if c.Rings > was.Rings {
			rung = append(rung, c)
		}
		o.ringing[k] = c
	}
	for k, c := range o.ringing {
		if !seen[k] {
			delete(o.ringing, k)
			o.hook.Run(facts(reach.Cleared, c, standing, now))
		}
	}
	o.sound(calls, rung)
	if len(calls) == 0 && !o.spokenAt.IsZero() {
		o.speaker.Hush()
		o.spokenAt = time.Time{}
	}
}

// follow takes over changed settings as far as they may be used here, and returns those.
func (o *outside) follow(s session.AlarmSettings) session.AlarmSettings {
	if o.hook != nil && s == o.asked {
		return o.may
	}
	o.asked = s
	s = o.confirmed(s)
	if o.may = s; o.hook == nil || s.Hook != o.shell {
		if o.hook != nil {
			o.hook.Close()
		}
		o.shell = s.Hook
		o.hook = reach.NewHook(reach.HookOptions{Shell: s.Hook, Trouble: o.tell("your own command")})
	}
	if s.RaiseVolume != o.play.Consent {
		o.play.Consent = s.RaiseVolume
		old := o.player
		go func() { // it may have an output to put back
			defer o.rescue()
			old.Close()
		}()
		o.player, o.sounding = sound.New(o.play), false
	}
	return s
}

// confirmed is what of some settings may be done here. A record that was restored,
// copied or made by somebody else brings its own with it.
func (o *outside) confirmed(s session.AlarmSettings) session.AlarmSettings {
	delete(o.trouble, "your own command")
	o.strange = session.AlarmSettings{}
	wants := waysOf(s)
	if s.Hook == "" && wants == (machine.Ways{}) {
		return s
	}
	run, ways, err := o.own.Confirmed(s.Hook)
	if err != nil {
		o.trouble["your own command"] = err.Error()
	}
	ways = ways.Both(waysOf(o.word))
	o.strange = session.AlarmSettings{RaiseVolume: wants.RaiseVolume && !ways.RaiseVolume, Speak: wants.Speak && !ways.Speak, Notify: wants.Notify && !ways.Notify}
	s.RaiseVolume, s.Speak, s.Notify = wants.RaiseVolume && ways.RaiseVolume, wants.Speak && ways.Speak, wants.Notify && ways.Notify
	if !run && s.Hook != o.word.Hook {
		o.strange.Hook, s.Hook = s.Hook, ""
	}
	return s
}

func waysOf(s session.AlarmSettings) machine.Ways {
	return machine.Ways{RaiseVolume: s.RaiseVolume, Speak: s.Speak, Notify: s.Notify}
}

// Confirm implements the screen's way out. What cannot be kept counts until the end.
func (o *outside) Confirm(s session.AlarmSettings) error {
	err := o.own.Confirm(s.Hook, waysOf(s))
	o.mu.Lock()
	defer o.mu.Unlock()
	if s.Hook != "" {
		o.word.Hook = s.Hook
	}
	ways := waysOf(o.word).Both(waysOf(s))
	o.word.RaiseVolume, o.word.Speak, o.word.Notify = ways.RaiseVolume, ways.Speak, ways.Notify
	if asked := o.asked; o.hook != nil {
		o.asked.QuietFromMin = -1 // they are looked at anew
		o.follow(asked)
	}
	if err != nil {
		return fmt.Errorf("it is done until tubside ends, then asked for again: %w", err)
	}
	return nil
}

// raised tells all but the sound of a new or a worse alarm.
func (o *outside) raised(what reach.What, c coach.AlarmCall, standing int, s session.AlarmSettings, now time.Time) {
	o.hook.Run(facts(what, c, standing, now))
	text := coach.Spoken(c)
	if s.Notify {
		o.desk.Notify(reach.Notice{Title: "tubside: " + c.Words, Text: text, Priority: c.Priority})
		// A terminal that is gone is met by the renderer as well.
		_, _ = o.out.Write(slices.Concat(reach.OSC9(text), reach.OSC777("tubside: "+c.Words, text)))
	}
	if s.Speak {
		o.say(c, now)
	}
}

func (o *outside) say(c coach.AlarmCall, now time.Time) {
	o.speaker.Speak(coach.Spoken(c))
	o.spokenAt = now
}

// worse says that an alarm takes the place of a less urgent one of its tub.
func (o *outside) worse(c coach.AlarmCall) bool {
	for k, was := range o.ringing {
		if c.Tub >= 0 && k.tub == c.Tub && was.Priority < c.Priority {
			return true
		}
	}
	return false
}

// sound plays what has just rung, the most urgent, and is still then until
// something rings again: how often that is the day decides, not the player.
func (o *outside) sound(calls, rung []coach.AlarmCall) {
	if len(calls) == 0 {
		o.silence()
		return
	}
	if len(rung) == 0 {
		return
	}
	c := rung[0]
	for _, r := range rung {
		if r.Priority > c.Priority {
			c = r
		}
	}
	if o.sounding && c.Priority < o.loudest {
		return
	}
	o.player.Ring(c.Priority)
	o.sounding, o.loudest = true, c.Priority
	if o.hush != nil {
		o.hush.Stop()
	}
	var mine *time.Timer
	mine = time.AfterFunc(ringFor(c), func() {
		defer o.rescue()
		o.mu.Lock()
		defer o.mu.Unlock()
		if o.hush == mine {
			o.silence()
		}
	})
	o.hush = mine
}

// ringFor is how long one ring sounds: a burst, of a high alarm more of them the
// longer nobody answers. It ends in the pause behind the last.
func ringFor(c coach.AlarmCall) time.Duration {
	p, bursts := sound.PatternOf(c.Priority), 1
	if c.Priority == session.HighPriority {
		bursts = max(1, c.Level)
	}
	return time.Duration(bursts-1)*p.Period + (p.Burst()+p.Period)/2
}

func (o *outside) silence() {
	if o.sounding {
		o.player.Silence()
		o.sounding = false
	}
}

func facts(what reach.What, c coach.AlarmCall, standing int, now time.Time) reach.Facts {
	left := math.NaN()
	if c.HasMinutes {
		left = c.MinutesLeft
	}
	return reach.Facts{What: what, Tub: c.Name, Alarm: c.Kind, Priority: c.Priority, Text: coach.Spoken(c), Do: c.Do, LeftMin: left, At: now, Standing: standing}
}

// playAtMost bounds a sound check: the longest burst and the ways that fail.
const playAtMost = 20 * time.Second

// Play implements the screen's sound check.
func (o *outside) Play(p session.Priority, s session.AlarmSettings) keep.Played {
	defer o.rescue()
	o.mu.Lock()
	o.follow(s)
	player := o.player
	o.mu.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), playAtMost)
	defer cancel()
	r := player.Check(ctx, p)
	return keep.Played{Path: r.Path, OK: r.Played, Problem: r.Problem}
}

// State implements the screen's way out.
func (o *outside) State() keep.OutsideState {
	o.mu.Lock()
	defer o.mu.Unlock()
	st := o.player.State()
	out := keep.OutsideState{Sound: st.Path, Muted: st.Muted, Unconfirmed: o.strange}
	if st.Ringing && !st.Working && st.Problem != "" {
		out.Problems = append(out.Problems, "sound: "+st.Problem+"; the terminal's bell and the screen still call")
	}
	for _, part := range []string{"speech", "notices", "your own command"} {
		if text := o.trouble[part]; text != "" {
			out.Problems = append(out.Problems, fmt.Sprintf("%s: %s", part, text))
		}
	}
	return out
}

// close ends all of it; the output is put back.
func (o *outside) close() {
	o.mu.Lock()
	player, hook := o.player, o.hook
	o.mu.Unlock()
	player.Close()
	o.speaker.Close()
	o.desk.Close()
	if hook != nil {
		hook.Close()
	}
}
