package exchange

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/store"
)

func tableOf(t sessiontest.Reporter, rows []Row) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := newTable(&b).WriteAll(append([][]string{Columns()}, cells(columns, rows)...)); err != nil {
		t.Fatalf("table: %v", err)
	}
	return b.Bytes()
}

func TestTable(t *testing.T) {
	d := session.Day{StartedAt: morning, Plan: shed.Plan{
		Fleeces: []shed.Fleece{{ID: "f1", Animal: `=1+1, "Bramble"`, Farm: "Ninefold Farm", Year: 2026, Type: shed.Fine, Wax: shed.High, RawG: 900, SkirtedG: 850, StapleMM: 95, Colour: "@moorit", Notes: "-3 after a wet spring"},
			{ID: "f2", Animal: "Žofie 羊"}},
		Kit: shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "top", Places: 2, Layers: 4}}},
		Batches: []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 212.5, Form: shed.Locks, Presoak: shed.PresoakOvernight,
			RawScale: shed.Scale{Name: "kitchen", StepG: 0.5}, Part: "=britch", Layers: 3}, {ID: "B1", FleeceID: "f2", RawG: 100, Again: shed.Earlier{Day: 1, Batch: "A1"}}, {ID: "B2", FleeceID: "f2", RawG: 100}}, // B2 never went in
	}, Fate: map[string]session.Fate{"B1": {SunkAt: morning}, "A1": {SunkAt: morning.Add(time.Hour), RackedAt: morning.Add(15 * time.Hour), Washes: 2, DryG: 121.5, DryAt: morning.Add(39 * time.Hour),
		DryScale: shed.Scale{Name: "hanging", StepG: 5}, DryRH: 0.55, Tray: "r1", SoakedG: 190.5, Out: session.Outcome{Found: session.StillWaxy | session.TipsStuck, Note: "=the britch, still", Place: "attic, blue box"}, Spots: []shed.Spot{{Place: 1, From: 2, To: 4}, {Place: 2, From: 1, To: 1}}, Wet: []shed.WetWeight{{At: morning.Add(15 * time.Hour), MassG: 180}}}}}
	rows := must.Get(RowsOf(1, d, time.FixedZone("east", 2*3600))).In(t)
	want := strings.ReplaceAll(`day,washed_on,code,batch,fleece,animal,farm,clip_year,type,wax,felting,form,presoak,raw_g,dry_g,yield_percent,fleece_notes,colour,staple_mm,fleece_raw_g,fleece_skirted_g,raw_scale,raw_scale_step_g,dry_scale,dry_scale_step_g,humidity_percent,tray,racked_at,bagged_at,first_wet_g,part,locks_layers,after_presoak_g,tray_layers,came_out,came_out_words,washes,washed_again_from,method,tub,entered_later,place,mark,dry_before_g,went_on_from
1,2026-06-14,'001J,A1,f1,"'=1+1, ""Bramble""",Ninefold Farm,2026,fine,high,medium,locks,overnight,212.5,121.5,57.2,'-3 after a wet spring,'@moorit,95,900,850,kitchen,0.5,hanging,5,55,top,2026-06-14T00:30:00+02:00,2026-06-15T00:30:00+02:00,180,'=britch,3,190.5,1:2-4 2:1-1,"still waxy, tips stuck","'=the britch, still",2,,,,,"attic, blue box",,,
1,,'021T,B1,f2,Žofie 羊,,,medium,medium,medium,loose,as the method,100,,,,,,,,,,,,,,,,,,,,,,,,'001J,,,,,,,
`, "\n", "\r\n")
	if got := string(tableOf(t, rows)); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Weights typed in ounces are told to a hundredth of a gram.
func TestTableMasses(t *testing.T) {
	const oz = 28.349523125
	d := session.Day{StartedAt: morning, Plan: shed.Plan{
		Fleeces: []shed.Fleece{{ID: "f1", Animal: "Invented", RawG: 40 * oz, SkirtedG: 38.5 * oz, StapleMM: 177.79999999999998}},
		Batches: []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 7.9 * oz, RawScale: shed.Scale{StepG: oz / 10}}},
	}, Fate: map[string]session.Fate{"A1": {RackedAt: morning, DryG: 5.3 * oz, DryScale: shed.Scale{StepG: oz / 10}, SoakedG: 7.1 * oz, Wet: []shed.WetWeight{{MassG: 9.7 * oz}}}}}
	rows := must.Get(RowsOf(1, d, time.UTC)).In(t)
	cells := must.Get(csv.NewReader(bytes.NewReader(tableOf(t, rows))).ReadAll()).In(t)
	for name, want := range map[string]string{
		"raw_g": "223.96", "dry_g": "150.25", "fleece_raw_g": "1133.98", "fleece_skirted_g": "1091.46", "raw_scale_step_g": "2.83",
		"dry_scale_step_g": "2.83", "after_presoak_g": "201.28", "first_wet_g": "274.99", "yield_percent": "67.1", "staple_mm": "177.8",
	} {
		if got := cells[1][slices.Index(cells[0], name)]; got != want {
			t.Errorf("%s is %s, want %s", name, got, want)
		}
	}
}

