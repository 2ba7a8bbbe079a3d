package exchange

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

var cardsNow = time.Date(2026, 11, 29, 18, 0, 0, 0, time.UTC)

// took takes a table of cards into a store.
func took(t *testing.T, s *store.Store, table []byte) ledger.Taken {
	t.Helper()
	cards, bad, err := CardReader{Zone: time.UTC, Now: cardsNow}.Cards(bytes.NewReader(table))
	if err != nil || len(bad) > 0 {
		t.Fatalf("%v %v", err, bad)
	}
	taken, err := s.TakeCards(cards, nil, shed.DefaultKit(), time.UTC, cardsNow, false, false)
	if err != nil || len(taken.Bad) > 0 {
		t.Fatalf("%v %v", err, taken.Bad)
	}
	return taken
}

// yieldsOf are the fleeces of a record as testdata/cards-yields.csv has them.
func yieldsOf(t *testing.T, s *store.Store) (out []string) {
	t.Helper()
	fleeces := must.Get(s.Fleeces()).In(t)
	days := must.Get(s.Days(0)).In(t)
	for _, x := range ledger.Book(fleeces, days) {
		out = append(out, fmt.Sprintf("%s,%d,%.0f,%.0f,%.1f,%.0f", x.Fleece.Animal, x.Washed, x.RawG, x.DryG, 100*x.YieldPart(), x.LeftG))
		if x.Drying > 0 {
			t.Errorf("%s dries by its cards", x.Fleece.Animal)
		}
	}
	slices.Sort(out)
	return out
}

// Cards give the yields that were worked out by hand; the table of them gives the same in
// another record, and nothing when it comes a second time. No day of them teaches anything.
func TestCards(t *testing.T) {
	t.Parallel()
	table := must.Get(os.ReadFile("testdata/cards.csv")).In(t)
	f := must.Get(os.Open("testdata/cards-yields.csv")).In(t)
	defer func() { _ = f.Close() }()
	worked := must.Get(csv.NewReader(f).ReadAll()).In(t)
	var want []string
	for _, cells := range worked[1:] {
		want = append(want, strings.Join(cells[:6], ","))
	}
	one, two := newStore(t), newStore(t)
	if taken := took(t, one, table); len(taken.Days) != 3+1 || len(taken.Fleeces) != 2 { // one is without a method
		t.Errorf("%d days, %d fleeces", len(taken.Days), len(taken.Fleeces))
	}
	wantSame(t, yieldsOf(t, one), want)
	var written, again bytes.Buffer
	must.Do(t, WriteCSV(&written, one, time.UTC))
	took(t, two, written.Bytes())
	wantSame(t, yieldsOf(t, two), want)
	if err := WriteCSV(&again, two, time.UTC); err != nil || again.String() != written.String() {
		t.Errorf("%v: the table of the table is\n%s\nnot\n%s", err, &again, &written)
	}
	for _, twice := range [][]byte{table, written.Bytes()} {
		if taken := took(t, one, twice); len(taken.Days) > 0 || taken.Here != 5 {
			t.Errorf("the second time: %d days, %d lines here", len(taken.Days), taken.Here)
		}
	}
	days, _ := two.Days(0)
	if p := ledger.PastOf(days); len(p.Heat)+len(p.Hands)+len(p.OnRack) > 0 || len(p.Gave) != 3 {
		t.Errorf("cards taught %+v", p)
	}
	if days[len(days)-1].StartedAt.Year() != 2023 {
		t.Error("the oldest is not last")
	}
	for _, s := range days {
		d, err := two.Day(s.ID)
		if said := lookback.Of(d); err != nil || len(said) > 0 || len(lookback.Advise([]session.Day{d})) > 0 || lookback.TimingsOf(d).Day.Was.Known() {
			t.Errorf("%v: a card tells %+v", err, said)
		}
	}
	d, err := two.Day(days[len(days)-2].ID)
	if err != nil || d.Fate["A1"].DryRH != 0.6 || d.Fate["A2"].Out.Note != "=lovely, crimp kept" || d.Fate["A2"].Out.Place != "attic, blue box" || d.Plan.Batches[1].Card.Tub != "Big blue" || !d.Fate["A1"].DryAt.Equal(time.Date(2024, 6, 3, 12, 0, 0, 0, time.UTC)) {
		t.Errorf("%v: %+v", err, d.Fate)
	}
}

