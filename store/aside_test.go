package store

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// wantAside wants that to be said, once, with what to do.
func wantAside(t *testing.T, s *Store, what ...string) {
	t.Helper()
	told, _ := s.Told()
	for _, w := range append(what, "tubside check", "tubside restore") {
		if !strings.Contains(told, w) {
			t.Errorf("told: %q, want %q", told, w)
		}
	}
	if again, _ := s.Told(); again != "" {
		t.Errorf("told again: %q", again)
	}
}

// harmed is a full sample in which one value is not what was written.
func harmed(t *testing.T, name string, k []byte) *Store {
	t.Helper()
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, fullSample(t), 0o600))
	s := must.Get(Open(path)).In(t)
	t.Cleanup(func() { _ = s.Close() })
	must.Do(t, s.update(func(c *change) error {
		b := c.tx.Bucket([]byte(name))
		if name == journalPart {
			b, k = b.Bucket(k), key(5)
		}
		v := append([]byte{}, b.Get(k)...)
		v[len(v)/2] ^= 4
		return b.Put(k, v)
	}))
	return s
}

// Whichever thing does not read, the others do, it is said, and work goes on.
func TestOneHarmIsSetAside(t *testing.T) {
	const open = shed.DayID(8)
	for _, c := range []struct {
		name string
		part string
		key  []byte
		said string
	}{
		{"kit", kitPart, kitKey, "the kit (that of wash day 8 is in its place)"},
		{"alarms", kitPart, alarmsKey, "how alarms reach you"},
		{"fleece", fleecesPart, key(3), "fleece f3"},
		{"method", methodsPart, key(2), "method m2"},
		{"line of a day", daysPart, key(4), ""},
		{"a day", journalPart, key(4), ""},
		{"the open day", journalPart, key(uint64(open)), "wash day 8 (it has not ended)"},
		{"note of the open day", metaPart, openKey, ""},
		{"when it was left", metaPart, leftKey, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := harmed(t, c.part, c.key)
			if rep, err := Check(s.Path()); err != nil || len(rep.Harm) == 0 {
				t.Errorf("%+v (%v)", rep, err)
			}
			if k, ok, err := s.Kit(); err != nil || !ok || !reflect.DeepEqual(k, keptKit) {
				t.Errorf("kit %v %v (%v)", k, ok, err)
			}
			if _, err := s.AlarmSettings(); err != nil {
				t.Error(err)
			}
			want := 19
			if c.part == fleecesPart {
				want--
			}
			if f, err := s.Fleeces(); err != nil || len(f) != want {
				t.Errorf("%d fleeces (%v)", len(f), err)
			}
			if _, err := s.Methods(); err != nil {
				t.Error(err)
			}
			if d, err := s.Days(0); err != nil || len(d) != 7 {
				t.Errorf("days %v (%v)", d, err)
			}
			id, ok, err := s.OpenDay()
			if err != nil || ok != (c.name != "the open day") || ok && id != open {
				t.Errorf("open day %d %v (%v)", id, ok, err)
			}
			told, _ := s.Told()
			if !strings.Contains(told, c.said) || (told == "") != (c.said == "") {
				t.Errorf("told: %q, want %q", told, c.said)
			}

			// A day goes on, or begins.
			n := uint64(31)
			if !ok {
				n = 1
				if id, err = s.NewDay(); err != nil {
					t.Fatal(err)
				}
			}
			if err := s.Append(id, notes(n, n), running(id)); err != nil {
				t.Error(err)
			}
			if err := s.Append(id, notes(n+1, n+1), ended(id)); err != nil {
				t.Error(err)
			}
			if _, err := s.SaveFleece(bramble()); err != nil {
				t.Error(err)
			}
			// What is put right is whole again.
			if err := s.SaveKit(keptKit); err != nil {
				t.Error(err)
			}
			if err := s.SaveAlarmSettings(session.AlarmSettings{}); err != nil {
				t.Error(err)
			}
			if c.part == kitPart {
				if rep, err := Check(s.Path()); err != nil || !rep.Whole() {
					t.Errorf("%+v (%v)", rep, err)
				}
			}
		})
	}
}
