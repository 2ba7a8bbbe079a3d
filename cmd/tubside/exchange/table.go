package exchange

import (
	"bufio"
	"io"
	"runtime"
	"slices"
	"sync"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// Days are wash days that can be read; session.Journal is them, and so is
// *store.Store. Its methods are called from several goroutines.
type Days interface {
	Days(limit int) ([]ledger.Summary, error)
	Day(id shed.DayID) (session.Day, error)
}

// outliner is a store that can leave out what a table does not need.
type outliner interface {
	Outline(id shed.DayID) (session.Day, error)
}

// found is what has become of one day.
type found struct {
	rows [][]string
	err  error
}

// WriteCSV writes the batches of all days as a table, the oldest day first;
// dates are those of zone. Reading a day back from its events is what takes the
// time, so as many days are read at once as there are processors.
//
// Errors: those of Days and of RowsOf, or what w returns, wrapped.
func WriteCSV(w io.Writer, from Days, zone *time.Location) error {
	read := from.Day
	if o, ok := from.(outliner); ok {
		read = o.Outline
	}
	var once sync.Once
	var before ledger.BatchesBefore
	return write(w, from, Columns(), func(days []ledger.Summary, id shed.DayID) ([][]string, error) {
		d, err := read(id)
		if err != nil {
			return nil, err
		}
		rows, err := RowsOf(id, d, zone)
		once.Do(func() { before = ledger.WashedAgain(days) })
		for i := range rows {
			rows[i].Later = before.Has(id, rows[i].Batch.ID)
			again := rows[i].Batch.Again.Day
			rows[i].Before = again != 0 && slices.ContainsFunc(days, func(s ledger.Summary) bool { return s.ID == again })
		}
		return cells(columns, rows), err
	})
}

// WriteBaths writes the baths of all days with their readings, likewise.
//
// Errors: those of WriteCSV.
func WriteBaths(w io.Writer, from Days, zone *time.Location) error {
	return write(w, from, names(bathColumns), func(_ []ledger.Summary, id shed.DayID) ([][]string, error) {
		d, err := from.Day(id)
		return cells(bathColumns, bathRows(id, d, zone)), err
	})
}

// write writes the table of all days, each by rowsOf.
func write(w io.Writer, from Days, head []string, rowsOf func([]ledger.Summary, shed.DayID) ([][]string, error)) error {
	days, err := from.Days(0)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	t := newTable(out)
	if err := t.Write(head); err != nil {
		return tableError(err)
	}
	slices.Reverse(days)
	queue, stop := make(chan chan found, runtime.GOMAXPROCS(0)-1), make(chan struct{})
	var working sync.WaitGroup
	defer working.Wait()
	defer close(stop)
	working.Go(func() {
		defer close(queue)
		for _, sum := range days {
			c := make(chan found, 1)
			select {
			case queue <- c: // its room bounds how many are read at once
			case <-stop:
				return
			}
			working.Go(func() {
				rows, err := rowsOf(days, sum.ID)
				c <- found{rows, err}
			})
		}
	})
	for c := range queue {
		f := <-c
		if f.err != nil {
			return f.err
		}
		if err := t.WriteAll(f.rows); err != nil {
			return tableError(err)
		}
	}
	return tableError(out.Flush())
}
