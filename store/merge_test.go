package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// dump lists every bucket, its sequence and its values.
func dump(t sessiontest.Reporter, s *Store) []string {
	t.Helper()
	var out []string
	var walk func(path string, b *bolt.Bucket) error
	walk = func(path string, b *bolt.Bucket) error {
		out = append(out, fmt.Sprintf("%s #%d", path, b.Sequence()))
		return b.ForEach(func(k, v []byte) error {
			if v == nil {
				return walk(fmt.Sprintf("%s/%x", path, k), b.Bucket(k))
			}
			out = append(out, fmt.Sprintf("%s/%x = %s", path, k, v))
			return nil
		})
	}
	err := s.db.View(func(tx *bolt.Tx) error {
		return tx.ForEach(func(name []byte, b *bolt.Bucket) error { return walk(string(name), b) })
	})
	if err != nil {
		t.Fatalf("dump: %v", err)
	}
	return out
}

// gather takes everything out of a store, in copies.
func gather(t sessiontest.Reporter, s *Store) (c Contents, days []DayContents) {
	t.Helper()
	copied := func(in []json.RawMessage) (out []json.RawMessage) {
		for _, v := range in {
			out = append(out, slices.Clone(v))
		}
		return out
	}
	err := s.Read(func(h Contents) error {
		c = h
		c.Kit, c.Fleeces, c.Methods = slices.Clone(h.Kit), copied(h.Fleeces), copied(h.Methods)
		return nil
	}, func(d DayContents) error {
		days = append(days, DayContents{ID: d.ID, Summary: slices.Clone(d.Summary), Events: copied(d.Events)})
		return nil
	})
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	return c, days
}

func wantDump(t sessiontest.Reporter, s *Store, want []string) {
	t.Helper()
	got := dump(t, s)
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Fatalf("from entry %d on:\n%.300q\nwant\n%.300q", i, got[min(i, len(got)):], want[min(i, len(want)):])
		}
	}
}

// fill puts random things into a store, with gaps in its numbers.
func fill(t *rapid.T, s *Store) {
	ok := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	if rapid.Bool().Draw(t, "has kit") {
		ok(s.SaveKit(drawnKit(t)))
	}
	for range rapid.IntRange(0, 3).Draw(t, "fleeces") {
		_, err := s.SaveFleece(drawnFleece(t))
		ok(err)
	}
	for range rapid.IntRange(0, 3).Draw(t, "methods") {
		m, err := s.SaveMethod(drawnMethod(t))
		ok(err)
		if rapid.Bool().Draw(t, "deleted") {
			ok(s.DeleteMethod(m.ID))
		}
	}
	for n := rapid.IntRange(0, 4).Draw(t, "days"); n > 0; n-- {
		id, err := s.NewDay()
		ok(err)
		if rapid.IntRange(0, 3).Draw(t, "unused") == 0 {
			continue
		}
		events := keptDay()[:1]
		for range rapid.IntRange(0, 5).Draw(t, "events") {
			events = append(events, drawHarmless(t, session.Replay(events)))
		}
		d := session.Replay(events)
		if d.Running() && (n > 1 || rapid.Bool().Draw(t, "ended")) {
			events = append(events, session.Recorded{Seq: d.LastSeq + 1, At: evening, Event: session.DayEnded{}})
		}
		ok(s.Append(id, events, ledger.Summarise(id, session.Replay(events))))
	}
}

// drawnKit and those below are random in words, and in figures as far as forms take them.
func drawnKit(t *rapid.T) shed.Kit {
	k := keptKit
	k.RoomC = rapid.Float64Range(-10, 45).Draw(t, "room")
	k.Scour.Name, k.Prices.MoneyWords = drawn[string](t, "scour"), drawn[string](t, "money")
	k.Tubs = slices.Clone(k.Tubs)
	k.Tubs[0].Name = "N" + drawn[string](t, "tub")
	return k
}

func drawnFleece(t *rapid.T) shed.Fleece {
	f := drawn[shed.Fleece](t, "fleece")
	return shed.Fleece{Animal: "E" + f.Animal, Farm: f.Farm, Type: f.Type, Wax: f.Wax, Felting: f.Felting, Colour: f.Colour, Notes: f.Notes,
		RawG: rapid.Float64Range(10, 20000).Draw(t, "raw"), MadeAt: morning, ChangedAt: morning}
}

