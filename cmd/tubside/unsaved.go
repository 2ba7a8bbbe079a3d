package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"time"

	"fleece.example/tubside/cmd/tubside/exchange"
	"fleece.example/tubside/session/measure"
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
// of some folders that takes it, in the form that import reads. Its name begins as given.
func keepElsewhere(begin string, from exchange.Source, unsaved []keep.Unsaved, folders []string, now time.Time) (path string, err error) {
	for _, dir := range folders {
		if dir == "" {
			continue
		}
		path = filepath.Join(dir, begin+now.UTC().Format("2006-01-02-150405")+".json")
		if err = intoNewFile(path, func(w io.Writer) error { return exchange.WriteJSON(w, withUnsaved{from, unsaved}) }); err == nil {
			return path, nil
		}
		if errors.Is(err, store.ErrDamaged) {
			break // no other place reads it either
		}
	}
	return "", err
}

// Files of what was not saved. Those of a record as a whole have its mark behind that, and the
// next start takes them in, or leaves them out; then they get another name.
const (
	unsavedName = "tubside-unsaved-"
	takenName   = "tubside-taken-in-"
	leftName    = "tubside-left-out-"
)

// unsavedOf is how the name of such a file of this record begins.
func (o *options) unsavedOf() string {
	path, err := filepath.Abs(o.file())
	if err != nil {
		path = o.file()
	}
	return fmt.Sprintf("%s%08x-", unsavedName, crc32.ChecksumIEEE([]byte(path)))
}

// takeUnsaved takes in what an earlier run could not save, from the data folder and the home
// folder: a folder that others write to is not looked at. What cannot be taken in is left out
// where goOn says so: once the day goes on here, it fits no more. It says what it took in.
//
// Errors: what goOn returns; store.ErrConflict and its like where that says no.
func (o *options) takeUnsaved(s *store.Store, goOn func(cause error) (bool, error)) (took string, err error) {
	home, _ := os.UserHomeDir() // "" is skipped
	for _, dir := range []string{o.folder(), home} {
		entries, err := os.ReadDir(dir)
		if err != nil {
			continue // no file is known to be there
		}
		for _, e := range entries { // the oldest first, by their names
			if ours, _ := filepath.Match(o.unsavedOf()+"*", e.Name()); !ours {
				continue
			}
			path, name := filepath.Join(dir, e.Name()), takenName
			n, err := mergeFile(s, path)
			if err != nil {
				name = leftName
				if errors.Is(err, store.ErrSave) { // it fits still: once there is room
					name = unsavedName
				}
				if yes, askErr := goOn(fmt.Errorf("what could not be saved is in %s, and cannot be taken in: %w", path, err)); askErr != nil || !yes {
					return "", cmp.Or(askErr, errNotStarted)
				}
			}
			if n > 0 { // else it was put back by hand
				took = fmt.Sprintf("What could not be saved before was taken in from %s: %s.", path, measure.Counted(n, "event", "events"))
			}
			// Where it cannot be renamed it is taken in again, which changes nothing.
			_ = os.Rename(path, filepath.Join(dir, name+e.Name()[len(unsavedName):]))
		}
	}
	return took, nil
}

var errNotStarted = errors.New("nothing was started")

// mergeFile takes in an export, and says how many events that brought.
func mergeFile(s *store.Store, path string) (events int, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer func() { _ = f.Close() }() // only read
	c, days, err := exchange.Read(f)
	if err != nil {
		return 0, err
	}
	c.Kit, c.Sure = nil, true // the kit may have been changed since; the moments are this machine's
	m, err := s.Merge(c, days, false)
	return m.Events, err
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
	path, err := keepElsewhere(l.o.unsavedOf(), l.record, left, l.folders, now)
	if err == nil {
		return fmt.Errorf("%s: %w. The whole record, with it, is in %s: once the disk takes writes again, %s", what, cause, path, l.takesIn(path))
	}
	days := append(l.seen.all(), left...)
	if len(days) == 0 {
		return fmt.Errorf("%s: %w", what, cause)
	}
	base, of := l.newestCopy()
	path, err = keepElsewhere(unsavedName, base, days, l.folders, now)
	if err != nil {
		return fmt.Errorf("%s: %w. No other place took it (%w)", what, cause, err)
	}
	return fmt.Errorf("%s: %w. The days written to since this start%s are in %s: move %s away, then `%s` takes them in", what, cause, of, path, l.o.file(), l.o.command("import", "--new", path))
}

// takesIn says how what is in a file at path comes into the record: the next start does not look
// where others can write to.
func (l leaving) takesIn(path string) string {
	if filepath.Dir(path) == os.TempDir() {
		return "`" + l.o.command("import", path) + "` takes it in, before you start tubside again"
	}
	return "the next start takes it in"
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
			k, _, _ := store.PeekKit(c.Path)
			return s, ", with the record as it was copied at " + k.Units.Moment(c.At.Local(), "15:04 on 2 January 2006") + ","
		}
	}
	rest := whatIsWhole{l.record}
	if rest.Read(func(store.Contents) error { return nil }, func(store.DayContents) error { return nil }) == nil {
		return rest, ", with what is whole of the record,"
	}
	return noRecord{}, ""
}
