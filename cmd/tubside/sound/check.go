package sound

import (
	"context"
	"fmt"
	"time"

	"fleece.example/tubside/session"
)

// Result is what a sound check found. It proves that samples went out, not that
// anybody heard them: a person has to say that.
type Result struct {
	Priority session.Priority
	Path     string  // the player that served; "" if none did
	Muted    bool    // the output was muted
	Volume   float64 // of the output's full level; NaN: unknown
	Played   bool    // the whole burst went out, to an output that is not muted
	Problem  string  // a sentence; "" if there is none
}

// checkTail is how long a check goes on after the burst, for what is in buffers.
const checkTail = 300 * time.Millisecond

// stillPlays is how long ago a player may have been seen to play at the end of a
// check: one that is stuck is seen no more.
const stillPlays = 500 * time.Millisecond

// Check plays one burst of a priority through the same ways out as an alarm,
// and says which served. It takes as long as the burst, and as the ways that
// fail before; ctx ends it early.
func Check(ctx context.Context, o Options, p session.Priority) Result {
	player := New(o)
	defer player.Close()
	return player.check(ctx, p)
}

// Check plays one burst on a player of its own with the same options; while an
// alarm rings there is nothing to check, and it says so.
func (p *Player) Check(ctx context.Context, pr session.Priority) Result {
	if s := p.State(); s.Ringing {
		return Result{Priority: pr, Path: s.Path, Muted: s.Muted, Volume: s.Volume,
			Problem: "an alarm is ringing: check the sound when it is over"}
	}
	return Check(ctx, p.opts, pr)
}

func (p *Player) check(ctx context.Context, pr session.Priority) Result {
	p.Ring(pr)
	defer p.Silence()
	long := PatternOf(pr).Burst() + checkTail
	look := time.NewTicker(20 * time.Millisecond)
	defer look.Stop()
	for {
		select {
		case <-ctx.Done():
			r := p.result(pr)
			r.Problem = fmt.Sprintf("the sound check was broken off: %v", ctx.Err())
			return r
		case <-look.C:
		}
		p.mu.Lock()
		whole := !p.since.IsZero() && time.Since(p.since) >= long && time.Since(p.fresh) < stillPlays
		out := p.exhausted
		p.mu.Unlock()
		if whole {
			r := p.result(pr)
			r.Played = !r.Muted
			return r
		}
		if out {
			r := p.result(pr)
			r.Path = ""
			return r
		}
	}
}

func (p *Player) result(pr session.Priority) Result {
	s := p.State()
	return Result{Priority: pr, Path: s.Path, Muted: s.Muted, Volume: s.Volume, Problem: s.Problem}
}