func drawnMethod(t *rapid.T) shed.Method {
	m := keptMethod
	m.ID, m.Name, m.About = "", "M"+drawn[string](t, "name"), drawn[string](t, "about")
	return m
}

// drawHarmless is a random event after which the day can still be worked with,
// however wild its figures are.
func drawHarmless(t *rapid.T, d session.Day) session.Recorded {
	kinds := session.AllEvents()[1:] // a day begins once
	r := session.Recorded{Seq: d.LastSeq + 1, At: morning.Add(time.Duration(d.LastSeq) * time.Minute)}
	r.Event = drawEvent(t, rapid.SampledFrom(kinds).Draw(t, "kind"))
	next := session.Apply(d, r)
	_, err := json.Marshal(ledger.Summarise(1, next))
	if errors.Join(err, goesOn(next), r.CheckFigures(latest()), wellFormed(1, d, r), byTheRules(next, r.Event)) != nil {
		r.Event = session.NoteAdded{Tub: -1, Text: "nothing"}
	}
	return r
}

func openAt(t sessiontest.Reporter, dir, name string) *Store {
	t.Helper()
	s, err := Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatalf("open: %v", err)
	}
	return s
}

// What is read from one store and merged into an empty one makes a store that
// is the same in every bucket; merged again, it changes nothing.
func TestMergeIntoEmptyIsTheSame(t *testing.T) {
	t.Parallel()
	dir, n := t.TempDir(), 0
	long.Check(t, 40, func(t *rapid.T) {
		n++
		from, into := openAt(t, dir, fmt.Sprintf("from%d", n)), openAt(t, dir, fmt.Sprintf("into%d", n))
		defer func() { _ = from.Close(); _ = os.Remove(from.path) }()
		defer func() { _ = into.Close(); _ = os.Remove(into.path) }()
		fill(t, from)
		c, days := gather(t, from)
		want, empty := dump(t, from), dump(t, into)
		m := must.Get(into.Merge(c, days, true)).In(t)
		wantDump(t, into, empty)
		m2, err := into.Merge(c, days, false)
		if err != nil || !reflect.DeepEqual(m, m2) {
			t.Fatalf("%+v, dry %+v (%v)", m2, m, err)
		}
		wantDump(t, into, want)
		checkSound(t, into)
		m, err = into.Merge(c, days, false)
		if err != nil || m.Changes() || m.Days.Same != len(days) || m.Events != 0 {
			t.Fatalf("a second time: %+v (%v)", m, err)
		}
		wantDump(t, into, want)
	})
}

// invented is a day of n events as the program writes it: a start, notes, and an
// end if it has one.
func invented(n uint64, end bool) []session.Recorded {
	out := keptDay()[:1]
	if n > 1 {
		out = append(out, notes(2, n)...)
	}
	if end {
		out[n-1].Event = session.DayEnded{}
	}
	return out
}

// inventedDay is that day with the summary that goes with it.
func inventedDay(t sessiontest.Reporter, id shed.DayID, n uint64, end bool) DayContents {
	t.Helper()
	recs := invented(n, end)
	return rawDay(t, id, recs, ledger.Summarise(id, session.Replay(recs)))
}

// keepDay keeps that day in a store.
func keepDay(t sessiontest.Reporter, s *Store, n uint64, end bool) shed.DayID {
	t.Helper()
	id, err := s.NewDay()
	if err == nil {
		recs := invented(n, end)
		err = s.Append(id, recs, ledger.Summarise(id, session.Replay(recs)))
	}
	if err != nil {
		t.Fatalf("keep a day: %v", err)
	}
	return id
}

func rawDay(t sessiontest.Reporter, id shed.DayID, events []session.Recorded, sum ledger.Summary) DayContents {
	t.Helper()
	values, line, err := encode(id, events, sum)
	if err != nil {
		t.Fatalf("encode: %v", err)
	}
	d := DayContents{ID: id, Summary: line}
	for _, v := range values {
		d.Events = append(d.Events, v)
	}
	return d
}

