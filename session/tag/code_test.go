package tag

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

func TestCodesOfKnownDays(t *testing.T) {
	for _, c := range []struct {
		day   shed.DayID
		batch string
	}{{1, "A1"}, {31, "A2"}, {32, "B1"}, {1000, "C4"}, {1 << 59, "A200"}, {7, "AB1"}, {365, "A45"}, {365, "GR1"}} {
		code := must.Get(Code(c.day, c.batch)).In(t)
		day, batch, err := Parse(code)
		if err != nil || day != c.day || batch != c.batch {
			t.Errorf("%s of day %d, %s reads as day %d, %s (%v)", code, c.day, c.batch, day, batch, err)
		}
	}
	for _, c := range []struct {
		day   shed.DayID
		batch string
		signs int
	}{{31, "A6", 4}, {1023, "F4", 5}, {1024, "A1", 6}} {
		if code, err := Code(c.day, c.batch); err != nil || len(code) != c.signs {
			t.Errorf("day %d, %s: %q (%v), want %d signs", c.day, c.batch, code, err, c.signs)
		}
	}
}

// The marks that the ledger gives are those that codes know: every one of a
// day of 200 batches, however they are spread over fleeces.
func TestEveryMarkOfADayHasACode(t *testing.T) {
	seen := map[string]string{}
	for _, fleeces := range []int{1, 3, 40, 200} {
		var fs []shed.Fleece
		var bs []shed.Batch
		for i := range fleeces {
			fs = append(fs, shed.Fleece{ID: fmt.Sprint(i)})
		}
		for i := range 200 {
			bs = append(bs, shed.Batch{FleeceID: fmt.Sprint(i % fleeces)})
		}
		for _, b := range shed.LabelBatches(fs, bs, 0) {
			code := must.Get(Code(9, b.ID)).In(t)
			if other, ok := seen[code]; ok && other != b.ID {
				t.Fatalf("%s and %s have the same code %s", other, b.ID, code)
			}
			seen[code] = b.ID
		}
	}
}

func drawMark(t *rapid.T) (shed.DayID, string, string) {
	day := shed.DayID(rapid.OneOf(rapid.Uint64Range(1, 5000), rapid.Uint64Range(1, 1<<60-1)).Draw(t, "day"))
	batch := mark(rapid.OneOf(rapid.Uint64Range(0, 300), rapid.Uint64Range(0, longEnd-1)).Draw(t, "batch"))
	code := must.Get(Code(day, batch)).In(t)
	return day, batch, code
}

func TestCodeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day, batch, code := drawMark(t)
		sloppy := strings.NewReplacer("0", "o", "1", "l").Replace(strings.ToLower(" " + code[:2] + "-" + code[2:] + " "))
		for _, text := range []string{code, strings.ToLower(code), sloppy, strings.ReplaceAll(code, "1", "i")} {
			d, b, err := Parse(text)
			if err != nil || d != day || b != batch {
				t.Fatalf("%q of day %d, %s reads as %d, %s (%v)", text, day, batch, d, b, err)
			}
		}
	})
}

// Every single wrong sign and every swap of two neighbours is noticed.
func TestCodeDetectsSlips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, _, code := drawMark(t)
		refused := func(text string) {
			if day, batch, err := Parse(text); err == nil {
				t.Fatalf("%s for %s reads as day %d, %s (%v)", text, code, day, batch, err)
			}
		}
		for i := range code {
			for _, r := range alphabet {
				if byte(r) != code[i] {
					refused(code[:i] + string(r) + code[i+1:])
				}
			}
			if i > 0 && code[i] != code[i-1] {
				refused(code[:i-1] + string(code[i]) + string(code[i-1]) + code[i+1:])
			}
		}
	})
}

// A lost or doubled sign is not always noticed, but nearly.
func TestCodeMostlyDetectsLostSigns(t *testing.T) {
	tried, missed := 0, 0
	for day := shed.DayID(1); day <= 300; day++ {
		for n := range uint64(20) {
			code := must.Get(Code(day, mark(n))).In(t)
			for i := range code {
				for _, text := range []string{code[:i] + code[i+1:], code[:i] + code[i:i+1] + code[i:]} {
					tried++
					if _, _, err := Parse(text); err == nil {
						missed++
					}
				}
			}
		}
	}
	t.Logf("%d of %d missed", missed, tried)
	if missed*20 > tried {
		t.Errorf("%d of %d lost or doubled signs are taken for a code", missed, tried)
	}
}

func TestCodeRefusals(t *testing.T) {
	for text, want := range map[string]string{
		"":             "too short",
		"12":           "too short",
		"1U06":         "not a sign of a code",
		"A\x1b[2J1?":   `'?' is not a sign`,
		"0011":         "not quite a code",
		"Bramble":      "not quite a code",
		"0000000000":   "",
		"ZZZZZZZZZZZZ": "",
	} {
		_, _, err := Parse(text)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	for _, batch := range []string{"", "A", "1", "a1", "A0", "A01", "Ä1", "A1 ", "ABCD1", "A1000000000000000000000", "ZZZ99999"} {
		if code, err := Code(1, batch); err == nil {
			t.Errorf("batch %q has the code %s", batch, code)
		}
	}
	if _, err := Code(0, "A1"); err == nil {
		t.Error("day 0 has a code")
	}
}

func FuzzParse(f *testing.F) {
	f.Add("1006")
	f.Add("z 0zz1-2")
	f.Fuzz(func(t *testing.T, text string) {
		day, batch, err := Parse(text)
		if err != nil {
			if err == nil {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		code, err := Code(day, batch)
		if err != nil {
			t.Fatalf("%q reads as day %d, %s, which has no code: %v", text, day, batch, err)
		}
		if d, b, err := Parse(code); err != nil || d != day || b != batch {
			t.Fatalf("%q reads as day %d, %s, its code %s as %d, %s (%v)", text, day, batch, code, d, b, err)
		}
	})
}