// A batch washed again on a later day stands in the table with all its washes, its raw weight
// only where it was washed first and its dry weight only where last; the table reads back as it was written.
func TestTableCountsWeightsOnce(t *testing.T) {
	t.Parallel()
	one, two := newStore(t), newStore(t)
	took(t, one, []byte("washed_on,animal,code,washed_again_from,raw_g,dry_g,washes\n2024-06-01,Moss,001J,,200,110,2\n2024-06-08,Moss,002M,001J,,105,1\n2024-06-15,Moss,,002M,,102,\n"))
	var written, again bytes.Buffer
	must.Do(t, WriteCSV(&written, one, time.UTC))
	took(t, two, written.Bytes())
	if err := WriteCSV(&again, two, time.UTC); err != nil || again.String() != written.String() {
		t.Errorf("%v: the table of the table is\n%s\nnot\n%s", err, &again, &written)
	}
	rows, _ := csv.NewReader(&written).ReadAll()
	for head, want := range map[string][]string{"raw_g": {"200", "", ""}, "dry_g": {"", "", "102"}, "dry_before_g": {"110", "105", ""}, "yield_percent": {"55", "52.5", "51"}, "washes": {"2", "3", ""}} {
		var got []string
		for _, row := range rows[1:] {
			got = append(got, row[slices.Index(rows[0], head)])
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", head, got, want)
		}
	}
	days, _ := two.Days(0)
	if err := two.DeleteDay(days[len(days)-1].ID); err != nil { // the first
		t.Fatal(err)
	}
	again.Reset()
	if err := WriteCSV(&again, two, time.UTC); err != nil || strings.Count(again.String(), ",as the method,200,") != 1 {
		t.Errorf("%v: with the first day gone the raw weight is not there once:\n%s", err, &again)
	}
}

// A batch that its day left wet after the wash and that another goes on with at its rinse reads back from the
// table as it is in the record: washed once, its raw weight once, its yield.
func TestTableOfABatchThatWentOn(t *testing.T) {
	t.Parallel()
	one, two := newStore(t), newStore(t)
	f := sessiontest.OneTub().Fleeces[0]
	f.ID = ""
	f, err := one.SaveFleece(f)
	if err != nil {
		t.Fatal(err)
	}
	plan := sessiontest.OneTub()
	plan.Fleeces[0], plan.Batches[0].FleeceID = f, f.ID
	left := sessiontest.Start(t, plan).Until(0, shed.Soaking).Do(session.EndDay{Anyway: true})
	id := keep(t, one, left.Day, left.Recs)
	plan.Batches = slices.Clone(plan.Batches)
	plan.Batches[0].Again, plan.Batches[0].Washed, plan.Batches[0].FromStep = shed.Earlier{Day: id, Batch: "A1"}, 1, plan.Method.Steps[2].Name
	on := sessiontest.StartAt(t, plan, left.Now.Add(24*time.Hour)).Rack(1).Do(session.EndDay{})
	on.Now = on.Now.Add(72 * time.Hour)
	on.Do(session.Weigh{Batch: "A1", DryG: 120, Dry: true, Sure: true})
	keep(t, one, on.Day, on.Recs)

	var written, again bytes.Buffer
	if err := WriteCSV(&written, one, time.UTC); err != nil {
		t.Fatal(err)
	}
	took(t, two, written.Bytes())
	wantSame(t, yieldsOf(t, two), yieldsOf(t, one))
	if err := WriteCSV(&again, two, time.UTC); err != nil {
		t.Fatal(err)
	}
	for _, table := range []*bytes.Buffer{&written, &again} {
		rows, _ := csv.NewReader(table).ReadAll()
		for head, want := range map[string][]string{"raw_g": {"225", ""}, "dry_g": {"", "120"}, "washes": {"1", "1"}, "went_on_from": {"", "first rinse"}} {
			var got []string
			for _, row := range rows[1:] {
				got = append(got, row[slices.Index(rows[0], head)])
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s: %q, want %q", head, got, want)
			}
		}
	}
	for _, s := range []*store.Store{one, two} {
		days, _ := s.Days(0)
		x := ledger.Book([]shed.Fleece{f}, days)[0]
		for _, b := range x.Batches {
			if n := x.Washes(b); n != 1 {
				t.Errorf("%s of day %d was washed %d times", b.ID, b.Day, n)
			}
		}
	}
}

