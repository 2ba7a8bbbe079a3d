package sound

import (
	"context"
	"encoding/json"
	"sync"
	"time"

	"fleece.example/tubside/cmd/tubside/child"
)

// debt is an output that was raised and has to be put back. A helper does that
// by itself; when it was killed before it could, another one is started for it.
type debt struct {
	mu     sync.Mutex
	owed   *output
	paying chan struct{} // closed when those who put back have ended; nil: nobody does
}

func (d *debt) set(o *output) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.owed = o
}

func (d *debt) get() *output {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.owed
}

// payer says that somebody is putting back until the function it returns is
// called.
func (d *debt) payer() (finished func()) {
	mine := make(chan struct{})
	d.mu.Lock()
	before := d.paying
	d.paying = mine
	d.mu.Unlock()
	return func() {
		if before != nil {
			<-before
		}
		close(mine)
	}
}

// settled waits for those who put back: a new alarm must not raise an output
// under their hands.
func (d *debt) settled(limit time.Duration) {
	d.mu.Lock()
	paying := d.paying
	d.mu.Unlock()
	if paying == nil {
		return
	}
	select {
	case <-paying:
	case <-time.After(limit):
	}
}

// args hands the debt on to a new helper.
func (d *debt) args() []string {
	o := d.get()
	if o == nil {
		return nil
	}
	b, err := json.Marshal(o)
	if err != nil { // it holds a name and figures only
		return nil
	}
	return []string{"--owed", string(b)}
}

// collect puts back what is owed when those who do so already have ended.
func (d *debt) collect(pay func(args []string) error) error {
	mine := make(chan struct{})
	defer close(mine)
	d.mu.Lock()
	before := d.paying
	d.paying = mine
	d.mu.Unlock()
	if before != nil {
		<-before // each has its own time limit
	}
	owed, args := d.get(), d.args()
	if args == nil {
		return nil
	}
	err := pay(args)
	d.mu.Lock()
	defer d.mu.Unlock()
	if err == nil && d.owed == owed {
		d.owed = nil
	}
	return err
}

const (
	payLimit    = 5 * time.Second // for a helper that only puts back
	payAgain    = 2 * time.Second // doubled each time
	payAtLatest = 5 * time.Minute
)

// payUp sees to it that the output is put back after an alarm. What cannot be
// put back, because the server is gone, is tried again for some minutes; the
// next alarm's helper begins with it as well.
func (p *Player) payUp() {
	if p.collecting.Swap(true) {
		return
	}
	go func() {
		defer p.collecting.Store(false)
		defer p.rescue()
		said := false
		for again := payAgain; again < payAtLatest; again *= 2 {
			err := p.owes.collect(p.pay)
			if err == nil {
				return
			}
			if !said {
				p.log("the output could not be put back as it was before the alarm: " + err.Error())
				said = true
			}
			select {
			case <-p.done:
				return
			case <-time.After(again):
			}
			if _, rings := p.wanted(); rings {
				return
			}
		}
	}()
}

// paid waits until nobody puts back any more.
func (p *Player) paid(limit time.Duration) {
	for began := time.Now(); p.collecting.Load() && time.Since(began) < limit; {
		time.Sleep(5 * time.Millisecond)
	}
}

func (p *Player) pay(args []string) error {
	argv := append([]string{p.opts.Self, HelperName, "--only-put-back"}, args...)
	_, err := child.Run(context.Background(), child.Spec{Command: argv, Env: p.opts.Env, Timeout: payLimit, MaxOutput: maxSaid})
	return err
}
