package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fleece.example/tubside/cmd/tubside/handout"
	"fleece.example/tubside/store"
)

// reading opens the store for a command that only looks: nothing is made or written,
// so it needs no right to. While the day's screen has it open it hands out a copy. What
// does not read is left out, and the error says so.
func reading(path string, fn func(*store.Store) error) (err error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there are no wash days yet: %s does not exist", path)
	}
	s, done, err := peek(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	if err := fn(s); err != nil {
		return err
	}
	if harm := s.SetAside(); harm != "" {
		return errors.New(harm)
	}
	return nil
}

// peek opens the record for reading, or the copy of it that another window hands out.
func peek(path string) (s *store.Store, done func() error, err error) {
	s, err = store.Peek(path)
	if err == nil {
		return s, s.Close, nil
	}
	if !errors.Is(err, store.ErrInUse) {
		return nil, nil, err
	}
	s, done, handed := store.PeekCopy(path, func(w io.Writer) error { return handout.Take(filepath.Dir(path), w) })
	if errors.Is(handed, handout.ErrNobody) {
		return nil, nil, err
	}
	return s, done, handed
}

// notFolder refuses a folder where a file is meant, and says what to do.
func notFolder(path, do string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder: %s", harmless(path), do)
	}
	return nil
}

// What to do where a folder was given.
const nameFileIn, nameNewFileIn = "name the file in it", "name a new file in it"

// newName refuses the name of what is there, so.
func newName(path, so string) error {
	err := notFolder(path, nameNewFileIn)
	if _, gone := os.Lstat(path); err == nil && gone == nil {
		err = fmt.Errorf("%s exists already: %s", path, so)
	}
	return err
}

// intoNewFile writes a file that was not there before, whole or not at all.
func intoNewFile(path string, write func(io.Writer) error) error {
	if err := newName(path, "give a new name, so that nothing is written over"); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return notMade(path, err)
	}
	if err := errors.Join(write(f), f.Sync(), f.Close()); err != nil {
		return errors.Join(fmt.Errorf("%s was not finished and is removed: %w", path, err), os.Remove(path))
	}
	return nil
}

// notMade says why there could be no file.
func notMade(path string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no folder %s: make it first, or name another", filepath.Dir(path))
	}
	return fmt.Errorf("the file cannot be written: %w", err)
}

// overFile writes a file, in the place of one that is there once the new one is whole.
func overFile(path string, write func(io.Writer) error) error {
	if err := notFolder(path, nameNewFileIn); err != nil {
		return err
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("%s isn't a file that can be written over", path)
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return notMade(path, err)
	}
	if err := errors.Join(write(f), f.Sync(), f.Close()); err != nil {
		return errors.Join(fmt.Errorf("%s is left as it was: %w", path, err), os.Remove(f.Name()))
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return errors.Join(fmt.Errorf("%s cannot be written over: %w", path, err), os.Remove(f.Name()))
	}
	return nil
}

// ask puts a question, which ends without a stop, and reads a line; without says what can be done where nobody
// answers. What was typed before it stood there is no answer.
func (s system) ask(without, question string) (bool, error) {
	dropTyped(s.in)
	if _, err := fmt.Fprint(s.out, s.wrapped(s.out, question+"; then Enter:")+" "); err != nil {
		return false, err
	}
	line, err := bufio.NewReader(s.in).ReadString('\n')
	if err != nil && line == "" {
		return false, usage("nobody answered, and %s", without)
	}
	answer := strings.ToLower(strings.TrimSpace(line))
	return answer == "y" || answer == "yes", nil
}

// warn prints sentences about what is done but not quite as it was meant.
func (s system) warn(sentences []string) {
	for _, text := range sentences {
		// Nothing can be done about a standard error that takes no writes.
		_, _ = fmt.Fprintln(s.errs, s.wrapped(s.errs, "tubside: "+harmless(text)))
	}
}
