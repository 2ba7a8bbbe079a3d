package base

import (
	"errors"
	"fmt"
	"slices"
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// record is what the store keeps besides the running day, as it was read last. It
// is read away from the screen; screens look it up here.
type record struct {
	RecordRead
	Rows    RowCache
	of      recordAt // when it was read
	Ready   bool     // at least once
	Changes int      // of what it says, that no event tells: days deleted, names put right
	Keeping bool     // Keep is at work, for the tests
}

// RecordRead is one reading of it; what could not be read has its error.
type RecordRead struct {
	Fleeces []shed.Fleece    // newest first
	Days    []ledger.Summary // newest first, with their rows
	Methods []shed.Method    // the person's own
	printed []tag.Printed

	NoFleeces, NoDays, noMethods, noPrinted error
}

// ReadRecord reads all of it, away from the screen.
func ReadRecord(j ledger.Journal, l ledger.Ledger, rows *RowCache) (r RecordRead) {
	r.Fleeces, r.NoFleeces = l.Fleeces()
	r.Days, r.NoDays = rows.Read(j)
	r.Methods, r.noMethods = l.Methods()
	r.printed, r.noPrinted = l.Printed()
	for i, f := range r.Fleeces {
		r.Fleeces[i] = f.Clean()
	}
	for i, m := range r.Methods {
		r.Methods[i] = m.Clean()
	}
	return r
}

// FollowRecord keeps Env's record as the store says it now, for a screen that
// shows some of it; then shows it anew.
func (e *Env) FollowRecord(r *Reader, s Screen, then func()) tea.Cmd {
	if now := e.RecordAt(); !r.asked && e.Record.Ready && e.Record.of == now { // it was read for whoever opened s
		*r = Reader{of: now, asked: true}
	}
	j, l, rows, at := e.Journal, e.Ledger, &e.Record.Rows, e.RecordAt()
	return Follow(r, s, e, func() (RecordRead, error) { return ReadRecord(j, l, rows), nil }, func(got RecordRead, _ error) {
		e.Record.Take(e, at, got)
		then()
	})
}

// WithRecord goes on with the record as it is now: at once if nothing has changed
// since it was read, else when it has been read again.
func (e *Env) WithRecord(s Screen, then func() tea.Cmd) tea.Cmd {
	j, l, rows, at := e.Journal, e.Ledger, &e.Record.Rows, e.RecordAt()
	if e.Record.Ready && e.Record.of == at {
		return then()
	}
	return Lead(s, e, func() (RecordRead, error) { return ReadRecord(j, l, rows), nil }, func(got RecordRead, _ error) tea.Cmd {
		e.Record.Take(e, at, got)
		return then()
	})
}

// Take keeps what was read; what was not stays as it was, is said, and is read again
// by the next who needs it.
func (r *record) Take(e *Env, at recordAt, got RecordRead) {
	was := r.RecordRead
	r.RecordRead, r.of, r.Ready = got, at, true
	if errors.Join(got.NoFleeces, got.NoDays, got.noMethods, got.noPrinted) != nil {
		r.of = recordAt{changes: -1}
	}
	if got.noMethods != nil {
		r.Methods = was.Methods
		e.Refuse(fmt.Errorf("your own methods couldn't be read: %w", got.noMethods))
	}
	if got.NoFleeces != nil {
		r.Fleeces = was.Fleeces
		e.Refuse(fmt.Errorf("the fleeces couldn't be read: %w", got.NoFleeces))
	}
	if got.NoDays != nil {
		r.Days = was.Days
		e.Refuse(fmt.Errorf("the days couldn't be read: %w", got.NoDays))
	}
}

// Keep writes into the store at once, in Update: a few kilobytes in one transaction,
// as long as an event takes (DEVELOPERS.md, Speed), and a form stays open with what
// was typed until it is safe. What reads, or may take longer, is done away.
func (e *Env) Keep(write func() error) error {
	e.Record.Keeping = true
	defer func() { e.Record.Keeping = false }()
	return write()
}

// PutFleece puts in a fleece that was saved: a new one before the others.
func (r *record) PutFleece(f shed.Fleece) {
	r.Fleeces = slices.Clone(r.Fleeces)
	if i := slices.IndexFunc(r.Fleeces, func(o shed.Fleece) bool { return o.ID == f.ID }); i >= 0 {
		r.Fleeces[i] = f
	} else {
		r.Fleeces = append([]shed.Fleece{f}, r.Fleeces...)
	}
}

// DropFleece takes a fleece out.
func (r *record) DropFleece(id string) {
	r.Fleeces = slices.DeleteFunc(slices.Clone(r.Fleeces), func(f shed.Fleece) bool { return f.ID == id })
}

// PutDay puts in a day that was entered from cards, for what is asked before it is read again.
func (r *record) PutDay(s ledger.Summary) {
	r.Changes++
	r.Days = ledger.InOrder(append(ledger.Other(r.Days, s.ID), s))
}

// PutMethod puts in a method that was saved: a new one behind the others.
func (r *record) PutMethod(m shed.Method) {
	r.Methods = slices.Clone(r.Methods)
	if i := slices.IndexFunc(r.Methods, func(o shed.Method) bool { return o.ID == m.ID }); i >= 0 {
		r.Methods[i] = m
	} else {
		r.Methods = append(r.Methods, m)
	}
}

// DropMethod takes a method out.
func (r *record) DropMethod(id string) {
	var kept []shed.Method
	for _, m := range r.Methods {
		if m.ID != id {
			kept = append(kept, m)
		}
	}
	r.Methods = kept
}

// RowCache keeps what a summary of an older version lacks, so that the events of
// its day are read once while the program runs.
type RowCache struct {
	mu   sync.Mutex
	Days map[shed.DayID]ledger.Summary
}

// forget lets all be read anew.
func (c *RowCache) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.Days = nil
}

// Read lists the days with their rows.
func (c *RowCache) Read(j ledger.Journal) ([]ledger.Summary, error) {
	days, err := j.Days(0)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	var missing []shed.DayID
	for i, s := range days {
		if !s.NeedsRows() {
			continue
		}
		if kept, ok := c.Days[s.ID]; ok {
			days[i].Rows, days[i].Sunk, days[i].Fleeces = kept.Rows, kept.Sunk, kept.Fleeces
		} else {
			missing = append(missing, s.ID)
		}
	}
	if err := ledger.FillRows(j, days); err != nil {
		return nil, err
	}
	if c.Days == nil {
		c.Days = map[shed.DayID]ledger.Summary{}
	}
	for _, s := range days {
		if slices.Contains(missing, s.ID) {
			c.Days[s.ID] = s
		}
	}
	return days, nil
}
