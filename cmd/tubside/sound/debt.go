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
	return sync.OnceFunc(func() {
		if before != nil {
			<-before
		}
		close(mine)
	})
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

// payUp puts back what a dead helper left. What cannot be put back now, because
// the server is gone, stays owed: the next helper starts with it.
func (r *ringer) payUp() {
	r.owes.settled(closeLimit)
	args := r.owes.args()
	if args == nil {
		r.set(func(s *State) { s.Raised = false })
		return
	}
	argv := append([]string{r.opts.Self, HelperName, "--only-put-back"}, args...)
	_, err := child.Run(context.Background(), child.Spec{Command: argv, Timeout: closeLimit, MaxOutput: maxSaid})
	if err != nil {
		r.log("the output could not be put back as it was before the alarm: " + err.Error())
		return
	}
	r.owes.set(nil)
	r.set(func(s *State) { s.Raised = false })
}
