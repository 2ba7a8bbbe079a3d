package store

import (
	"encoding/json"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
)

// Measures that come in are those that the events tell, and a summary without any stays so:
// an older version wrote none.
func TestMergeMakesMeasuresAnew(t *testing.T) {
	for _, end := range []bool{false, true} {
		d := inventedDay(t, 1, 3, end)
		var recs []session.Recorded
		for _, v := range d.Events {
			var r session.Recorded
			must.Do(t, json.Unmarshal(v, &r))
			recs = append(recs, r)
		}
		honest := compare.Summarise(1, session.Replay(recs))
		if (honest.Measures != "") != end {
			t.Fatalf("ended %v: its measures are %q", end, honest.Measures)
		}
		for in, want := range map[string]string{"": "", "A1,t1,North,1,99,r,20,,5,30,1,20": honest.Measures, "%zz;": honest.Measures, honest.Measures: honest.Measures} {
			sum := honest
			sum.Measures = in
			var err error
			if d.Summary, err = json.Marshal(sum); err != nil {
				t.Fatal(err)
			}
			s := newStore(t)
			if _, err := s.Merge(Contents{}, []DayContents{d}, false); err != nil {
				t.Errorf("ended %v: %v", end, err)
				continue
			}
			var got ledger.Summary
			if _, days := gather(t, s); len(days) != 1 || json.Unmarshal(days[0].Summary, &got) != nil || got.Measures != want {
				t.Errorf("ended %v, %q came in: %q, not %q", end, in, got.Measures, want)
			}
		}
	}
}
