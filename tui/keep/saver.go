package keep

import (
	"sync"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// saver is the one writer of the journal. Order is given where save is called,
// under the keeper's lock; the writer keeps it, tries again after a failure, and on
// close writes all that is left. What is not written yet is not called safe. It
// starts with the first it is given.
type saver struct {
	journal ledger.Journal
	retry   time.Duration

	mu      sync.Mutex
	queue   []saveJob
	err     error // of the last try; nil once all is written
	started bool
	closing bool
	idle    chan struct{} // closed when all is written; nil: nobody waits for that

	wake    chan struct{} // for the writer
	changed func()        // something was written, or could not be
	done    chan struct{}
}

type saveJob struct {
	id   shed.DayID
	recs []session.Recorded
	sum  ledger.Summary
}

func newSaver(j ledger.Journal, changed func()) *saver {
	return &saver{journal: j, retry: time.Second, wake: make(chan struct{}, 1), changed: changed, done: make(chan struct{})}
}

func (s *saver) save(id shed.DayID, recs []session.Recorded, sum ledger.Summary) {
	s.mu.Lock()
	s.queue = append(s.queue, saveJob{id, recs, sum})
	if !s.started && s.journal != nil {
		s.started = true
		go s.run()
	}
	s.mu.Unlock()
	signal(s.wake)
}

// status is how many events are not written yet, and why if it went wrong.
func (s *saver) status() (waiting int, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, j := range s.queue {
		waiting += len(j.recs)
	}
	return waiting, s.err
}

// written is closed when nothing waits to be written.
func (s *saver) written() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.idle == nil {
		s.idle = make(chan struct{})
	}
	idle := s.idle
	s.wakeIdle()
	return idle
}

// wakeIdle tells those who wait for it that all is written, if it is. Under the lock.
func (s *saver) wakeIdle() {
	if len(s.queue) == 0 && s.idle != nil {
		close(s.idle)
		s.idle = nil
	}
}

// Unsaved is what could not be written of a day.
type Unsaved struct {
	Day     shed.DayID
	Events  []session.Recorded
	Summary ledger.Summary // with all of them
}

// left is what is not written yet, in order.
func (s *saver) left() []Unsaved {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := make([]Unsaved, len(s.queue))
	for i, j := range s.queue {
		out[i] = Unsaved{j.id, j.recs, j.sum}
	}
	return out
}

// close writes what is left and reports what could not be written.
func (s *saver) close() error {
	s.mu.Lock()
	s.closing = true
	started := s.started
	s.mu.Unlock()
	if started {
		signal(s.wake)
		<-s.done
	}
	_, err := s.status()
	return err
}

func (s *saver) run() {
	defer close(s.done)
	for {
		s.mu.Lock()
		empty, closing := len(s.queue) == 0, s.closing
		var job saveJob
		if !empty {
			job = s.queue[0]
		}
		s.mu.Unlock()
		if empty {
			if closing {
				return
			}
			<-s.wake
			continue
		}
		err := s.journal.Append(job.id, job.recs, job.sum)
		s.mu.Lock()
		s.err = err
		if err == nil {
			s.queue = s.queue[1:]
			s.wakeIdle()
		}
		closing = s.closing
		s.mu.Unlock()
		s.changed()
		if err == nil {
			continue
		}
		if closing {
			return
		}
		select { // a full disk may be emptied: keep trying, in order
		case <-time.After(s.retry):
		case <-s.wake:
		}
	}
}
