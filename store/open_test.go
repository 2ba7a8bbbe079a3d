package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session/must"
)

func TestOpenMakesFoldersAndOneFile(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "state", "tubside")
	path := filepath.Join(dir, "wash.db")
	s := must.Get(Open(path)).In(t)
	defer checkAndClose(t, s)
	if s.Path() != path {
		t.Errorf("path %q, want %q", s.Path(), path)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v (%v), want the one file", entries, err)
	}
	if os.PathSeparator != '/' {
		return // modes of files are a thing of Unix
	}
	for p, want := range map[string]os.FileMode{dir: 0o700, path: 0o600} {
		if info, err := os.Stat(p); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s: mode %v (%v), want %v", p, info.Mode().Perm(), err, want)
		}
	}
}

func TestOpenMakesPathAbsolute(t *testing.T) {
	t.Chdir(t.TempDir())
	s := must.Get(Open("wash.db")).In(t)
	defer checkAndClose(t, s)
	if !filepath.IsAbs(s.Path()) {
		t.Errorf("path %q is not absolute", s.Path())
	}
}

func TestOpenInUse(t *testing.T) {
	s := newStore(t)
	start := time.Now()
	_, err := Open(s.Path())
	wantSentence(t, err, ErrInUse, s.Path(), "another window")
	if took := time.Since(start); took > time.Second {
		t.Errorf("it took %v to say so", took)
	}
	startDay(t, s, 2) // the first window goes on undisturbed
}

// Several windows started at the same moment, with no file there yet: one gets
// it, and none of the others takes the half-made file for a damaged one.
func TestFirstOpenAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new", "wash.db")
	var wg sync.WaitGroup
	stores, errs := make([]*Store, 4), make([]error, 4)
	for i := range stores {
		wg.Go(func() { stores[i], errs[i] = Open(path) })
	}
	wg.Wait()
	got := 0
	for i, s := range stores {
		if s != nil {
			got++
			checkAndClose(t, s)
		} else if !errors.Is(errs[i], ErrInUse) {
			t.Errorf("window %d: %v", i, errs[i])
		}
	}
	if got != 1 {
		t.Errorf("%d windows have the file", got)
	}
}

// wantSentence checks the kind of an error, and that its text is fit for a person.
func wantSentence(t *testing.T, err, kind error, parts ...string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || !errors.Is(err, kind) {
		t.Fatalf("error %v, want one of the kind %q", err, kind)
	}
	for _, p := range parts {
		if !strings.Contains(err.Error(), p) {
			t.Errorf("the sentence %q does not say %q", err, p)
		}
	}
	for _, word := range []string{"bolt", "panic", "nil", "\n"} {
		if strings.Contains(paths.ReplaceAllString(err.Error(), ""), word) {
			t.Errorf("the sentence %q says %q", err, word)
		}
	}
}

var paths = regexp.MustCompile(regexp.QuoteMeta(os.TempDir()) + `\S*`)

// sample is the content of a sound file with a few days, closed.
func sample(t *testing.T) []byte {
	t.Helper()
	s := newStore(t)
	for range 30 {
		wholeDay(t, s, 40)
	}
	startDay(t, s, 25)
	checkAndClose(t, s)
	content := must.Get(os.ReadFile(s.Path())).In(t)
	return content
}

// usedPages is how many pages of a sound file hold something.
func usedPages(t *testing.T, content []byte) (pages, size int) {
	t.Helper()
	h := must.Get(newestHeader(bytes.NewReader(content))).In(t)
	return int(h.pages), int(h.pageSize)
}