// What a card does not say, the table that is written of it does not say either.
func TestCardsSayNoMore(t *testing.T) {
	t.Parallel()
	s := newStore(t)
	took(t, s, []byte("washed_on,animal,raw_g,washes,form,mark,year\n2024-06-01,Moss,200,,,bag 1,2024\n2024-06-02,Moss,200,1,loose,,2024\n2024-06-03,Moss,200,2,Locks,A1,2024\n"))
	var b bytes.Buffer
	must.Do(t, WriteCSV(&b, s, time.UTC))
	rows := must.Get(csv.NewReader(&b).ReadAll()).In(t)
	for head, want := range map[string][]string{"washes": {"", "1", "2"}, "form": {"", "loose", "locks"}, "mark": {"bag 1", "", ""}, "clip_year": {"2024", "2024", "2024"}} {
		var got []string
		for _, row := range rows[1:] {
			got = append(got, row[slices.Index(rows[0], head)])
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", head, got, want)
		}
	}
}

// A line that is not right is told by its number and column, and nothing is taken in.
func TestBadCards(t *testing.T) {
	t.Parallel()
	const head = "washed_on,animal,raw_g,dry_g,came_out,washed_again_from,fleece_raw_g\n"
	good := "2024-06-01,Moss,200,110,,,\n"
	for _, c := range []struct{ table, want string }{
		{"", "the file is empty"},
		{head, "its heads alone"},
		{"washed_on,animal,raw_g,wieght\n", "line 1, wieght: there is no such column: take it out, or name it as one of day, washed_on, code, batch, fleece, animal, farm, clip_year,"},
		{"washed_on,animal\n2024-06-01,Moss\n", "line 1, raw: the column is missing"},
		{"washed_on,animal,raw_g,raw\n2024-06-01,Moss,200,200\n", "line 1, raw: there are two columns for raw"},
		{"washed_on,animal,raw_g,\n", "line 1, column 4: it has no name"},
		{"washed_on,animal,raw_g,color\n", "line 1, color: there is no such column: name it colour"},
		{"washed_on,animal,raw_g,notes\n", "line 1, notes: there is no such column: name it note,"},
		{"washed_on,animal,raw_g,clpi_year\n", "line 1, clpi_year: there is no such column: name it clip_year"},
		{"washed_on,animal,raw_g,dry_kg\n", "line 1, dry_kg: there is no such column: take it out"},
		{head + good + "2024-06-01,\"Moss\n", "line 3 is no line of a table"},
		{head + good + "2024-06-01,Moss,200\n", "line 3, all: it has 3 cells, and the heads 7"},
		{head + good + strings.Repeat("\n", mostCardBytes), "the table is larger than 16 MB: split it in two"},
		{head + "2024-06-01,Moss,200,110," + strings.Repeat(" ", mostCardBytes), "the table is larger than 16 MB: split it in two"},
		{head + "32.6.2024,Moss,200,110,,,\n", "line 2, washed_on: \"32.6.2024\" isn't a date: type one such as 13 Jun 2026 or 2026-06-13"},
		{head + "1 Jun,Moss,200,110,,,\n", "line 2, washed_on: the year is missing: write it such as 1 Jun 20"},
		{"washed_on,animal,raw_g,dry_g,bagged_at\n2024-06-01,Moss,200,110,3.6.\n", "line 2, bagged_at: the year is missing"},
		{head + "2031-06-01,Moss,200,110,,,\n", "line 2, washed_on: that day is still to come"},
		{head + "2024-06-01,,200,110,,,\n", "line 2, animal: it is empty"},
		{head + "2024-06-01,Moss,-200,110,,,\n", "line 2, raw_g: "},
		{head + "2024-06-01,Moss,3,2,,,9000\n", "line 2, raw_g: Moss: a batch of 3 g"},
		{head + "2024-06-01,Moss,200,210,,,\n", "line 2, dry_g: A1: "},
		{head + good + "2024-06-02,Moss,200,20,,,\n", "line 3, dry_g: A1: "},
		{"washed_on,animal,raw_oz\n2024-06-01,Moss,0.1\n", "line 2, raw_oz: a whole fleece of 2.8 g"},
		{"washed_on,animal,raw_g\n" + strings.Repeat("2024-06-01,Moss,1999\n", 11), "the batches of Moss come to 21.99 kg, too much for one fleece: tell its years apart by clip_year"},
		{head + "2024-06-01,Moss,200,110,fluffy,,\n", "line 2, came_out: \"fluffy\" is not what is found: use one of clean, still waxy"},
		{head + "2024-06-01,Moss,200,110,,001K,\n", "line 2, washed_again_from: \"001K\" is not quite a code"},
		{head + "2024-06-01,Moss,200,110,,001J,900\n", "line 2, washed_again_from: no earlier day of this file has the code 001J"},
		{"washed_on,animal,raw_g,clip_year\n2023-12-31,Moss,200,2024\n", "line 2, washed_on: 31 Dec 2023 is before Moss was shorn, 2024. Is the day right?"},
		{head + "2024-06-01,Moss,200,110,,,450\n2024-06-02,Moss,300,160,,,450\n", "line 3, raw_g: Moss weighs 450 g, and only 250 g of it is not washed"},
	} {
		cards, bad, err := CardReader{Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(c.table))
		if err == nil {
			shelf := ledger.Shelf{Kit: shed.DefaultKit(), Zone: time.UTC}
			bad = shelf.Take(cards, bad, cardsNow, false).Bad
		}
		if len(bad) > 0 {
			err = bad[0]
		}
		if err == nil || len(bad) > 1 || !strings.HasPrefix(err.Error(), c.want) && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.99q: %v (%d bad), want %q", c.table, err, len(bad), c.want)
		}
	}
	most := head + good
	most += strings.Repeat("\n", mostCardBytes-len(most))
	if cards, bad, err := (CardReader{Zone: time.UTC, Now: cardsNow}).Cards(strings.NewReader(most)); err != nil || len(bad) > 0 || len(cards) != 1 {
		t.Errorf("a table of 16 MB: %v %v, %d cards", err, bad, len(cards))
	}
	for heads, want := range map[string][2]string{ // each by the name that its file has
		"washed_on,animal,raw_oz,dry_oz,fleece_raw_oz": {"line 3, dry_oz: A1: ", "line 4, raw_oz: Moss weighs 600 g"},
		"Washed on,Animal,Raw,Dry,Fleece raw":          {"line 3, dry: A1: ", "line 4, raw: Moss weighs 600 g"},
	} {
		table := heads + "\n2024-06-01,Moss,7,4,21.16\n2024-06-02,Moss,7,1,21.16\n2024-06-03,Moss,9,5,21.16\n"
		cards, bad, err := CardReader{Units: measure.US, Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(table))
		bad = ledger.Shelf{Kit: shed.DefaultKit(), Zone: time.UTC}.Take(cards, bad, cardsNow, false).Bad
		if err != nil || len(bad) != 2 || !strings.HasPrefix(bad[0].Error(), want[0]) || !strings.HasPrefix(bad[1].Error(), want[1]) {
			t.Errorf("%s: %v %v", heads, err, bad)
		}
	}
	own := "Washed on;Animal;raw;dry\n6/1/24;Moss;8;4,5\n" // a person's own table
	cards, bad, err := CardReader{Units: measure.US, Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(own))
	if err != nil || len(bad) > 0 || len(cards) != 1 || cards[0].Batch.RawG != 8*measure.GPerOz || cards[0].DryG != 4.5*measure.GPerOz || cards[0].On.Format(time.DateOnly) != "2024-06-01" {
		t.Errorf("%v %v %+v", err, bad, cards)
	}
	s := newStore(t)
	took(t, s, []byte(head+good))
	cards, _, _ = CardReader{Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(head + "2024-06-01,moss,200,100,,,\n"))
	taken, err := s.TakeCards(cards, nil, shed.DefaultKit(), time.UTC, cardsNow, false, false)
	if days, _ := s.Days(0); err != nil || len(taken.Bad) != 1 || !strings.Contains(taken.Bad[0].Error(), "Moss has a batch on 1 Jun 2024 already, A1: 200 g raw, 110 g dry. Is this another one?") || len(days) != 1 {
		t.Errorf("%v %v: %d days", err, taken.Bad, len(days))
	}
	cards, bad, _ = CardReader{Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(head + "2024-06-01,moss,200,x,,,\n")) // it may be that one
	if taken, err := s.TakeCards(cards, bad, shed.DefaultKit(), time.UTC, cardsNow, false, false); err != nil || len(taken.Bad) != 1 {
		t.Errorf("%v %v", err, taken.Bad)
	}
}

