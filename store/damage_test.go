package store

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// Whatever page of the file has come to harm, no method panics or hangs: each
// answers, or fails with a sentence.
func TestDamagedPages(t *testing.T) {
	t.Parallel()
	whole := sample(t)
	pages, size := usedPages(t, whole)
	step := long.Of(5, 1)
	rng := rand.New(rand.NewPCG(1, 2))
	for name, harm := range map[string]func(page []byte, at int){
		"zeros": func(p []byte, _ int) { clear(p) },
		"ones":  func(p []byte, _ int) { copy(p, bytes.Repeat([]byte{0xff}, len(p))) },
		"noise": func(p []byte, _ int) {
			for i := range p {
				p[i] = byte(rng.Uint32())
			}
		},
		"noise after the page's own header": func(p []byte, _ int) {
			for i := headerAt; i < len(p); i++ {
				p[i] = byte(rng.Uint32())
			}
		},
		"a few bytes": func(p []byte, _ int) {
			for range 4 {
				p[rng.IntN(len(p))] ^= byte(1 + rng.IntN(255))
			}
		},
		"the page before": func(p []byte, at int) { copy(p, whole[(at-1)*size:at*size]) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			failed := 0
			for at := 0; at < pages; at += step {
				if at == 0 && name == "the page before" {
					continue
				}
				content := bytes.Clone(whole)
				harm(content[at*size:(at+1)*size], at)
				path := filepath.Join(dir, fmt.Sprint(at))
				must.Do(t, os.WriteFile(path, content, 0o600))
				done := make(chan []error, 1)
				go func() { done <- useAll(path) }()
				select {
				case errs := <-done:
					if len(errs) > 0 {
						failed++
					}
					for _, err := range errs {
						wantHarm(t, at, err)
					}
				case <-time.After(20 * time.Second):
					t.Fatalf("page %d: no answer", at)
				}
			}
			t.Logf("of %d pages every %d. harmed, one at a time: noticed %d times", pages, step, failed)
		})
	}
}

// wantHarm wants an error to have a sentence.
func wantHarm(t *testing.T, page int, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Errorf("page %d: an error without a sentence: %v", page, err)
	}
}

// useAll calls every method once and returns the errors.
func useAll(path string) []error {
	s, err := Open(path)
	if err != nil {
		return []error{err}
	}
	id, ok, err := s.OpenDay()
	errs := []error{err}
	days, err := s.Days(0)
	errs = append(errs, err)
	for _, d := range days {
		_, err := s.Events(d.ID)
		errs = append(errs, err)
	}
	if ok {
		n := uint64(1)
		if events, err := s.Events(id); err == nil {
			n += uint64(len(events))
		}
		errs = append(errs, s.Append(id, notes(n, n), ended(id)))
	}
	_, err = s.NewDay()
	errs = append(errs, err)
	_, _, err = s.Kit()
	errs = append(errs, err)
	_, err = s.SaveFleece(bramble())
	errs = append(errs, err)
	_, err = s.Fleeces()
	errs = append(errs, err)
	saved, err := s.SaveMethod(shortWash())
	errs = append(errs, err, s.DeleteMethod(saved.ID))
	_, err = s.Methods()
	errs = append(errs, err, s.Backup(&bytes.Buffer{}), s.Close())
	return slices.DeleteFunc(errs, func(err error) bool { return err == nil })
}
