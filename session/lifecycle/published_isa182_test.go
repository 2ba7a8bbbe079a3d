package lifecycle_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/lifecycle"
)

var (
	states = []lifecycle.State{lifecycle.Normal, lifecycle.Unacknowledged, lifecycle.Acknowledged, lifecycle.Returned, lifecycle.Shelved, lifecycle.OutOfService}
	inputs = []lifecycle.Input{lifecycle.Arise, lifecycle.Clear, lifecycle.Acknowledge, lifecycle.ComeBack, lifecycle.Shelve, lifecycle.Unshelve, lifecycle.Withdraw, lifecycle.Restore}
)

// The alarm state transition diagram of ISA-18.2 (2016) and IEC 62682 (2014),
// from memory: one row for each pair of state and input. "=" is no transition.
// Where a shelved alarm or one out of service is released, the standard has it
// go to normal or to unacknowledged, as the process is then; both are rows.
func TestPublishedTransitions(t *testing.T) {
	const (
		n, u, a, r, s, o = lifecycle.Normal, lifecycle.Unacknowledged, lifecycle.Acknowledged, lifecycle.Returned, lifecycle.Shelved, lifecycle.OutOfService
		same             = lifecycle.State(-1)
	)
	type row struct {
		from  lifecycle.State
		holds bool // the cause holds before
		to    map[lifecycle.Input]lifecycle.State
	}
	in := func(arise, clear, ack, back, shelve, unshelve, withdraw, restore lifecycle.State) map[lifecycle.Input]lifecycle.State {
		return map[lifecycle.Input]lifecycle.State{
			lifecycle.Arise: arise, lifecycle.Clear: clear, lifecycle.Acknowledge: ack, lifecycle.ComeBack: back,
			lifecycle.Shelve: shelve, lifecycle.Unshelve: unshelve, lifecycle.Withdraw: withdraw, lifecycle.Restore: restore,
		}
	}
	rows := []row{
		// from             arise clear ack   back  shelve unshelve withdraw restore
		{n, false, in(u, same, same, same, s, same, o, same)},
		{u, true, in(same, r, a, same, s, same, o, same)},
		{a, true, in(same, n, same, u, s, same, o, same)},
		{r, false, in(u, same, n, same, s, same, o, same)},
		{s, true, in(same, s, same, same, same, u, o, same)},
		{s, false, in(s, same, same, same, same, n, o, same)},
		{o, true, in(same, o, same, same, same, same, same, u)},
		{o, false, in(o, same, same, same, same, same, same, n)},
	}
	seen := map[[2]int]bool{}
	for _, row := range rows {
		for _, input := range inputs {
			want, ok := row.to[input]
			if !ok {
				t.Fatalf("no column for %v", input)
			}
			seen[[2]int{int(row.from), int(input)}] = true
			before := lifecycle.Alarm{State: row.from, Holds: row.holds, Until: time.Unix(9, 0), Why: "invented"}
			after, reason := before.Next(input, time.Unix(60, 0), "invented")
			if want == same {
				if after != before || reason != lifecycle.Refused {
					t.Errorf("%v (holds %v), %v: %v for %v, nothing was to happen", row.from, row.holds, input, after, reason)
				}
				continue
			}
			if after.State != want || reason == lifecycle.Refused {
				t.Errorf("%v (holds %v), %v: %v for %v, want %v", row.from, row.holds, input, after.State, reason, want)
			}
		}
	}
	for _, state := range states {
		for _, input := range inputs {
			if !seen[[2]int{int(state), int(input)}] {
				t.Errorf("the pair %v, %v is not in the table", state, input)
			}
		}
	}
}

// A shelf has an end and a reason (ISA-18.2), else it is refused.
func TestPublishedShelvingIsLimited(t *testing.T) {
	a, _ := lifecycle.Alarm{}.Next(lifecycle.Arise, time.Time{}, "")
	for _, c := range []struct {
		until time.Time
		why   string
	}{{time.Time{}, "on my way"}, {time.Unix(60, 0), ""}} {
		if got, reason := a.Next(lifecycle.Shelve, c.until, c.why); got != a || reason != lifecycle.Refused {
			t.Errorf("shelved until %v because of %q: %v", c.until, c.why, reason)
		}
	}
	s, reason := a.Next(lifecycle.Shelve, time.Unix(60, 0), "on my way")
	if reason != lifecycle.PutOff || s.ShelfOver(time.Unix(59, 0)) || !s.ShelfOver(time.Unix(60, 0)) {
		t.Errorf("%+v, %v", s, reason)
	}
	back, reason := s.Next(lifecycle.Unshelve, time.Time{}, "")
	if reason != lifecycle.PutOffOver || !back.Rings() || back.Why != "" || !back.Until.IsZero() {
		t.Errorf("%+v, %v", back, reason)
	}
}

// Every word is its own.
func TestWords(t *testing.T) {
	seen := map[string]bool{}
	add := func(w string) {
		if w == "" || seen[w] {
			t.Errorf("%q is used twice or empty", w)
		}
		seen[w] = true
	}
	for _, s := range states {
		add(s.String())
	}
	for r := lifecycle.Raised; r <= lifecycle.Refused; r++ {
		add(r.String())
	}
	for _, odd := range []interface{ String() string }{lifecycle.State(99), lifecycle.Input(99), lifecycle.Reason(-1)} {
		if odd.String() == "" {
			t.Error("no word for what is unknown")
		}
	}
}

// The policy of repeats: a call is said once, a low one hardly, a high one densely.
func TestEscalation(t *testing.T) {
	if lifecycle.Level(1) != 1 || lifecycle.Level(5) != 2 || lifecycle.Level(500) != lifecycle.MostLevel {
		t.Error("levels")
	}
	for _, c := range []struct {
		priority, rings int
		standing, want  time.Duration
		ok              bool
	}{
		{3, 1, 0, 30 * time.Second, true}, {3, 9, 6 * time.Minute, time.Minute, true}, {2, 9, 6 * time.Minute, 5 * time.Minute, true},
		{1, 1, 0, 10 * time.Minute, true}, {1, 2, time.Hour, 10 * time.Minute, false}, {0, 1, 0, 0, false},
	} {
		if got, ok := lifecycle.RepeatAfter(c.priority, c.rings, c.standing); got != c.want || ok != c.ok {
			t.Errorf("%+v: %v %v", c, got, ok)
		}
	}
}
