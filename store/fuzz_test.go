package store

import (
	"encoding/json"
	"reflect"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
)

// Any bytes in the place of an event are read or refused, and what is read
// can be written and read again without a change.
func FuzzDecodeEvent(f *testing.F) {
	for i, e := range session.AllEvents() {
		v := must.Get(json.Marshal(session.Recorded{Seq: uint64(i + 1), At: morning, Event: e})).In(f)
		f.Add(uint64(i+1), v)
	}
	f.Add(uint64(1), []byte(`{"seq":1,"at":"2026-06-13T07:30:00+14:00","event":"note added","body":{"tub":-1,"text":"\u001b[2J\ud800"}}`))
	f.Add(uint64(2), []byte(`{"seq":2,"event":"day started","body":{"plan":{"fleeces":[{"wax":"high"}],"batches":null}}}`))
	f.Add(uint64(3), []byte(`{"seq":3,"event":"tub held","body":null}`))
	f.Add(uint64(4), []byte(`null`))
	f.Fuzz(func(t *testing.T, seq uint64, value []byte) {
		r, err := decodeEvent(7, seq, value)
		if err != nil {
			if r.Event != nil {
				t.Errorf("an event came with the error %v", err)
			}
			return
		}
		if r.Seq != seq || r.Event == nil {
			t.Fatalf("read %+v as event %d", r, seq)
		}
		again, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		r2, err := decodeEvent(7, seq, again)
		if err != nil || !reflect.DeepEqual(r, r2) {
			t.Fatalf("read again: %+v (%v), want %+v", r2, err, r)
		}
	})
}
