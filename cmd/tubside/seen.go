package main

import (
	"sort"
	"sync"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
)

// seenJournal remembers the days that are written to, with all their events: should the
// file be lost while it is open, the day is still here.
type seenJournal struct {
	ledger.Journal

	mu   sync.Mutex
	days map[shed.DayID]keep.Unsaved
}

// Append saves as the journal does, and remembers what it took.
func (j *seenJournal) Append(id shed.DayID, events []session.Recorded, sum ledger.Summary) error {
	if len(events) == 0 {
		return j.Journal.Append(id, events, sum)
	}
	d := j.day(id, events[0].Seq)
	if err := j.Journal.Append(id, events, sum); err != nil {
		return err
	}
	d.Events, d.Summary = append(d.Events, events...), sum
	j.mu.Lock()
	defer j.mu.Unlock()
	j.days[id] = d
	return nil
}

// day is what was seen of a day; of one that is gone on with, what the file has of it.
func (j *seenJournal) day(id shed.DayID, next uint64) keep.Unsaved {
	j.mu.Lock()
	defer j.mu.Unlock()
	d, seen := j.days[id]
	file, ok := j.Journal.(interface {
		Events(shed.DayID) ([]session.Recorded, error)
	})
	if !seen && next > 1 && ok {
		d.Events, _ = file.Events(id) // without them what comes is all there is
	}
	d.Day = id
	return d
}

// DeleteDay removes a day as the journal does.
func (j *seenJournal) DeleteDay(id shed.DayID) error {
	err := j.Journal.DeleteDay(id)
	if err == nil {
		j.mu.Lock()
		delete(j.days, id)
		j.mu.Unlock()
	}
	return err
}

// all are the days that were written to, in order.
func (j *seenJournal) all() []keep.Unsaved {
	j.mu.Lock()
	defer j.mu.Unlock()
	var out []keep.Unsaved
	for _, d := range j.days {
		out = append(out, d)
	}
	sort.Slice(out, func(a, b int) bool { return out[a].Day < out[b].Day })
	return out
}

// noRecord is a record without anything, to put days behind.
type noRecord struct{}

func (noRecord) Read(head func(store.Contents) error, _ func(store.DayContents) error) error {
	return head(store.Contents{})
}