func TestOpenLeavesOtherFilesAlone(t *testing.T) {
	whole := sample(t)
	pages, size := usedPages(t, whole)
	noHeaders := bytes.Clone(whole)
	clear(noHeaders[:2*size])
	badSums := bytes.Clone(whole)
	badSums[headerAt+20]++
	badSums[size+headerAt+20]++
	text := []byte(strings.Repeat("Bramble, 2.1 kg, waxy at the britch\n", 400))

	for name, content := range map[string][]byte{
		"empty":                {},
		"one byte":             {0},
		"short text":           []byte("note to self: buy scour\n"),
		"text":                 text,
		"zeros, short":         make([]byte, 100),
		"zeros":                make([]byte, 64<<10),
		"first page only":      whole[:size],
		"two pages":            whole[:2*size],
		"half a page":          whole[:size/2],
		"half the file":        whole[:pages*size/2],
		"last page missing":    whole[:(pages-1)*size],
		"last byte missing":    whole[:pages*size-1],
		"no headers":           noHeaders,
		"both headers altered": badSums,
		"shifted by a byte":    append([]byte{7}, whole...),
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "wash.db")
			must.Do(t, os.WriteFile(path, content, 0o600))
			for range 2 { // the second time: no lock is left behind
				_, err := Open(path)
				wantSentence(t, err, ErrDamaged, path, "left as it is")
			}
			wantUnchanged(t, path, content)
		})
	}
}

func wantUnchanged(t *testing.T, path string, content []byte) {
	t.Helper()
	now, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(now, content) {
		t.Errorf("the file has changed: %d bytes, were %d (%v)", len(now), len(content), err)
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool {
		return e.Name() == "copies" || e.Name() == filepath.Base(markPath(path))
	})
	if err != nil || len(entries) != 1 {
		t.Errorf("something was left beside the file: %v (%v)", entries, err)
	}
}

// One sound header is enough: the other may have been torn by a power cut.
func TestOpenWithOneSoundHeader(t *testing.T) {
	whole := sample(t)
	_, size := usedPages(t, whole)
	for i, name := range []string{"first", "second"} {
		t.Run(name+" torn", func(t *testing.T) {
			content := bytes.Clone(whole)
			clear(content[i*size+headerAt+8 : (i+1)*size])
			path := filepath.Join(t.TempDir(), "wash.db")
			must.Do(t, os.WriteFile(path, content, 0o600))
			s := must.Get(Open(path)).In(t)
			defer func() { _ = s.Close() }()
			if id, ok, err := s.OpenDay(); err != nil || ok && id != 31 {
				t.Errorf("open day %d %v (%v)", id, ok, err)
			}
			if days, err := s.Days(0); err != nil || len(days) < 30 {
				t.Errorf("%d days (%v)", len(days), err)
			}
		})
	}
}

// A list of free pages that does not read stops bbolt in the middle of opening;
// no lock may stay behind, or the person is told of another window.
func TestOpenWithDamagedFreePages(t *testing.T) {
	content := sample(t)
	h := must.Get(newestHeader(bytes.NewReader(content))).In(t)
	at := int(h.freelist) * int(h.pageSize)
	clear(content[at : at+int(h.pageSize)])
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	for range 3 {
		_, err := Open(path)
		wantSentence(t, err, ErrDamaged, path, "left as it is")
	}
	wantUnchanged(t, path, content)
}

// A link that leads nowhere is not filled: where it leads may be a stick that
// is not plugged in.
func TestOpenLinkToNowhere(t *testing.T) {
	dir := t.TempDir()
	target, path := filepath.Join(dir, "away", "wash.db"), filepath.Join(dir, "wash.db")
	must.Do(t, os.Mkdir(filepath.Dir(target), 0o700))
	if err := os.Symlink(target, path); err != nil {
		t.Skip("no links here")
	}
	_, err := Open(path)
	wantSentence(t, err, ErrNotWritable, path)
	if _, err := os.Stat(target); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file was made at the end of the link (%v)", err)
	}
}

func TestOpenFolderInItsPlace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.Mkdir(path, 0o700))
	_, err := Open(path)
	wantSentence(t, err, ErrDamaged, path, "a folder")
}

func TestOpenUnderAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "fleeces.txt")
	must.Do(t, os.WriteFile(file, []byte("Bramble\n"), 0o600))
	path := filepath.Join(file, "wash.db")
	_, err := Open(path)
	wantSentence(t, err, ErrNotWritable, path)
}

