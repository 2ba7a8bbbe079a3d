package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
	"fleece.example/tubside/tui/keep"
)

// withUnsaved is the record together with what the disk has not taken.
type withUnsaved struct {
	from    exchange.Source
	unsaved []keep.Unsaved
}

func (u withUnsaved) Read(head func(store.Contents) error, day func(store.DayContents) error) error {
	seen := map[shed.DayID]bool{}
	err := u.from.Read(func(c store.Contents) error {
		for _, x := range u.unsaved {
			c.LastDay = max(c.LastDay, uint64(x.Day))
		}
		return head(c)
	}, func(d store.DayContents) error {
		seen[d.ID] = true
		if err := u.add(&d); err != nil {
			return err
		}
		return day(d)
	})
	for _, x := range u.unsaved {
		if err != nil || seen[x.Day] {
			continue
		}
		seen[x.Day] = true
		d := store.DayContents{ID: x.Day}
		if err = u.add(&d); err == nil && len(d.Events) > 0 {
			err = day(d)
		}
	}
	return err
}

// add puts what is unsaved of a day behind what is saved of it.
func (u withUnsaved) add(d *store.DayContents) error {
	for _, x := range u.unsaved {
		if x.Day != d.ID {
			continue
		}
		for _, r := range x.Events {
			if r.Seq != uint64(len(d.Events))+1 {
				continue // it did reach the file, or what comes before it is nowhere
			}
			v, err := json.Marshal(r)
			if err != nil {
				return err
			}
			d.Events = append(d.Events, v)
		}
		v, err := json.Marshal(x.Summary)
		if err != nil {
			return err
		}
		d.Summary = v
	}
	return nil
}

// keepElsewhere writes the record with what is unsaved into a new file in the first
// of some folders that takes it, in the form that import reads.
func keepElsewhere(from exchange.Source, unsaved []keep.Unsaved, folders []string, now time.Time) (path string, err error) {
	for _, dir := range folders {
		if dir == "" {
			continue
		}
		path = filepath.Join(dir, "tubside-unsaved-"+now.UTC().Format("2006-01-02-150405")+".json")
		if err = intoNewFile(path, func(w io.Writer) error { return exchange.WriteJSON(w, withUnsaved{from, unsaved}) }); err == nil {
			return path, nil
		}
		if errors.Is(err, store.ErrDamaged) {
			break // no other place reads it either
		}
	}
	return "", err
}

// elsewhere are the folders that may take what the data folder does not.
func elsewhere(data string) []string {
	home, _ := os.UserHomeDir() // "" is skipped
	return []string{data, home, os.TempDir()}
}

// leaving is what the end needs to bring to another place what is not saved.
type leaving struct {
	record  exchange.Source
	seen    *seenJournal
	o       *options
	folders []string // that may take it
}

// unsaved writes the record with what is not saved elsewhere, and says why and where.
// Of a file that no longer reads the days are written that were seen in this run.
func (l leaving) unsaved(cause error, left []keep.Unsaved, now time.Time) error {
	n := 0
	for _, x := range left {
		n += len(x.Events)
	}
	what := fmt.Sprintf("the last %d events of this day are not saved", n)
	switch n {
	case 0:
		what = "what was saved can no longer be read"
	case 1:
		what = "the last event of this day is not saved"
	}
	path, err := keepElsewhere(l.record, left, l.folders, now)
	if err == nil {
		return fmt.Errorf("%s: %w. The whole record, with it, is in %s: once the disk takes writes again, `%s` puts it back", what, cause, path, l.o.command("import", path))
	}
	days := append(l.seen.all(), left...)
	if len(days) == 0 {
		return fmt.Errorf("%s: %w", what, cause)
	}
	base, of := l.newestCopy()
	path, err = keepElsewhere(base, days, l.folders, now)
	if err != nil {
		return fmt.Errorf("%s: %w. No other place took it (%w)", what, cause, err)
	}
	return fmt.Errorf("%s: %w. The days written to since this start%s are in %s: move %s away, then `%s` takes them in", what, cause, of, path, l.o.file(), l.o.command("import", "--new", path))
}

// whatIsWhole is a record without what is damaged of it.
type whatIsWhole struct{ record exchange.Source }

func (w whatIsWhole) Read(head func(store.Contents) error, day func(store.DayContents) error) error {
	s, ok := w.record.(interface {
		ReadWhole(func(store.Contents) error, func(store.DayContents) error) error
	})
	if !ok {
		return store.ErrDamaged
	}
	return s.ReadWhole(head, day)
}

// newestCopy is the last whole copy of the record, and the words for it; where there is
// none what is whole of the record, or an empty one.
func (l leaving) newestCopy() (from exchange.Source, words string) {
	all, _ := store.Copies(store.CopiesFolder(l.o.file())) // without them the days alone are kept
	for _, c := range all {
		if _, err := store.Examine(c.Path); err != nil {
			continue
		}
		if s, err := store.Peek(c.Path); err == nil {
			return s, ", with the record as it was copied at " + c.At.Local().Format("15:04 on 2 January 2006") + ","
		}
	}
	rest := whatIsWhole{l.record}
	if rest.Read(func(store.Contents) error { return nil }, func(store.DayContents) error { return nil }) == nil {
		return rest, ", with what is whole of the record,"
	}
	return noRecord{}, ""
}