func TestMergeGoesOnWithADay(t *testing.T) {
	s := newStore(t)
	id := keepDay(t, s, 3, false)
	later := []DayContents{inventedDay(t, id, 5, true), inventedDay(t, 7, 2, false)}
	m, err := s.Merge(Contents{}, later, false)
	if err != nil || m.Days != (Tally{New: 1, Longer: 1}) || m.Events != 4 {
		t.Fatalf("%+v (%v)", m, err)
	}
	wantEvents(t, s, id, invented(5, true))
	if open, ok, err := s.OpenDay(); err != nil || !ok || open != 7 {
		t.Errorf("open day %d %v (%v)", open, ok, err)
	}
	// The older copy says nothing new.
	m, err = s.Merge(Contents{}, []DayContents{inventedDay(t, id, 3, false)}, false)
	if err != nil || m.Changes() || m.Days.Same != 1 {
		t.Errorf("%+v (%v)", m, err)
	}
	// Numbers are not given twice.
	must.Do(t, s.Append(7, notes(3, 3), ended(7)))
	if id, err := s.NewDay(); err != nil || id != 8 {
		t.Errorf("next day %d (%v)", id, err)
	}
}

func fleeceJSON(t sessiontest.Reporter, f shed.Fleece) json.RawMessage {
	t.Helper()
	v, err := json.Marshal(f)
	if err != nil {
		t.Fatalf("write: %v", err)
	}
	return v
}

func TestMergeRefusesWhatDiffers(t *testing.T) {
	s := newStore(t)
	keepDay(t, s, 3, true)
	open := keepDay(t, s, 2, false)
	must.Do(t, s.SaveKit(keptKit))
	f, err := s.SaveFleece(shed.Fleece{Animal: "Bramble", Farm: "Ninefold Farm", RawG: 2000})
	if err != nil {
		t.Fatal(err)
	}
	m := keptMethod
	m.ID = ""
	if m, err = s.SaveMethod(m); err != nil {
		t.Fatal(err)
	}
	before := dump(t, s)
	other := f
	other.Animal = "Thistle\x1b[2J"
	heavier := f
	heavier.RawG++
	kit := keptKit
	kit.RoomC++
	kitText, _ := json.Marshal(kit)
	m.Steps = m.Steps[:1]
	methodText, _ := json.Marshal(m)
	early := invented(3, true)
	for i := range early {
		early[i].At = early[i].At.Add(-1e12)
	}
	// By the clock here, as its person reads one.
	clock := func(t time.Time) string { return keptKit.Units.Moment(t.Local(), "2 Jan 2006 15:04") }
	for _, c := range []struct {
		name string
		c    Contents
		days []DayContents
		want string
	}{
		{"kit", Contents{Kit: kitText}, nil, "the kit here is not the one"},
		{"fleece", Contents{Fleeces: []json.RawMessage{fleeceJSON(t, other)}}, nil, `fleece f1 is "Bramble, Ninefold Farm" here, and "Thistle, Ninefold Farm" came in`},
		{"weight", Contents{Fleeces: []json.RawMessage{fleeceJSON(t, heavier)}}, nil, "one of that name with other details"},
		{"method", Contents{Methods: []json.RawMessage{methodText}}, nil, `method m1 is "wash and rinse" here`},
		{"day", Contents{}, []DayContents{rawDay(t, 1, early, ledger.Summarise(1, session.Replay(early)))}, "wash day 1 is another day here (it began " + clock(early[0].At.Add(1e12)) + "; the other " + clock(early[0].At) + "): they part at event 1"},
		{"second open day", Contents{}, []DayContents{inventedDay(t, 9, 1, false)}, fmt.Sprintf("wash day 9 has not ended, but here day %d is open", open)},
	} {
		for _, dry := range []bool{true, false} {
			m, err := s.Merge(c.c, append(c.days, inventedDay(t, 20, 2, true)), dry)
			if !errors.Is(err, ErrConflict) || len(m.Conflicts) != 1 || !strings.Contains(m.Conflicts[0], c.want) || strings.ContainsRune(m.Conflicts[0], 0x1b) {
				t.Errorf("%s: %q (%v)", c.name, m.Conflicts, err)
			}
			wantDump(t, s, before)
		}
	}
}