// The table of a store has its days in order, however they were read, and an
// error of any of them is said.
func TestWriteCSV(t *testing.T) {
	s := newStore(t)
	for range 12 {
		washDemo(t, s)
	}
	var b bytes.Buffer
	must.Do(t, WriteCSV(&b, s, time.UTC))
	cells := must.Get(csv.NewReader(&b).ReadAll()).In(t)
	per := (len(cells) - 1) / 12
	for i, line := range cells[1:] {
		if want := strconv.Itoa(1 + i/per); line[0] != want || per < 2 {
			t.Fatalf("row %d is of day %s, want %s", i, line[0], want)
		}
	}
	if err := WriteCSV(&shortWriter{}, s, time.UTC); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Error(err)
	}
	if err := WriteCSV(io.Discard, tornDays{s, 5}, time.UTC); err == nil || !strings.Contains(err.Error(), "day 5 is torn") {
		t.Error(err)
	}
	must.Do(t, s.Close())
	if err := WriteCSV(io.Discard, s, time.UTC); !errors.Is(err, store.ErrClosed) {
		t.Error(err)
	}
}

// tornDays has one day that does not read.
type tornDays struct {
	*store.Store
	torn shed.DayID
}

func (d tornDays) Outline(id shed.DayID) (session.Day, error) {
	if id == d.torn {
		return session.Day{}, fmt.Errorf("day %d is torn", id)
	}
	return d.Store.Outline(id)
}

// plainDays has no outlines: every event is read.
type plainDays struct{ of Days }

func (d plainDays) Days(limit int) ([]ledger.Summary, error) { return d.of.Days(limit) }

func (d plainDays) Day(id shed.DayID) (session.Day, error) { return d.of.Day(id) }

// TestOutlineMakesTheSameTable: what is left out of a day is not missed.
func TestOutlineMakesTheSameTable(t *testing.T) {
	s := newStore(t)
	for range 3 {
		washDemo(t, s)
	}
	var quick, whole bytes.Buffer
	must.Do(t, errors.Join(WriteCSV(&quick, s, time.UTC), WriteCSV(&whole, plainDays{s}, time.UTC)))
	if quick.String() != whole.String() || strings.Count(whole.String(), "\n") < 7 {
		t.Errorf("by outlines\n%s\nby all events\n%s", &quick, &whole)
	}
}

func TestHarmless(t *testing.T) {
	for text, want := range map[string]string{"": "", "Bramble": "Bramble", "=SUM(A1)": "'=SUM(A1)", "+1": "'+1", "-1": "'-1", "@cmd": "'@cmd",
		"\tx": "'\tx", "\rx": "'\rx", "＝1": "'＝1", "a=b": "a=b", "'quoted": "''quoted", "é": "é"} {
		if got := harmless(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}

// Every cell that a strict reader finds is the one that was meant, and none is
// a formula.
func TestTableReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, _ := drawDay(t, morning, true)
		rows := must.Get(RowsOf(shed.DayID(rapid.Uint64Range(1, 1<<40).Draw(t, "id")), d, time.UTC)).In(t)
		text := tableOf(t, rows)
		if n := bytes.Count(text, []byte("\n")); bytes.Count(text, []byte("\r\n")) != n || n != len(rows)+1 || len(rows) != len(d.Washed()) {
			t.Fatalf("%d line ends for %d rows in %q", n, len(rows), text)
		}
		cells := must.Get(csv.NewReader(bytes.NewReader(text)).ReadAll()).In(t)
		at := func(line []string, name string) string { return line[slices.Index(cells[0], name)] }
		for i, line := range cells[1:] {
			for _, cell := range line {
				if cell != "" && strings.ContainsAny(cell[:1], "=+-@") {
					t.Fatalf("%q is a formula", cell)
				}
			}
			b, f := d.Washed()[i], d.FleeceOf(d.Washed()[i].ID)
			if raw, err := strconv.ParseFloat(at(line, "raw_g"), 64); err != nil || math.Abs(raw-b.RawG) > 0.005+1e-9 {
				t.Fatalf("raw %v of %v (%v)", raw, b.RawG, err)
			}
			dry, _ := strconv.ParseFloat(at(line, "dry_g"), 64)
			if math.Abs(dry-d.Fate[b.ID].DryG) > 0.005+1e-9 {
				t.Fatalf("dry %v of %v", dry, d.Fate[b.ID].DryG)
			}
			if at(line, "animal") != f.Animal || strings.TrimPrefix(at(line, "farm"), "'") != f.Farm || at(line, "batch") != b.ID {
				t.Fatalf("%q of %+v", line, f)
			}
			must.Get(time.Parse(time.DateOnly, at(line, "washed_on"))).In(t)
		}
	})
}

