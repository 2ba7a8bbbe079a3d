package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Copy is a copy of the whole record, as its name tells of it.
type Copy struct {
	Path string
	At   time.Time // when it was made, by the clock there was, to the second
	Kind CopyKind
	Size int64 // bytes
}

// CopyKind is why a copy is kept.
type CopyKind int

// The kinds of copies.
const (
	Regular      CopyKind = iota // thinned with time
	BeforeLayout                 // made before the record was brought to another layout
	Harmed                       // of a record of which a part no longer read
)

// CopiesFolder is where the copies of the record at path lie.
func CopiesFolder(path string) string { return filepath.Join(filepath.Dir(path), "copies") }

// A name sorts by its moment, and has no sign that a stick's file system refuses.
const (
	copyBegins = "tubside-"
	copyMoment = "2006-01-02-150405"
	copyTemp   = ".tubside-copy-"
)

var copyNames = regexp.MustCompile(`^tubside-(\d{4}-\d\d-\d\d-\d{6})-UTC(-layout-\d+|-harmed)?\.db$`)

// copyKinds are the ends of names.
var copyKinds = map[CopyKind]string{Regular: "", BeforeLayout: "-layout-%d", Harmed: "-harmed"}

// Copies lists the copies in a folder, newest first. A folder that is not there has
// none; what has another name is not looked at.
func Copies(folder string) ([]Copy, error) {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("the copies in %s cannot be listed (%s)", folder, reason(err))
	}
	var out []Copy
	for _, e := range entries {
		m := copyNames.FindStringSubmatch(e.Name())
		if m == nil {
			continue
		}
		at, err := time.Parse(copyMoment, m[1])
		info, infoErr := e.Info()
		if err != nil || infoErr != nil || !info.Mode().IsRegular() {
			continue
		}
		c := Copy{Path: filepath.Join(folder, e.Name()), At: at, Size: info.Size()}
		switch {
		case m[2] == copyKinds[Harmed]:
			c.Kind = Harmed
		case m[2] != "":
			c.Kind = BeforeLayout
		}
		out = append(out, c)
	}
	slices.Reverse(out) // they came by their names
	return out, nil
}

// State is a number that grows with every write; 0 while nobody knows it.
func (s *Store) State() uint64 { return s.txid.Load() }

// StateOf is the state of the record in a file that nobody has open; 0 for none.
func StateOf(path string) uint64 {
	f, err := openRegular(path)
	if err != nil {
		return 0
	}
	defer func() { _ = f.Close() }() // only read
	h, err := newestHeader(f)
	if err != nil {
		return 0
	}
	return h.txid
}

// CopyInto makes a copy in folder and thins those that are there. The record is
// gathered in memory, as for Backup; then nothing of it waits. The copy gets its name
// when it has been read back from the disk and is whole, so that a file of that name
// always is. A record that itself no longer reads as a whole is copied as it is, under
// a name that says so, and no copy goes for it.
//
// Errors: sentences that say what to do; ErrUnreadable with a copy that was made of a
// record with a part that does not read.
func (s *Store) CopyInto(folder string, now time.Time) (Copy, error) {
	whole, err := s.content()
	if err != nil {
		return Copy{}, err
	}
	c, harm, err := writeCopy(folder, whole, roomLeft, now, Regular, "")
	if err != nil {
		return Copy{}, err
	}
	return c, errors.Join(harm, thinCopies(folder, Usually, c))
}

// CarryCopy copies a copy into another folder, which has to be there, and thins those
// that lie in it.
//
// Errors: sentences.
func CarryCopy(c Copy, folder string) (Copy, error) {
	if _, err := os.Stat(folder); err != nil {
		return Copy{}, copyError(folder, err)
	}
	b, err := os.ReadFile(c.Path)
	if err != nil {
		return Copy{}, copyError(c.Path, err)
	}
	_, ending, _ := strings.Cut(strings.TrimSuffix(filepath.Base(c.Path), ".db"), "-UTC")
	there, _, err := writeCopy(folder, b, roomLeftThere, c.At, c.Kind, ending)
	if err != nil {
		return Copy{}, err
	}
	return there, thinCopies(folder, Usually, there)
}

// copyError says why no copy is in folder.
func copyError(folder string, cause error) error {
	return &Error{Kind: ErrNotWritable, cause: cause,
		text: fmt.Sprintf("no copy could be made in %s (%s): make room there, or check that it can be written. The record itself is not touched by this", folder, reason(cause))}
}

// A copy leaves so much free of the record's own disk, which comes first, and of another.
const (
	roomLeft      = 32 << 20
	roomLeftThere = 1 << 20
)

func hasRoom(folder string, bytes uint64) bool {
	free, ok := roomIn(folder)
	return !ok || free >= bytes
}

var errNoRoom = errors.New("the disk is nearly full")

