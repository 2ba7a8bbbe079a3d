package handout

import (
	"bytes"
	"errors"
	"io"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

func served(t *testing.T, write func(io.Writer) error) (folder string, stop func()) {
	t.Helper()
	folder, err := os.MkdirTemp("", "h") // a socket's name may not be long
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	stop = must.Get(Serve(folder, write)).In(t)
	t.Cleanup(stop)
	return folder, stop
}

// What is handed out comes whole, to one after another; nobody but the user can ask, and
// nothing is left in the folder in the end.
func TestACopyComesWhole(t *testing.T) {
	t.Parallel()
	want := bytes.Repeat([]byte("wool "), 100_000)
	folder, stop := served(t, func(w io.Writer) error {
		for half := range slices.Chunk(want, len(want)/2) {
			if _, err := w.Write(half); err != nil {
				return err
			}
		}
		return nil
	})
	for range 3 {
		var got bytes.Buffer
		if err := Take(folder, &got); err != nil || !bytes.Equal(got.Bytes(), want) {
			t.Fatalf("%d of %d bytes came, %v", got.Len(), len(want), err)
		}
	}
	info, err := os.Stat(filepath.Join(folder, socketName))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the socket is %v, %v", info.Mode(), err)
	}
	// One that was left by a kill does not stand in the way of the next.
	again := must.Get(Serve(folder, func(w io.Writer) error { _, err := w.Write([]byte("new")); return err })).In(t)
	var got bytes.Buffer
	if err := Take(folder, &got); err != nil || got.String() != "new" {
		t.Errorf("%q came, %v", got.String(), err)
	}
	again()
	stop()
	if err := Take(folder, io.Discard); !errors.Is(err, ErrNobody) {
		t.Errorf("after the end: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("left are %v, %v", left, err)
	}
}

// Half a copy, what is no copy at all and a record that does not read are said.
func TestNoWholeCopy(t *testing.T) {
	t.Parallel()
	folder, _ := served(t, func(w io.Writer) error {
		_, _ = w.Write([]byte("half"))
		return errors.New("page 9 does not read")
	})
	if err := Take(folder, io.Discard); err == nil || err.Error() != "page 9 does not read" {
		t.Errorf("a record that does not read: %v", err)
	}
	for name, sent := range map[string]string{
		"nothing": "", "cut in a length": "\x00\x00", "cut in a piece": "\x00\x00\x00\x05woo",
		"no copy": "HTTP/1.1 400 Bad Request", "without its end": "\x00\x00\x00\x01w", "cut in its last word": "\x00\x00\x00\x00\x00\x00\x00\x09pa",
	} {
		folder := must.Get(os.MkdirTemp("", "h")).In(t)
		l := must.Get(net.Listen("unix", filepath.Join(folder, socketName))).In(t)
		go func() {
			if c, err := l.Accept(); err == nil {
				_, _ = c.Write([]byte(sent))
				_ = c.Close()
			}
		}()
		if err := Take(folder, io.Discard); err == nil || !strings.HasPrefix(err.Error(), "the window with the record gave no whole copy") {
			t.Errorf("%s: %v", name, err)
		}
		_, _ = l.Close(), os.RemoveAll(folder)
	}
}

// A window that asks and hangs keeps no other from its copy, and the program from no end,
// for longer than a piece may take.
func TestWhoAsksAndGoes(t *testing.T) {
	t.Parallel()
	folder, stop := served(t, func(w io.Writer) error {
		_, err := w.Write(make([]byte, 1<<20))
		return err
	})
	c := must.Get(net.Dial("unix", filepath.Join(folder, socketName))).In(t)
	_ = c.Close()
	if err := Take(folder, io.Discard); err != nil {
		t.Error(err)
	}
	began := time.Now()
	if stop(); time.Since(began) > 2*answersIn {
		t.Errorf("the end took %v", time.Since(began))
	}
}

// Windows that ask and take nothing keep no other from its copy; such a one is waited for
// once, not for each piece.
func TestWhoAsksAndHangs(t *testing.T) {
	t.Parallel()
	folder, _ := served(t, func(w io.Writer) error {
		_, err := w.Write(make([]byte, 1<<20))
		return err
	})
	for range 3 {
		c := must.Get(net.Dial("unix", filepath.Join(folder, socketName))).In(t)
		defer func() { _ = c.Close() }()
	}
	began := time.Now()
	if err := Take(folder, io.Discard); err != nil || time.Since(began) > takesAtMost/2 {
		t.Errorf("beside three that hang: %v after %v", err, time.Since(began))
	}

	c := &hung{}
	send(c, func(w io.Writer) error {
		_, first := w.Write([]byte("wool"))
		_, then := w.Write([]byte("wool"))
		if !errors.Is(first, os.ErrDeadlineExceeded) || !errors.Is(then, os.ErrDeadlineExceeded) {
			t.Errorf("a window that takes nothing: %v, %v", first, then)
		}
		return first
	})
	if c.waited != 1 {
		t.Errorf("waited %d times for one that hangs", c.waited)
	}
}

// hung takes nothing until its time is over.
type hung struct {
	net.Conn
	waited int
}

func (*hung) SetDeadline(time.Time) error { return nil }
func (*hung) Close() error                { return nil }
func (h *hung) Write([]byte) (int, error) {
	h.waited++
	return 0, os.ErrDeadlineExceeded
}

// A Write of nothing does not end the copy.
func TestAnEmptyWriteIsNoEnd(t *testing.T) {
	t.Parallel()
	folder, _ := served(t, func(w io.Writer) error {
		for _, s := range []string{"wo", "", "ol"} {
			if n, err := w.Write([]byte(s)); err != nil || n != len(s) {
				t.Errorf("%q: %d, %v", s, n, err)
			}
		}
		return nil
	})
	var got bytes.Buffer
	if err := Take(folder, &got); err != nil || got.String() != "wool" {
		t.Errorf("%q came, %v", got.String(), err)
	}
}

// What the person reads of a copy that broke off does not name the socket.
func TestNoCopyNamesNoSocket(t *testing.T) {
	t.Parallel()
	err := noWhole(&net.OpError{Op: "read", Net: "unix", Addr: &net.UnixAddr{Name: "/home/invented/" + socketName}, Err: os.ErrDeadlineExceeded})
	if !errors.Is(err, os.ErrDeadlineExceeded) || strings.Contains(err.Error(), socketName) {
		t.Error(err)
	}
}