// Every mistake of a table is told at once, by line and column, and none that only follows from
// another.
func TestAllBadCards(t *testing.T) {
	t.Parallel()
	const head = "washed_on,animal,raw_g,dry_g,came_out,code,washed_again_from,fleece_raw_g,bagged_at\n"
	for table, want := range map[string]string{
		"washed_on,animal,wieght,color\n2024-06-01,,1,2\n2024-06-01,Moss,1\n":                                      "1 wieght, 1 color, 1 raw, 2 animal, 3 all",
		head + "32.6.2024,,x,110,fluffy,,,,\n":                                                                     "2 washed_on, 2 animal, 2 raw_g, 2 came_out",
		head + "32.6.2024,Moss,200,210,,,,,2024-06-03\n":                                                           "2 washed_on, 2 dry_g",
		head + ",,200,210,,,,,\n":                                                                                  "2 washed_on, 2 animal, 2 dry_g",
		head + "2024-06-01,Moss,x,210,,,,90,\n":                                                                    "2 raw_g",
		head + "2024-06-01,Moss,x,110,,,001K,,2024-05-01\n":                                                        "2 raw_g, 2 washed_again_from, 2 bagged_at",
		head + "2024-06-01,Moss,200,210,,,001J,900,\n":                                                             "2 washed_again_from, 2 dry_g",
		head + "2024-06-01,Moss,3,2,,001J,,900,\n2024-06-02,Moss,3,2,,,001J,900,\n":                                "2 raw_g, 3 raw_g",
		head + "2024-06-01,Moss,300,310,,,,500,\n2024-06-02,Moss,300,310,,,,,":                                     "2 dry_g, 3 raw_g, 3 dry_g",
		head + "2024-06-01,Moss,20,11,,,,150,\n2024-06-02,Fern,200,110,,,,,":                                       "2 fleece_raw_g, 2 raw_g",
		head + "2024-06-01,Twin,200,210,,,,,\n":                                                                    "2 animal, 2 dry_g",
		"washed_on,animal,raw_g,dry_g,humidity_percent\n2024-06-01,Moss,200,110,5.9\n2024-06-01,Moss,210,115,40\n": "2 humidity_percent",
	} {
		cards, bad, err := CardReader{Zone: time.UTC, Now: cardsNow}.Cards(strings.NewReader(table))
		shelf := ledger.Shelf{Kit: shed.DefaultKit(), Zone: time.UTC, Fleeces: []shed.Fleece{{ID: "f1", Animal: "Twin", Farm: "one", RawG: 900}, {ID: "f2", Animal: "Twin", Farm: "two", RawG: 900}}}
		var got []string
		for _, b := range shelf.Take(cards, bad, cardsNow, false).Bad {
			got = append(got, fmt.Sprintf("%d %s", b.Line, b.Column))
		}
		if said := strings.Join(got, ", "); err != nil || said != want {
			t.Errorf("%s%v: %s, want %s", table, err, said, want)
		}
	}
}