func TestMergeRefusesWhatDoesNotRead(t *testing.T) {
	s := newStore(t)
	wholeDay(t, s, 3)
	before := dump(t, s)
	good := inventedDay(t, 5, 2, true)
	with := func(change func(*DayContents)) []DayContents {
		d := good
		d.Events = slices.Clone(d.Events)
		change(&d)
		return []DayContents{inventedDay(t, 4, 2, true), d}
	}
	raw := func(text string) json.RawMessage { return json.RawMessage(text) }
	for _, c := range []struct {
		name string
		c    Contents
		days []DayContents
		kind error
		want string
	}{
		{"gap", Contents{}, with(func(d *DayContents) { d.Events = d.Events[1:] }), ErrUnreadable, "wash day 5, event 1"},
		{"unknown event", Contents{}, with(func(d *DayContents) { d.Events[1] = raw(`{"seq":2,"event":"sheep sheared","body":{}}`) }), ErrNewer, `"sheep sheared" that this version does not know`},
		{"torn event", Contents{}, with(func(d *DayContents) { d.Events[1] = raw(`{"seq":2`) }), ErrUnreadable, "event 2"},
		{"no events", Contents{}, with(func(d *DayContents) { d.Events = nil }), ErrUnreadable, "no event"},
		{"no summary", Contents{}, with(func(d *DayContents) { d.Summary = raw(`null`) }), ErrUnreadable, "summary of wash day 5"},
		{"other summary", Contents{}, with(func(d *DayContents) { d.Summary = raw(`{"id":6}`) }), ErrUnreadable, "of day 6"},
		{"day 0", Contents{}, with(func(d *DayContents) { d.ID = 0 }), ErrUnreadable, "wash day 0"},
		{"twice", Contents{}, []DayContents{good, good}, ErrUnreadable, "each comes once"},
		{"two open", Contents{}, []DayContents{inventedDay(t, 8, 1, false), inventedDay(t, 9, 1, false)}, ErrDayOpen, "8 and 9"},
		{"fleece without mark", Contents{Fleeces: []json.RawMessage{raw(`{"animal":"Bramble","raw_g":900}`)}}, with(func(*DayContents) {}), ErrUnreadable, "not the mark of a fleece"},
		{"fleece 0", Contents{Fleeces: []json.RawMessage{raw(`{"id":"f0","animal":"Bramble","raw_g":900}`)}}, nil, ErrUnreadable, "not the mark of a fleece"},
		{"fleece twice", Contents{Fleeces: []json.RawMessage{raw(`{"id":"f1","animal":"Bramble","raw_g":900}`), raw(`{"id":"f1","animal":"Bramble","raw_g":900}`)}}, nil, ErrUnreadable, "f1 comes twice"},
		{"fleece of a type unknown", Contents{Fleeces: []json.RawMessage{raw(`{"id":"f1","type":"nylon\u001b[2J"}`)}}, nil, ErrUnreadable, `"nylon" is not a fleece type`},
		{"built-in method", Contents{Methods: []json.RawMessage{methodJSON(t, shed.BuiltInMethod())}}, nil, ErrUnreadable, "not the mark of a method"},
		{"kit", Contents{Kit: raw(`[]`)}, nil, ErrUnreadable, "the kit"},
		{"no kit", Contents{Kit: raw(`null`)}, nil, ErrUnreadable, "the kit"},
	} {
		m, err := s.Merge(c.c, c.days, false)
		if !errors.Is(err, c.kind) || !strings.Contains(fmt.Sprint(err), c.want) || strings.ContainsRune(fmt.Sprint(err), 0x1b) {
			t.Errorf("%s: %+v (%v), want %q", c.name, m, err, c.want)
		}
		wantDump(t, s, before)
	}
}

// A disk that takes no writes leaves the store as it was.
func TestMergeIsAllOrNothing(t *testing.T) {
	s := newStore(t)
	wholeDay(t, s, 3)
	before := dump(t, s)
	kit, err := json.Marshal(keptKit)
	if err != nil {
		t.Fatal(err)
	}
	commit := s.commit
	s.commit = func(*bolt.Tx) error { return errors.New("disk full") }
	_, err = s.Merge(Contents{Kit: kit}, []DayContents{inventedDay(t, 5, 2, true)}, false)
	if !errors.Is(err, ErrSave) {
		t.Errorf("%v", err)
	}
	wantDump(t, s, before)
	s.commit = commit
	if m, err := s.Merge(Contents{}, []DayContents{inventedDay(t, 5, 2, true)}, false); err != nil || m.Days.New != 1 {
		t.Errorf("%+v (%v)", m, err)
	}
}

