package tui

import (
	"fmt"
	"slices"
	"sync"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// record is what the store keeps besides the running day, as it was read last. It
// is read away from the screen; screens look it up here.
type record struct {
	rows    rowCache
	ready   bool // read at least once
	fleeces []session.Fleece
	days    []session.DaySummary // newest first, with their rows
}

// recordRead is one reading of it; what could not be read has its error.
type recordRead struct {
	fleeces             []session.Fleece
	days                []session.DaySummary
	fleecesErr, daysErr error
}

// followRecord keeps env's record as the store says it now, for a screen that
// shows some of it; then shows it anew.
func (e *env) followRecord(r *reader, s screen, then func()) tea.Cmd {
	j, l, rows := e.Journal, e.Ledger, &e.record.rows
	return follow(r, s, e, func() (recordRead, error) {
		var got recordRead
		got.fleeces, got.fleecesErr = l.Fleeces()
		got.days, got.daysErr = rows.read(j)
		for i, f := range got.fleeces {
			got.fleeces[i] = f.Clean()
		}
		return got, nil
	}, func(got recordRead, _ error) {
		e.record.take(e, got)
		then()
	})
}

// take keeps what was read; what was not stays as it was.
func (r *record) take(e *env, got recordRead) {
	r.ready = true
	if got.fleecesErr == nil {
		r.fleeces = got.fleeces
	}
	if got.daysErr == nil {
		r.days = got.days
	}
	for _, x := range []struct {
		what string
		err  error
	}{{"fleeces", got.fleecesErr}, {"days", got.daysErr}} {
		if x.err != nil {
			e.refuse(fmt.Errorf("the %s could not be read: %w", x.what, x.err))
		}
	}
}

// putFleece puts in a fleece that was saved: a new one before the others.
func (r *record) putFleece(f session.Fleece) {
	r.fleeces = slices.Clone(r.fleeces)
	if i := slices.IndexFunc(r.fleeces, func(o session.Fleece) bool { return o.ID == f.ID }); i >= 0 {
		r.fleeces[i] = f
	} else {
		r.fleeces = slices.Insert(r.fleeces, 0, f)
	}
}

func (r *record) dropFleece(id string) {
	r.fleeces = slices.DeleteFunc(slices.Clone(r.fleeces), func(f session.Fleece) bool { return f.ID == id })
}

// rowCache keeps what a summary of an older version lacks, so that the events of
// its day are read once while the program runs.
type rowCache struct {
	mu   sync.Mutex
	days map[session.DayID]session.DaySummary
}

// forget lets all be read anew.
func (c *rowCache) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.days = nil
}

// read lists the days with their rows.
func (c *rowCache) read(j session.Journal) ([]session.DaySummary, error) {
	days, err := j.Days(0)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	var missing []session.DayID
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
	if err := session.FillRows(j, days); err != nil {
		return nil, err
	}
	if c.days == nil {
		c.days = map[session.DayID]session.DaySummary{}
	}
	for _, s := range days {
		if slices.Contains(missing, s.ID) {
			c.days[s.ID] = s
		}
	}
	return days, nil
}