// A spreadsheet program takes a name for text that it would otherwise have
// reckoned out.
func TestSpreadsheetReadsTable(t *testing.T) {
	convert, err := exec.LookPath("ssconvert")
	if err != nil {
		if os.Getenv("NEED_SPREADSHEET") != "" {
			t.Fatal("the spreadsheet program that was there is gone")
		}
		t.Skip("no spreadsheet program here")
	}
	dir := t.TempDir()
	through := func(text []byte) []string { // in as a table, out as another one
		t.Helper()
		in, out := filepath.Join(dir, "in.csv"), filepath.Join(dir, "out.csv")
		must.Do(t, os.WriteFile(in, text, 0o600))
		if said, err := exec.Command(convert, in, out).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, said)
		}
		back := must.Get(os.ReadFile(out)).In(t)
		cells, err := csv.NewReader(bytes.NewReader(back)).ReadAll()
		if err != nil || len(cells) != 2 {
			t.Fatalf("%q (%v)", back, err)
		}
		return cells[1]
	}
	const name = "=40+2"
	d := session.Day{StartedAt: morning, Plan: shed.Plan{Fleeces: []shed.Fleece{{ID: "f1", Animal: name, Farm: `Žofie, "the" 羊`}},
		Batches: []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 212.5}}}, Fate: map[string]session.Fate{"A1": {SunkAt: morning, LiftedAt: morning}}}
	rows := must.Get(RowsOf(1, d, time.UTC)).In(t)
	text := tableOf(t, rows)
	if l := through(text); l[5] != name || l[6] != `Žofie, "the" 羊` || l[13] != "212.5" || l[1] != "2026-06-13" && l[1] != "2026/06/13" {
		t.Errorf("%q", l)
	}
	if l := through(bytes.Replace(text, []byte("'"+name), []byte(name), 1)); l[5] != "42" {
		t.Errorf("without the apostrophe it is %q: this program shows nothing", l[5])
	}
}

// Every code stands as text, for a spreadsheet would read some as numbers, and is
// found again as it stands there.
func TestCodesStayText(t *testing.T) {
	for day := shed.DayID(1); day <= 40; day++ {
		for _, batch := range []string{"A1", "B2", "C3", "D1", "A9"} {
			code := must.Get(tag.Code(day, batch)).In(t)
			cell := asText(code)
			if _, err := strconv.ParseFloat(cell, 64); err == nil {
				t.Errorf("%q reads as a number", cell)
			}
			if cell != "'"+code {
				t.Errorf("%q stands as %q", code, cell)
			}
			if d, b, err := tag.Parse(cell); err != nil || d != day || b != batch {
				t.Errorf("%q is found as day %d, %s (%v)", cell, d, b, err)
			}
		}
	}
}

// The table of baths has each bath before its readings, with what is known of it and how.
func TestBathsTable(t *testing.T) {
	s := newStore(t)
	washDemo(t, s)
	var b bytes.Buffer
	must.Do(t, WriteBaths(&b, s, time.UTC))
	rows := must.Get(csv.NewReader(&b).ReadAll()).In(t)
	at := func(row []string, name string) string { return row[slices.Index(rows[0], name)] }
	baths, readings := 0, 0
	for i, row := range rows[1:] {
		switch at(row, "what") {
		case "bath":
			baths++
			if at(row, "in_c") == "" || at(row, "out_c") == "" || at(row, "volume_l") == "" || at(row, "tub") == "" {
				t.Errorf("%q", row)
			}
			if (at(row, "release_c") == "") != (at(row, "margin_c") == "") {
				t.Errorf("%q", row)
			}
		case "reading":
			readings++
			if at(rows[i], "code") != at(row, "code") || at(row, "temp_c") == "" || at(row, "forecast_c") == "" || at(row, "soaked_min") != "" {
				t.Errorf("%q", row)
			}
		default:
			t.Errorf("%q", row)
		}
	}
	if baths < 6 || readings < 2 {
		t.Errorf("%d baths, %d readings", baths, readings)
	}
	must.Do(t, s.Close())
}

// A batch that was left wet after its wash and goes on with its rinse was washed once, as the row of its later day says too.
func TestABatchThatWentOnWasWashedOnce(t *testing.T) {
	t.Parallel()
	p := sessiontest.OneTub()
	p.Batches[0].Again, p.Batches[0].Washed, p.Batches[0].FromStep = shed.Earlier{Day: 1, Batch: "A1"}, 1, p.Method.Steps[2].Name
	r := sessiontest.Start(t, p).Until(0, shed.Soaking)
	rows, err := RowsOf(2, r.Day, time.UTC)
	if err != nil || len(rows) != 1 || r.Day.Fate["A1"].Washes != 0 {
		t.Fatalf("%v: %+v", err, rows)
	}
	sessiontest.Same(t, "washes", rows[0].Fate.Washes, 1)
}
