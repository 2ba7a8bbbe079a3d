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
)

func served(t *testing.T, write func(io.Writer) error) (folder string, stop func()) {
	t.Helper()
	folder, err := os.MkdirTemp("", "h") // a socket's name may not be long
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	stop, err = Serve(folder, write, nil)
	if err != nil {
		t.Fatal(err)
	}
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
	again, err := Serve(folder, func(w io.Writer) error { _, err := w.Write([]byte("new")); return err }, nil)
	if err != nil {
		t.Fatal(err)
	}
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
		folder, err := os.MkdirTemp("", "h")
		if err != nil {
			t.Fatal(err)
		}
		l, err := net.Listen("unix", filepath.Join(folder, socketName))
		if err != nil {
			t.Fatal(err)
		}
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
	c, err := net.Dial("unix", filepath.Join(folder, socketName))
	if err != nil {
		t.Fatal(err)
	}
	_ = c.Close()
	if err := Take(folder, io.Discard); err != nil {
		t.Error(err)
	}
	began := time.Now()
	if stop(); time.Since(began) > 2*answersIn {
		t.Errorf("the end took %v", time.Since(began))
	}
}