// White space of a file that somebody has laid out does not get into the store.
func TestMergeKeepsValues(t *testing.T) {
	s := newStore(t)
	value := json.RawMessage("{ \"id\": \"f3\",\n \"animal\": \"Bramble\", \"raw_g\": 1.50e3 }")
	for _, want := range []Tally{{New: 1}, {Same: 1}} {
		if m, err := s.Merge(Contents{Fleeces: []json.RawMessage{value}}, nil, false); err != nil || m.Fleeces != want {
			t.Fatalf("%+v (%v)", m, err)
		}
	}
	c, _ := gather(t, s)
	if got := string(c.Fleeces[0]); got != `{"id":"f3","animal":"Bramble","raw_g":1.50e3}` || c.LastFleece != 3 {
		t.Errorf("%s, last %d", got, c.LastFleece)
	}
}

// A file from outside may hold what a terminal obeys; printed as it is from
// here, it does not any more.
func TestMergeTakesNoTerminalCodes(t *testing.T) {
	s := newStore(t)
	value := json.RawMessage("{\"id\":\"f1\",\"animal\":\"Žofie \u009b2J\u202e\x7f\U000e0001 \xff羊\",\"raw_g\":900}")
	for _, want := range []Tally{{New: 1}, {Same: 1}} {
		if m, err := s.Merge(Contents{Fleeces: []json.RawMessage{value}}, nil, false); err != nil || m.Fleeces != want {
			t.Fatalf("%+v (%v)", m, err)
		}
	}
	c, _ := gather(t, s)
	if got := string(c.Fleeces[0]); got != `{"id":"f1","animal":"Žofie \u009b2J\u202e\u007f\udb40\udc01 \ufffd羊","raw_g":900}` {
		t.Error(got)
	}
	var a, b shed.Fleece
	if err := errors.Join(json.Unmarshal(value, &a), json.Unmarshal(c.Fleeces[0], &b)); err != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("%+v became %+v (%v)", a, b, err)
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	s := newStore(t)
	id := wholeDay(t, s, 3)
	stop := errors.New("enough")
	if err := s.Read(func(Contents) error { return stop }, nil); !errors.Is(err, stop) {
		t.Error(err)
	}
	head := func(Contents) error { return nil }
	if err := s.Read(head, func(DayContents) error { return stop }); !errors.Is(err, stop) {
		t.Error(err)
	}
	setEvent(t, s, id, 2, nil)
	if err := s.Read(head, func(DayContents) error { return nil }); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "entry 2") {
		t.Error(err)
	}
	must.Do(t, s.DeleteDay(id))
	setRaw(t, s, key(4), []byte(`{"id":"f5"}`), fleecesPart)
	if err := s.Read(head, func(DayContents) error { return nil }); !errors.Is(err, ErrUnreadable) || !strings.Contains(err.Error(), "fleece f4") {
		t.Error(err)
	}
}

// How alarms reach the person does not travel: it holds a command that is run.
func TestAlarmSettingsStay(t *testing.T) {
	s := newStore(t)
	want := session.AlarmSettings{QuietFromMin: 60, Speak: true, Hook: "echo invented"}
	must.Do(t, s.SaveAlarmSettings(want))
	if got, err := s.AlarmSettings(); err != nil || got != want {
		t.Fatalf("%+v, %v", got, err)
	}
	if err := s.SaveAlarmSettings(session.AlarmSettings{QuietToMin: -1}); err == nil {
		t.Error("settings that cannot be right were saved")
	}
	must.Do(t, s.Read(func(c Contents) error {
		raw, err := json.Marshal(c)
		if strings.Contains(string(raw), "invented") {
			t.Errorf("handed out: %s", raw)
		}
		return err
	}, func(DayContents) error { return nil }))
	setRaw(t, s, alarmsKey, []byte(`{"hook":"a\nb"}`), kitPart)
	if got, err := s.AlarmSettings(); err != nil || got != (session.AlarmSettings{}) {
		t.Errorf("settings that nobody could have typed: %+v, %v", got, err)
	}
}