// writeCopy brings a copy into a folder, and leaves so many bytes free there; harm is what does not read in it.
func writeCopy(folder string, b []byte, leave uint64, at time.Time, kind CopyKind, ending string) (c Copy, harm, err error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return c, nil, copyError(folder, err)
	}
	dropTemps(folder)
	if !hasRoom(folder, uint64(len(b))+leave) {
		if err := thinCopies(folder, InNeed, Copy{}); err != nil {
			return c, nil, err
		}
		if !hasRoom(folder, uint64(len(b))+leave) {
			return c, nil, copyError(folder, errNoRoom)
		}
	}
	f, err := os.CreateTemp(folder, copyTemp+"*")
	if err != nil {
		return c, nil, copyError(folder, err)
	}
	tmp := f.Name()
	defer func() { _ = os.Remove(tmp) }()
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err == nil {
		forget(f)
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = sameBytes(tmp, b)
	}
	if err != nil {
		return c, nil, copyError(folder, err)
	}
	_, harm = Examine(tmp)
	if harm != nil && kind == Regular {
		kind, ending = Harmed, copyKinds[Harmed]
	}
	at = at.UTC().Truncate(time.Second)
	for {
		c = Copy{Path: filepath.Join(folder, copyBegins+at.Format(copyMoment)+"-UTC"+ending+".db"), At: at, Kind: kind, Size: int64(len(b))}
		if _, err := os.Lstat(c.Path); err != nil {
			break
		}
		at = at.Add(time.Second) // two in one second
	}
	if err := os.Rename(tmp, c.Path); err != nil {
		return c, nil, copyError(folder, err)
	}
	syncFolder(folder)
	return c, harm, nil
}

// sameBytes reads a file back.
func sameBytes(path string, want []byte) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { _ = f.Close() }() // only read
	buf := make([]byte, 1<<16)
	for {
		n, err := f.Read(buf)
		if n > len(want) || !bytes.Equal(buf[:n], want[:n]) {
			return errors.New("what was written reads back otherwise")
		}
		want = want[n:]
		if errors.Is(err, io.EOF) && len(want) == 0 {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// tempKeeps is how long a half-made copy is left alone: another machine may be making it.
const tempKeeps = 24 * time.Hour

// dropTemps takes away what a program that was killed has left.
func dropTemps(folder string) {
	left, _ := filepath.Glob(filepath.Join(folder, copyTemp+"*"))
	for _, path := range left {
		if info, err := os.Stat(path); err == nil && time.Since(info.ModTime()).Abs() > tempKeeps {
			_ = os.Remove(path)
		}
	}
}

// thinCopies takes away what Thin says. The copy just made stays, whatever the clock was.
func thinCopies(folder string, k Keep, made Copy) error {
	all, err := Copies(folder)
	if err != nil {
		return err
	}
	for _, c := range Thin(all, k) {
		if c.Path == made.Path {
			continue
		}
		if err := os.Remove(c.Path); err != nil {
			return fmt.Errorf("a copy that is no longer wanted cannot be removed: %s (%s)", c.Path, reason(err))
		}
	}
	return nil
}

// copyBefore keeps the record as it was before it is brought to another layout; once,
// however often that is tried.
func (s *Store) copyBefore(version uint64) error {
	had, _ := Copies(CopiesFolder(s.path)) // those that cannot be listed are not counted
	for _, c := range had {
		if c.Kind == BeforeLayout && StateOf(c.Path) == s.State() {
			return nil
		}
	}
	whole, err := s.content()
	if err != nil {
		return err
	}
	_, _, err = writeCopy(CopiesFolder(s.path), whole, roomLeft, time.Now(), BeforeLayout, fmt.Sprintf(copyKinds[BeforeLayout], version))
	return err
}

// Held is what a record holds.
type Held struct {
	Days, Batches, Fleeces int
	Open                   bool      // the last day has not ended
	LastAt                 time.Time // when the last day began; zero without one
	LastFleeces            []string  // of the last day, by their titles
	LastEvents             int       // of the last day
}

// Examine reads all of the record in a file that nobody has open, without changing it,
// and says what it holds: whether each value is as it was written, by its sum. Where a
// part does not read, Held is what could be told.
//
// Errors: those of Open, and ErrUnreadable.
func Examine(path string) (Held, error) {
	var h Held
	s, err := Peek(path)
	if err != nil {
		return h, err
	}
	days, _ := s.Days(0) // what does not read is said by Check
	fleeces, _ := s.Fleeces()
	h.Days, h.Fleeces = len(days), len(fleeces)
	for i, d := range days {
		h.Batches += d.Batches
		if i == 0 {
			h.Open, h.LastAt, h.LastFleeces = d.EndedAt.IsZero(), d.StartedAt, d.Fleeces
			events, _ := s.Events(d.ID)
			h.LastEvents = len(events)
		}
	}
	var rep Report
	content, head, err := snapshot(path)
	if err == nil {
		rep, err = checkContent(path, content, head, false)
	}
	return h, errors.Join(err, rep.orHarm(path), s.Close())
}