// Whatever a table has, its cards are days that can be written down and read again, or it is
// refused in words that a terminal can show.
func FuzzCards(f *testing.F) {
	table := must.Get(os.ReadFile("testdata/cards.csv")).In(f)
	f.Add(table)
	f.Add([]byte("washed_on;animal;raw_oz;dry\n2024-06-01;\x1b[31mMoss;8;4,5\n"))
	f.Add([]byte("washed_on,animal,raw_g,raw_scale_step_g,locks_layers,form\n1970-01-01,a,1e3,NaN,3,locks\n"))
	f.Fuzz(func(t *testing.T, table []byte) {
		cards, bad, err := CardReader{Units: measure.US, Zone: time.UTC, Now: cardsNow}.Cards(bytes.NewReader(table))
		taken := ledger.Shelf{Kit: shed.DefaultKit(), Zone: time.UTC}.Take(cards, bad, cardsNow, true)
		said := fmt.Sprint(err, bad, taken.Bad)
		if strings.ContainsFunc(strings.ReplaceAll(said, "\n", ""), unicode.IsControl) {
			t.Fatalf("not to be shown: %q", said)
		}
		for _, d := range taken.Days {
			text, err := json.Marshal(d.Events)
			var back []session.Recorded
			if err == nil {
				err = json.Unmarshal(text, &back)
			}
			if r := session.Replay(back); err != nil || len(r.Plan.Batches) != len(d.Day.Plan.Batches) || len(taken.Bad) == 0 && (r.EndedAt.IsZero() || len(r.Plan.Batches) == 0) {
				t.Fatalf("%v: %+v", err, r.Plan)
			}
		}
	})
}
