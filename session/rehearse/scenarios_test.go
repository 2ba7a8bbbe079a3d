package rehearse_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
)

var update = flag.Bool("update", false, "write the sentences of the contradictory scripts anew")

const scenarios = "../../testdata/scenarios/"

func script(t testing.TB, path string) rehearse.Script {
	t.Helper()
	text := must.Get(os.ReadFile(path)).In(t)
	s, err := rehearse.Read(text)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return s
}

// good lists every script that has to play to its end.
func good(t testing.TB) map[string]rehearse.Script {
	t.Helper()
	paths, err := filepath.Glob(scenarios + "*.json")
	if err != nil || len(paths) < 3 {
		t.Fatalf("%d scenarios in %s: %v", len(paths), scenarios, err)
	}
	out := map[string]rehearse.Script{"demo": rehearse.Demo()}
	for _, p := range paths {
		out[filepath.Base(p)] = script(t, p)
	}
	return out
}

func journal(t testing.TB, s rehearse.Script) ([]session.Recorded, session.Day) {
	t.Helper()
	var recs []session.Recorded
	d := must.Get(rehearse.Play(s, func(r session.Recorded, _ session.Day) { recs = append(recs, r) })).In(t)
	return recs, d
}

// Every scenario plays through, meets its expectations, makes the same journal
// twice, and that journal is a whole day by itself.
func TestScenarios(t *testing.T) {
	for name, s := range good(t) {
		if len(s.Expect) == 0 {
			t.Errorf("%s expects nothing", name)
		}
		if !long.Run() && strings.HasSuffix(name, "-day.json") {
			continue // TestHowADaySounds plays them
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			recs, d := journal(t, s)
			if long.Run() || name == "demo" { // TestAnyHands plays twice too
				again, _ := journal(t, s)
				if one, two := encode(t, recs), encode(t, again); !bytes.Equal(one, two) {
					t.Error("the same script made two journals")
				}
			}
			for i, r := range recs {
				if r.Seq != uint64(i+1) || i > 0 && r.At.Before(recs[i-1].At) {
					t.Fatalf("event %d has number %d at %v", i+1, r.Seq, r.At)
				}
			}
			told := session.Replay(recs)
			if d.Running() || !reflect.DeepEqual(ledger.Summarise(1, told), ledger.Summarise(1, d)) ||
				!reflect.DeepEqual(told.Baths, d.Baths) || !reflect.DeepEqual(told.AlarmLog, d.AlarmLog) {
				t.Error("the journal tells another day, or one that goes on")
			}
		})
	}
}

func encode(t testing.TB, recs []session.Recorded) []byte {
	t.Helper()
	b := must.Get(json.Marshal(recs)).In(t)
	return b
}

// A script that contradicts itself is refused with the sentence beside it,
// when it is read or when it is played.
func TestContradictions(t *testing.T) {
	paths, err := filepath.Glob(scenarios + "contradictions/*.json")
	if err != nil || len(paths) < 20 {
		t.Fatalf("%d contradictions: %v", len(paths), err)
	}
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			text := must.Get(os.ReadFile(path)).In(t)
			s, err := rehearse.Read(text)
			if err == nil {
				_, err = rehearse.Play(s, nil)
			}
			if err == nil {
				t.Fatal("it was played to the end")
			}
			file := strings.TrimSuffix(path, ".json") + ".txt"
			if *update {
				must.Do(t, os.WriteFile(file, []byte(err.Error()+"\n"), 0o600))
			}
			want := must.Get(os.ReadFile(file)).In(t)
			if got := err.Error() + "\n"; got != string(want) {
				t.Errorf("said:\n%swant:\n%s", got, want)
			}
		})
	}
}

// The demo shows what it is for: an alarm rings unanswered for minutes, the
// readings bring the forecast nearer to the truth, and there is a yield.
func TestDemo(t *testing.T) {
	recs, d := journal(t, rehearse.Demo())
	r := ledger.ReviewOf(d)
	if len(r.Batches) != 3 || r.YieldPart < 0.4 || r.YieldPart > 0.8 {
		t.Errorf("%d batches, yield %.2f", len(r.Batches), r.YieldPart)
	}
	longest := 0.0
	for _, a := range r.Alarms {
		longest = max(longest, a.Seconds)
	}
	if longest < 4*60 {
		t.Errorf("the longest alarm rang for %.0f s", longest)
	}
	var off []float64
	for _, rec := range recs {
		if e, ok := rec.Event.(session.ReadingTaken); ok && e.Tub == 0 {
			off = append(off, e.ForecastC-e.TempC)
		}
	}
	if len(off) < 2 || off[0] < 0.5 || off[len(off)-1] >= off[0] {
		t.Errorf("forecasts were off by %.2f °C", off)
	}
	kinds := map[string]bool{}
	for _, rec := range recs {
		kinds[session.KindOf(rec.Event)] = true
	}
	for _, k := range []string{"cover changed", "topped up", "alarm raised", "alarm acknowledged", "batch weighed", "note added"} {
		if !kinds[k] {
			t.Errorf("nothing of the kind %q happens", k)
		}
	}
	if length := d.EndedAt.Sub(d.StartedAt); length < 100*time.Minute || length > 150*time.Minute {
		t.Errorf("the demo takes %v", length)
	}
}

// With nobody there the alarm gets worse and rings until the person is back.
func TestForgottenTub(t *testing.T) {
	_, d := journal(t, script(t, scenarios+"forgotten-tub.json"))
	var kinds []session.AlarmKind
	for _, a := range ledger.ReviewOf(d).Alarms {
		kinds = append(kinds, a.Kind)
		if a.Kind == session.BelowRelease && a.Rings < 10 {
			t.Errorf("it rang %d times", a.Rings)
		}
	}
	if i := slices.Index(kinds, session.NearRelease); i < 0 || i+1 >= len(kinds) || kinds[i+1] != session.BelowRelease {
		t.Errorf("alarms: %v", kinds)
	}
}

// Nothing rings at night.
func TestOvernight(t *testing.T) {
	s := script(t, scenarios+"overnight.json")
	recs, _ := journal(t, s)
	for _, r := range recs {
		a, rings := r.Event.(session.AlarmRaised)
		if at := r.At.Sub(s.Start); rings && at < 12*time.Hour && (a.Alarm != session.KettleNow || at < 12*time.Hour-10*time.Minute) {
			t.Errorf("an alarm after %v", at)
		}
	}
}

// What a person takes back is not in the day.
func TestShortDay(t *testing.T) {
	_, d := journal(t, script(t, scenarios+"short-day.json"))
	if n := len(d.Baths[0].Readings); n != 1 || d.Baths[0].Readings[0].TempC != 64 {
		t.Errorf("readings: %+v", d.Baths[0].Readings)
	}
	if d.Baths[0].HeldFor != 3*time.Minute || !d.EndEarly || len(d.Baths) != 2 {
		t.Errorf("held %v, early %v, %d baths", d.Baths[0].HeldFor, d.EndEarly, len(d.Baths))
	}
}

// A script that was changed after it was read is checked again.
func TestPlayChecks(t *testing.T) {
	s := rehearse.Demo()
	s.Do[len(s.Do)-1].Batch = "A9"
	if _, err := rehearse.Play(s, nil); err == nil || !strings.Contains(err.Error(), `there is no batch "A9"`) {
		t.Errorf("said: %v", err)
	}
}
