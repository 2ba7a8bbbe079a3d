package store

import (
	"errors"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// Two stores of one beginning, in each of which something was put right: whichever
// way they are merged, the newer stands in both.
func TestNewerCorrectionStands(t *testing.T) {
	old := morning.Add(-time.Hour)
	for _, made := range []time.Time{old, {}} { // a record of an older version has no moment
		here, there := newStore(t), newStore(t)
		kit := shed.DefaultKit().Clean()
		kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}}
		kit.Scales = []shed.Scale{{Name: "kitchen", StepG: 1}}
		m := shed.BuiltInMethod()
		m.ID, m.MadeAt = "", made
		for _, s := range []*Store{here, there} {
			_, errF := s.SaveFleece(shed.Fleece{Animal: "Bramble", RawG: 2000, MadeAt: made})
			_, errG := s.SaveFleece(shed.Fleece{Animal: "Pip", RawG: 1000, MadeAt: made})
			_, errM := s.SaveMethod(m)
			must.Do(t, errors.Join(errF, errG, errM, s.SaveKit(kit)))
		}
		// Here Bramble and the tub, and the method first; there Pip, the tray, the scale,
		// the tub after that, and the method again.
		correct := func(s *Store, id, animal string, rawG float64, method string, at time.Time) {
			t.Helper()
			_, errF := s.SaveFleece(shed.Fleece{ID: id, Animal: animal, RawG: rawG, MadeAt: made, ChangedAt: at})
			m.ID, m.Name, m.ChangedAt = "m1", method, at
			_, errM := s.SaveMethod(m)
			must.Do(t, errors.Join(errF, errM))
		}
		tub := func(s *Store, name string, at time.Time, more func(shed.Kit) shed.Kit) {
			t.Helper()
			k, _, _ := s.Kit()
			k.Tubs[0].Name = name
			must.Do(t, s.SaveKit(more(k.Instead(kit, at))))
		}
		correct(here, "f1", "Thistle", 2000, "first", morning)
		tub(here, "Blue", morning, func(k shed.Kit) shed.Kit { return k })
		correct(there, "f2", "Sorrel", 1000, "second", morning.Add(time.Hour))
		tub(there, "Azure", morning.Add(time.Hour), func(k shed.Kit) shed.Kit {
			k.Trays[0].Name = "attic"
			return k.Instead(kit, morning).RenameScale(0, shed.Scale{Name: "post", StepG: 1}, morning)
		})
		fromHere, _ := gather(t, here)
		fromThere, _ := gather(t, there)
		into := func(s *Store, c Contents, newFleeces, newMethods int) {
			t.Helper()
			got, err := s.Merge(c, nil, false)
			if err != nil || got.Fleeces.Newer != newFleeces || got.Methods.Newer != newMethods || got.Kit.New+got.Kit.Newer+got.Kit.Same != 1 {
				t.Fatalf("merged %+v (%v)", got, err)
			}
			fleeces, _ := s.Fleeces()
			methods, _ := s.Methods()
			k, _, _ := s.Kit()
			if fleeces[0].Animal != "Sorrel" || fleeces[1].Animal != "Thistle" || methods[0].Name != "second" || k.Tubs[0].Name != "Azure" || k.Trays[0].Name != "attic" || k.Scales[0].Name != "post" {
				t.Errorf("made %v: %+v, %s, %+v %+v %+v", made, fleeces, methods[0].Name, k.Tubs[0], k.Trays, k.Scales)
			}
			if again, err := s.Merge(c, nil, true); err != nil || again.Changes() {
				t.Errorf("once more it changes %+v (%v)", again, err)
			}
		}
		into(here, fromThere, 1, 1)
		into(there, fromHere, 1, 0)
	}
}

// What was put right with the clock set back is still the newer: an old copy that
// comes in brings no old name, weight or step.
func TestOldCopyAfterAClockSetBack(t *testing.T) {
	s := newStore(t)
	k := shed.DefaultKit().Clean()
	k.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}}
	k.Scales = []shed.Scale{{Name: "kitchen", StepG: 1}}
	m := shed.BuiltInMethod()
	m.ID, m.MadeAt = "", morning
	f := shed.Fleece{Animal: "Bramble", RawG: 2000, MadeAt: morning}
	save := func(name string, at time.Time) {
		t.Helper()
		next := k
		next.Tubs, next.Trays = slices.Clone(k.Tubs), slices.Clone(k.Trays)
		next.Tubs[0].Name, next.Trays[0].Name = name, name
		k = next.Instead(k, at).RenameScale(0, shed.Scale{Name: name, StepG: 1}, at)
		f.Animal, f.ChangedAt, m.Name, m.ChangedAt = name, at, name, at
		var errF, errM error
		f, errF = s.SaveFleece(f)
		m, errM = s.SaveMethod(m)
		must.Do(t, errors.Join(errF, errM, s.SaveKit(k)))
	}
	save("first", morning)
	save("second", morning.Add(time.Hour))
	old, _ := gather(t, s)
	save("third", morning.Add(time.Minute))
	now, _ := gather(t, s)
	want := dump(t, s)
	for _, c := range []Contents{old, now} {
		if got, err := s.Merge(c, nil, false); err != nil || got.Changes() {
			t.Errorf("%+v (%v)", got, err)
		}
		wantDump(t, s, want)
	}
}

// A copy of the kit that is here changes nothing, even where a tub is not called
// what the list of names says.
func TestCopyOfTheKitChangesNothing(t *testing.T) {
	s := newStore(t)
	k := shed.DefaultKit().Clean()
	k.Names = []shed.MarkName{{Mark: k.Tubs[0].ID, Name: k.Tubs[0].Name}, {Mark: k.Tubs[0].ID, Name: "Azure", At: morning}}
	must.Do(t, s.SaveKit(k))
	want := dump(t, s)
	c, _ := gather(t, s)
	if got, err := s.Merge(c, nil, false); err != nil || got.Changes() {
		t.Errorf("%+v (%v)", got, err)
	}
	wantDump(t, s, want)
}

// Another fleece under the same mark is no correction, however new it is.
func TestAnotherFleeceIsNoCorrection(t *testing.T) {
	for _, made := range []time.Time{morning.Add(time.Minute), {}} {
		s, other := newStore(t), newStore(t)
		first := shed.Fleece{Animal: "Bramble", RawG: 2000, ChangedAt: morning}
		if !made.IsZero() {
			first.MadeAt = morning
		}
		_, errA := s.SaveFleece(first)
		_, errB := other.SaveFleece(shed.Fleece{Animal: "Pip", RawG: 1700, MadeAt: made, ChangedAt: morning.Add(time.Hour)})
		must.Do(t, errors.Join(errA, errB))
		before := dump(t, s)
		c, _ := gather(t, other)
		if m, err := s.Merge(c, nil, false); !errors.Is(err, ErrConflict) || len(m.Conflicts) != 1 {
			t.Errorf("merged %+v (%v)", m, err)
		}
		wantDump(t, s, before)
	}
}
