// Package machine keeps what belongs to this machine and this person, whatever
// record is open: above all which commands may be run here. A record that was
// copied, restored or made by somebody else must not bring any with it.
//
// It is one small JSON file in the person's configuration folder.
package machine

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"github.com/adrg/xdg"
)

// Settings are those of this machine and person. A zero field is one that was never set.
type Settings struct {
	// Commands are the texts of the commands for alarms that the person confirmed
	// here, the last one at the end.
	Commands []string `json:"commands,omitempty"`
	// Ways are the other ways of alarms that the person confirmed here.
	Ways Ways `json:"ways,omitzero"`
	// CopiesTo is the second folder for copies of the record, an absolute path.
	CopiesTo string `json:"copies_to,omitempty"`
	// CopiesApart says that it lay on another disk than the record when it was named: on
	// the record's own it is the empty folder where a stick is not put in.
	CopiesApart bool `json:"copies_apart,omitempty"`
}

// Ways are what alarms may do on this machine besides the sound.
type Ways struct {
	RaiseVolume bool `json:"raise_volume,omitempty"` // a muted or low output is turned up
	Speak       bool `json:"speak,omitempty"`
	Notify      bool `json:"notify,omitempty"`
}

// Both are the ways of either.
func (w Ways) Both(v Ways) Ways {
	return Ways{w.RaiseVolume || v.RaiseVolume, w.Speak || v.Speak, w.Notify || v.Notify}
}

// Bounds of the file: what is longer was not written here, or is not needed.
const (
	mostBytes    = 1 << 16
	mostCommands = 20
)

// File is where the settings lie. Its methods may be called from several goroutines.
type File struct {
	path string
	mu   sync.Mutex // while it is changed
}

// Usual is the file of the person who runs the program.
func Usual() *File { return At(filepath.Join(xdg.ConfigHome, "tubside", "machine.json")) }

// At is a file of another place; it need not be there.
func At(path string) *File { return &File{path: path} }

// Path is where the file lies, or will.
func (f *File) Path() string { return f.path }

// Read is what the file says; no file says nothing. A file that others may write is
// not believed.
//
// Errors: sentences.
func (f *File) Read() (Settings, error) {
	in, err := os.Open(f.path)
	if errors.Is(err, fs.ErrNotExist) {
		return Settings{}, nil
	}
	if err != nil {
		return Settings{}, fmt.Errorf("the settings of this machine cannot be read: %w", err)
	}
	defer func() { _ = in.Close() }() // only read
	if who := Writers(f.path); who != "" {
		return Settings{}, fmt.Errorf("the settings of this machine are not used: %s", who)
	}
	text, err := io.ReadAll(io.LimitReader(in, mostBytes+1))
	if err != nil {
		return Settings{}, fmt.Errorf("the settings of this machine cannot be read: %w", err)
	}
	var s Settings
	if len(text) > mostBytes || json.Unmarshal(text, &s) != nil {
		return Settings{}, fmt.Errorf("%s is damaged: delete it, then what it said is asked for once more", f.path)
	}
	return s, nil
}

// Change writes the settings as change leaves them, whole or not at all.
//
// Errors: those of Read, then nothing is written; or a sentence that says why it could
// not be.
func (f *File) Change(change func(*Settings)) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	s, err := f.Read()
	if err != nil {
		return err
	}
	change(&s)
	text, err := json.MarshalIndent(s, "", "  ")
	if err == nil {
		err = replace(f.path, append(text, '\n'))
	}
	if err != nil {
		return fmt.Errorf("the settings of this machine cannot be saved: %w", err)
	}
	return nil
}

// Confirmed says whether a command was confirmed here, by its text, and which ways were.
//
// Errors: those of Read.
func (f *File) Confirmed(command string) (bool, Ways, error) {
	s, err := f.Read()
	return slices.Contains(s.Commands, command), s.Ways, err
}

// Confirm keeps a command, if there is one, as one that may be run here, and ways that
// may be used.
//
// Errors: those of Change.
func (f *File) Confirm(command string, ways Ways) error {
	return f.Change(func(s *Settings) {
		if s.Ways = s.Ways.Both(ways); command == "" {
			return
		}
		s.Commands = append(slices.DeleteFunc(s.Commands, func(c string) bool { return c == command }), command)
		s.Commands = s.Commands[max(0, len(s.Commands)-mostCommands):]
	})
}

// replace puts a file in the place of what is there, if anything is.
func replace(path string, text []byte) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(dir, ".machine-new-*") // mode 0600
	if err != nil {
		return err
	}
	_, err = tmp.Write(text)
	err = errors.Join(err, tmp.Sync(), tmp.Close())
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(tmp.Name()))
	}
	return nil
}