func TestOpenNotWritable(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("this user may write everywhere")
	}
	s := newStore(t)
	must.Do(t, s.Close())
	must.Do(t, os.Chmod(s.Path(), 0o400))
	_, err := Open(s.Path())
	wantSentence(t, err, ErrNotWritable, s.Path(), "permission denied")

	dir := filepath.Join(t.TempDir(), "locked")
	must.Do(t, os.Mkdir(dir, 0o500))
	_, err = Open(filepath.Join(dir, "wash.db"))
	wantSentence(t, err, ErrNotWritable, dir)
	_, err = Open(filepath.Join(dir, "deeper", "wash.db"))
	wantSentence(t, err, ErrNotWritable, dir)
}

// A sound file of the same kind of store, made by another program.
func TestOpenForeignStore(t *testing.T) {
	for name, opts := range map[string]*bolt.Options{
		"usual": nil, "without free pages": {NoFreelistSync: true},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "other.db")
			db, err := bolt.Open(path, 0o600, opts)
			if err != nil {
				t.Fatal(err)
			}
			err = db.Update(func(tx *bolt.Tx) error {
				_, err := tx.CreateBucket([]byte("recipes"))
				return err
			})
			must.Do(t, errors.Join(err, db.Close()))
			content := must.Get(os.ReadFile(path)).In(t)
			_, err = Open(path)
			wantSentence(t, err, ErrDamaged, path, "another program")
			wantUnchanged(t, path, content)
		})
	}
}

func TestOpenLeavesASoundFileAsItIs(t *testing.T) {
	content := sample(t)
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	checkAndClose(t, reopen(t, path))
	wantUnchanged(t, path, content)
}

func TestAfterClose(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 1)
	for range 2 {
		must.Do(t, s.Close())
	}
	_, err := s.Events(id)
	wantSentence(t, err, ErrClosed, s.Path())
	wantSentence(t, s.Append(id, notes(2, 2), running(id)), ErrClosed, s.Path())
	wantSentence(t, s.Backup(&bytes.Buffer{}), ErrClosed)
}

func TestBackup(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 3)
	stop := make(chan struct{})
	var wg sync.WaitGroup
	wg.Go(func() { // the day goes on while the copy is made
		for n := uint64(4); ; n++ {
			select {
			case <-stop:
				return
			default:
			}
			if err := s.Append(id, notes(n, n), running(id)); err != nil {
				t.Errorf("append %d: %v", n, err)
				return
			}
		}
	})
	for i := range 5 {
		path := filepath.Join(t.TempDir(), "copy.db")
		var b bytes.Buffer
		must.Do(t, s.Backup(&b))
		must.Do(t, os.WriteFile(path, b.Bytes(), 0o600))
		c := reopen(t, path)
		got, err := c.Events(id)
		if err != nil || len(got) < 3 {
			t.Fatalf("copy %d: %d events (%v)", i, len(got), err)
		}
		wantEvents(t, c, id, notes(1, uint64(len(got))))
	}
	close(stop)
	wg.Wait()

	if err := s.Backup(brokenWriter{}); !errors.Is(err, errStick) {
		t.Errorf("backup to a broken stick: %v", err)
	}
}

var errStick = errors.New("the stick is gone")

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errStick }

// TestBackupIsOneMoment: a copy is of one transaction, so that it tells the same whichever
// of its two heads is lost. The file itself, read as it lies there, would not: its older
// head is that of the save before.
func TestBackupIsOneMoment(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 3)
	for n := uint64(4); n < 9; n++ {
		must.Do(t, s.Append(id, notes(n, n), running(id)))
	}
	var b bytes.Buffer
	must.Do(t, s.Backup(&b))
	for head := range 2 {
		damaged := bytes.Clone(b.Bytes())
		for i := range 40 { // behind the page's own head
			damaged[head*os.Getpagesize()+16+i] ^= 0xff
		}
		path := filepath.Join(t.TempDir(), "copy.db")
		must.Do(t, os.WriteFile(path, damaged, 0o600))
		wantEvents(t, reopen(t, path), id, notes(1, 8))
	}
}
