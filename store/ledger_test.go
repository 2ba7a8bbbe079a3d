package store

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

func bramble() shed.Fleece {
	return shed.Fleece{Animal: "Bramble", Farm: "Ninefold Farm", Year: 2026, Type: shed.Longwool,
		Wax: shed.High, Felting: shed.Low, RawG: 2100, Notes: "waxy at the britch"}
}

func shortWash() shed.Method {
	return shed.Method{Name: "short wash", Steps: []shed.Step{
		{Kind: shed.Wash, Name: "wash", SoakMin: 15, AimC: 62, ReleaseC: 49, FillPart: 1, Dosed: true}}}
}

func TestKit(t *testing.T) {
	s := newStore(t)
	if k, ok, err := s.Kit(); err != nil || ok || !reflect.DeepEqual(k, shed.Kit{}) {
		t.Errorf("a kit before the first: %v %v (%v)", k, ok, err)
	}
	want := shed.DefaultKit()
	for _, room := range []float64{17, 12.5} {
		want.RoomC = room
		must.Do(t, s.SaveKit(want))
	}
	bad := want
	bad.RoomC = math.NaN()
	if err := s.SaveKit(bad); err == nil {
		t.Error("a kit without a room temperature was saved")
	}
	checkAndClose(t, s)
	s = reopen(t, s.Path())
	if k, ok, err := s.Kit(); err != nil || !ok || !reflect.DeepEqual(k, want) {
		t.Errorf("kit %+v %v (%v), want %+v", k, ok, err, want)
	}
	setRaw(t, s, kitKey, []byte(`{"units":"cubits"}`), kitPart)
	if k, ok, err := s.Kit(); err != nil || ok || !reflect.DeepEqual(k, shed.Kit{}) {
		t.Errorf("half a kit: %v %v (%v)", k, ok, err)
	}
	wantAside(t, s, "the kit")
}

func TestFleeces(t *testing.T) {
	s := newStore(t)
	var want []shed.Fleece
	for i := range 12 { // past f9: the order is not that of the letters
		f := bramble()
		f.Year -= i
		saved := must.Get(s.SaveFleece(f)).In(t)
		f.ID = fleeceShelf.id(uint64(i + 1))
		if !reflect.DeepEqual(saved, f) {
			t.Errorf("saved %+v, want %+v", saved, f)
		}
		want = append([]shed.Fleece{f}, want...)
	}
	want[3].Notes = "britch cut off"
	if saved, err := s.SaveFleece(want[3]); err != nil || !reflect.DeepEqual(saved, want[3]) {
		t.Fatalf("saved again: %+v (%v)", saved, err)
	}
	if got, err := s.Fleeces(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("fleeces %v (%v), want %v", got, err, want)
	}
	for _, id := range []string{"f13", "f0", "f01", "f", "g1", "1", "f-1", "f 1", "F1", "f99999999999999999999", "m1"} {
		f := bramble()
		f.ID = id
		got, err := s.SaveFleece(f)
		wantSentence(t, err, ErrUnknown, "fleece", id)
		if !reflect.DeepEqual(got, f) {
			t.Errorf("a refused fleece came back as %+v", got)
		}
	}
	bad := bramble()
	bad.RawG = math.NaN()
	if got, err := s.SaveFleece(bad); err == nil || got.ID != "" {
		t.Errorf("a fleece without a weight was saved as %q", got.ID)
	}
	if saved, err := s.SaveFleece(bramble()); err != nil || saved.ID != "f13" {
		t.Errorf("the next fleece is %q (%v)", saved.ID, err)
	}
	setRaw(t, s, key(7), []byte("wool"), fleecesPart)
	if got, err := s.Fleeces(); err != nil || len(got) != 12 || slices.ContainsFunc(got, func(f shed.Fleece) bool { return f.ID == "f7" }) {
		t.Errorf("%v (%v)", got, err)
	}
	wantAside(t, s, "fleece f7")
}

func TestMethods(t *testing.T) {
	s := newStore(t)
	if got, err := s.Methods(); err != nil || len(got) != 0 {
		t.Errorf("methods %v (%v)", got, err)
	}
	var want []shed.Method
	for _, id := range []string{"m1", "m2", "m3"} {
		saved, err := s.SaveMethod(shortWash())
		if err != nil || saved.ID != id {
			t.Fatalf("saved %q (%v), want %q", saved.ID, err, id)
		}
		want = append(want, saved)
	}
	want[0].About = "for a clean fleece"
	must.Get(s.SaveMethod(want[0])).In(t)
	must.Do(t, s.DeleteMethod("m2"))
	want = append(want[:1], want[2])
	if got, err := s.Methods(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("methods %v (%v), want %v", got, err, want)
	}
	wantSentence(t, s.DeleteMethod("m2"), ErrUnknown, `"m2"`)
	wantSentence(t, s.DeleteMethod(""), ErrUnknown)
	wantSentence(t, s.DeleteMethod(shed.BuiltInMethodID), ErrBuiltIn)
	_, err := s.SaveMethod(shed.BuiltInMethod())
	wantSentence(t, err, ErrBuiltIn, "a copy")

	// The ID of a deleted method is not given again: a journal may name it.
	must.Do(t, s.DeleteMethod("m3"))
	if saved, err := s.SaveMethod(shortWash()); err != nil || saved.ID != "m4" {
		t.Errorf("the next method is %q (%v)", saved.ID, err)
	}
}

// Nothing that a terminal would obey comes out, whatever a file holds.
func TestTextsAreClean(t *testing.T) {
	const rude = "\x1b[31mBramble\x1b[0m\r\nRed\u202e"
	const clean = "Bramble Red"
	s := newStore(t)
	f, m, k := bramble(), shortWash(), shed.DefaultKit()
	f.Animal, m.Name, k.Tubs[0].Name = rude, rude, rude
	savedF, errF := s.SaveFleece(f)
	savedM, errM := s.SaveMethod(m)
	if err := s.SaveKit(k); err != nil || errF != nil || errM != nil {
		t.Fatal(err, errF, errM)
	}
	if savedF.Animal != clean || savedM.Name != clean {
		t.Errorf("saved %q and %q", savedF.Animal, savedM.Name)
	}
	setRaw(t, s, key(2), []byte(`{"id":"f2","animal":"\u001b[31mBramble\u001b[0m\r\nRed"}`), fleecesPart)
	setRaw(t, s, key(2), []byte(`{"id":"m2","name":"\u001b[31mBramble\u001b[0m\r\nRed"}`), methodsPart)
	id := startDay(t, s, 1)
	setRaw(t, s, key(uint64(id)), []byte(`{"fleeces":["\u001b[31mBramble\u001b[0m\r\nRed"]}`), daysPart)
	fleeces, errF := s.Fleeces()
	methods, errM := s.Methods()
	days, errD := s.Days(0)
	kit, _, errK := s.Kit()
	must.Do(t, errors.Join(errF, errM, errD, errK))
	for _, got := range []string{fleeces[0].Animal, fleeces[1].Animal, methods[0].Name, methods[1].Name, days[0].Fleeces[0], kit.Tubs[0].Name} {
		if got != clean {
			t.Errorf("%q, want %q", got, clean)
		}
	}
}
