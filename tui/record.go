package tui

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
	recordRead
	rows    rowCache
	of      recordAt // when it was read
	ready   bool     // at least once
	changes int      // of what it says, that no event tells: days deleted, names put right
	keeping bool     // in keep, for the tests
}

// recordRead is one reading of it; what could not be read has its error.
type recordRead struct {
	fleeces []shed.Fleece    // newest first
	days    []ledger.Summary // newest first, with their rows
	methods []shed.Method    // the person's own
	printed []tag.Printed

	noFleeces, noDays, noMethods, noPrinted error
}

func readRecord(j ledger.Journal, l ledger.Ledger, rows *rowCache) (r recordRead) {
	r.fleeces, r.noFleeces = l.Fleeces()
	r.days, r.noDays = rows.read(j)
	r.methods, r.noMethods = l.Methods()
	r.printed, r.noPrinted = l.Printed()
	for i, f := range r.fleeces {
		r.fleeces[i] = f.Clean()
	}
	for i, m := range r.methods {
		r.methods[i] = m.Clean()
	}
	return r
}

// followRecord keeps env's record as the store says it now, for a screen that
// shows some of it; then shows it anew.
func (e *env) followRecord(r *reader, s screen, then func()) tea.Cmd {
	if now := e.recordAt(); !r.asked && e.record.ready && e.record.of == now { // it was read for whoever opened s
		*r = reader{of: now, asked: true}
	}
	j, l, rows, at := e.Journal, e.Ledger, &e.record.rows, e.recordAt()
	return follow(r, s, e, func() (recordRead, error) { return readRecord(j, l, rows), nil }, func(got recordRead, _ error) {
		e.record.take(e, at, got)
		then()
	})
}

// withRecord goes on with the record as it is now: at once if nothing has changed
// since it was read, else when it has been read again.
func (e *env) withRecord(s screen, then func() tea.Cmd) tea.Cmd {
	j, l, rows, at := e.Journal, e.Ledger, &e.record.rows, e.recordAt()
	if e.record.ready && e.record.of == at {
		return then()
	}
	return lead(s, e, func() (recordRead, error) { return readRecord(j, l, rows), nil }, func(got recordRead, _ error) tea.Cmd {
		e.record.take(e, at, got)
		return then()
	})
}

// take keeps what was read; what was not stays as it was, is said, and is read again
// by the next who needs it.
func (r *record) take(e *env, at recordAt, got recordRead) {
	was := r.recordRead
	r.recordRead, r.of, r.ready = got, at, true
	if errors.Join(got.noFleeces, got.noDays, got.noMethods, got.noPrinted) != nil {
		r.of = recordAt{changes: -1}
	}
	if got.noMethods != nil {
		r.methods = was.methods
		e.refuse(fmt.Errorf("your own methods could not be read: %w", got.noMethods))
	}
	if got.noFleeces != nil {
		r.fleeces = was.fleeces
		e.refuse(fmt.Errorf("the fleeces could not be read: %w", got.noFleeces))
	}
	if got.noDays != nil {
		r.days = was.days
		e.refuse(fmt.Errorf("the days could not be read: %w", got.noDays))
	}
}

// keep writes into the store at once, in Update: a few kilobytes in one transaction,
// as long as an event takes (DEVELOPERS.md, Speed), and a form stays open with what
// was typed until it is safe. What reads, or may take longer, is done away.
func (e *env) keep(write func() error) error {
	e.record.keeping = true
	defer func() { e.record.keeping = false }()
	return write()
}

// putFleece puts in a fleece that was saved: a new one before the others.
func (r *record) putFleece(f shed.Fleece) {
	r.fleeces = slices.Clone(r.fleeces)
	if i := slices.IndexFunc(r.fleeces, func(o shed.Fleece) bool { return o.ID == f.ID }); i >= 0 {
		r.fleeces[i] = f
	} else {
		r.fleeces = slices.Insert(r.fleeces, 0, f)
	}
}

func (r *record) dropFleece(id string) {
	r.fleeces = slices.DeleteFunc(slices.Clone(r.fleeces), func(f shed.Fleece) bool { return f.ID == id })
}

func (r *record) putMethod(m shed.Method) {
	r.methods = slices.Clone(r.methods)
	if i := slices.IndexFunc(r.methods, func(o shed.Method) bool { return o.ID == m.ID }); i >= 0 {
		r.methods[i] = m
	} else {
		r.methods = append(r.methods, m)
	}
}

func (r *record) dropMethod(id string) {
	r.methods = slices.DeleteFunc(slices.Clone(r.methods), func(m shed.Method) bool { return m.ID == id })
}

// rowCache keeps what a summary of an older version lacks, so that the events of
// its day are read once while the program runs.
type rowCache struct {
	mu   sync.Mutex
	days map[shed.DayID]ledger.Summary
}

// forget lets all be read anew.
func (c *rowCache) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.days = nil
}

// read lists the days with their rows.
func (c *rowCache) read(j ledger.Journal) ([]ledger.Summary, error) {
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
		if kept, ok := c.days[s.ID]; ok {
			days[i].Rows, days[i].Sunk, days[i].Fleeces = kept.Rows, kept.Sunk, kept.Fleeces
		} else {
			missing = append(missing, s.ID)
		}
	}
	if err := ledger.FillRows(j, days); err != nil {
		return nil, err
	}
	if c.days == nil {
		c.days = map[shed.DayID]ledger.Summary{}
	}
	for _, s := range days {
		if slices.Contains(missing, s.ID) {
			c.days[s.ID] = s
		}
	}
	return days, nil
}
