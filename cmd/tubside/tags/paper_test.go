package tags

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// All animals, farms and figures are invented.

var washed = time.Date(2026, 6, 13, 16, 0, 0, 0, time.UTC)

func someTags() []Tag {
	return []Tag{
		{Code: "001J", Fleece: "Bramble", Farm: "Ninefold Farm", Year: 2026, Batch: "A1", Form: shed.Locks, Part: "shoulder", Layers: 3, RawG: 225, DryG: 130, WashedOn: washed},
		{Code: "011R", Fleece: "Žofie Příliš-Žluťoučká, ewe of the upper fold", Farm: "Ølgård på Ærø", Batch: "A2", RawG: 180, WashedOn: washed,
			Note: "waxy at the britch, soft at the shoulder; wash once more if it is still tacky when it has dried"},
		{Code: "021Z", Fleece: "Ewe 12", Batch: "B1", RawG: 1250.5, DryG: 700, More: []Detail{{"colour", "moorit"}, {"staple", "95 mm"}}},
		{Code: "0317", Fleece: "Ива 羊", Farm: "Nowhere Fold", Year: 2025, Batch: "B2", RawG: 200},
	}
}

func TestTextTags(t *testing.T) {
	var b bytes.Buffer
	warnings, err := Text{}.Write(&b, someTags()[:2])
	if err != nil || len(warnings) != 0 {
		t.Fatal(warnings, err)
	}
	want := `- - - - - - - - - - - - - - - - - - - -
Bramble
Ninefold Farm, clip of 2026
batch A1, locks in 3 layers, shoulder
washed 13 Jun 2026
raw 225 g   dry 130 g   yield 58 %
code 001J
- - - - - - - - - - - - - - - - - - - -
Žofie Příliš-Žluťoučká, ewe of the upper
fold
Ølgård på Ærø
batch A2, loose   washed 13 Jun 2026
raw 180 g   dry ........ g
waxy at the britch, soft at the
shoulder; wash once more if it is still
tacky when it has dried
code 011R
- - - - - - - - - - - - - - - - - - - -
`
	if b.String() != want {
		t.Errorf("got\n%s", b.String())
	}
}

func TestPlainTags(t *testing.T) {
	var b bytes.Buffer
	warnings := must.Get(Text{ASCII: true, Units: measure.US}.Write(&b, someTags())).In(t)
	for _, want := range []string{"Zofie Prilis-Zlutoucka", "Olgard pa AEro", "??? ?", "color: moorit", "dry ........ oz"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
	if len(warnings) != 1 || !strings.Contains(warnings[0], "Ива羊") {
		t.Errorf("warnings %q", warnings)
	}
	for _, r := range b.String() {
		if r != '\n' && (r < 0x20 || r > 0x7e) {
			t.Fatalf("%q is not plain", r)
		}
	}
}

// drawTag is a tag with any text.
func drawTag(t *rapid.T) Tag {
	texts := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Za-zÀ-ž羊ه ]{0,90}`))
	return Tag{Code: "001J", Fleece: texts.Draw(t, "fleece"), Farm: texts.Draw(t, "farm"), Year: rapid.IntRange(0, 3000).Draw(t, "year"),
		Batch: "A1", RawG: rapid.Float64Range(5, 20000).Draw(t, "raw"), DryG: rapid.Float64Range(0, 2000).Draw(t, "dry"), WashedOn: washed,
		Note: texts.Draw(t, "note"), More: []Detail{{texts.Draw(t, "name"), texts.Draw(t, "value")}}}
}

// Whatever the names are: no line is too wide, and every figure is whole on one
// line.
func TestTextKeepsFigures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tag := drawTag(t)
		o := Text{ASCII: rapid.Bool().Draw(t, "ascii"), Units: rapid.SampledFrom([]measure.System{measure.Metric, measure.US}).Draw(t, "units")}
		var b bytes.Buffer
		must.Get(o.Write(&b, []Tag{tag})).In(t)
		for _, want := range append(tag.weights(o.Units), tag.code(), tag.batch(), tag.washed(o.Units)) {
			if !strings.Contains(b.String(), want) {
				t.Fatalf("%q is broken in\n%s", want, b.String())
			}
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if ansi.StringWidthWc(line) > TextWidth || strings.ContainsRune(line, 0x1b) || !utf8.ValidString(line) {
				t.Fatalf("line %q has %d columns", line, ansi.StringWidthWc(line))
			}
		}
	})
}

func TestWrap(t *testing.T) {
	runes := func(s string) float64 { return float64(utf8.RuneCountInString(s)) }
	for _, c := range []struct{ text, want string }{
		{"", ""}, {"one two", "one two"}, {"one two three", "one two|three"}, {"abcdefghijklmnop q", "abcdefgh|ijklmnop|q"},
		{"a bcdefghijk", "a|bcdefghi|jk"}, {"exactly8 exactly8", "exactly8|exactly8"},
	} {
		if got := strings.Join(wrap(c.text, 8, runes), "|"); got != c.want {
			t.Errorf("%q breaks into %q, want %q", c.text, got, c.want)
		}
	}
	if got := wrap("éa", 1, runes); len(got) == 0 || strings.Join(got, "") != "éa" {
		t.Errorf("a narrow line gives %q", got)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("out of paper") }

func TestWritersSayErrors(t *testing.T) {
	if _, err := (Text{}).Write(brokenWriter{}, someTags()); err == nil || !strings.Contains(err.Error(), "out of paper") {
		t.Error(err)
	}
	g := Grids()[0]
	if _, err := (Sheet{Grid: g}).Write(brokenWriter{}, someTags()); err == nil || !strings.Contains(err.Error(), "out of paper") {
		t.Error(err)
	}
	for _, skip := range []int{-1, 24, math.MaxInt} {
		if _, err := (Sheet{Grid: g, Skip: skip}).Write(&bytes.Buffer{}, someTags()); err == nil || !strings.Contains(err.Error(), "24 labels") {
			t.Error(skip, err)
		}
	}
	if _, err := (Sheet{Grid: g}).Write(&bytes.Buffer{}, nil); err == nil {
		t.Error("a sheet without a tag")
	}
	if _, err := GridFor("a5"); err == nil {
		t.Error("a5 is a paper")
	}
}

// The labels of a sheet lie on the page and not on each other.
func TestGrids(t *testing.T) {
	const slack = 0.01
	for _, g := range Grids() {
		last := g.label(g.Labels() - 1)
		if last.x+last.w > g.PageWMM+slack || last.y+last.h > g.PageHMM+slack {
			t.Errorf("%s: the last label ends at %v, %v", g.Paper, last.x+last.w, last.y+last.h)
		}
		// As much is free on the right as on the left, and below as above.
		if right := g.PageWMM - last.x - last.w; right-g.LeftMM > slack || g.LeftMM-right > slack {
			t.Errorf("%s: %v mm on the left, %v on the right", g.Paper, g.LeftMM, right)
		}
		if below := g.PageHMM - last.y - last.h; below-g.TopMM > slack || g.TopMM-below > slack {
			t.Errorf("%s: %v mm above, %v below", g.Paper, g.TopMM, below)
		}
		for i := range g.Labels() {
			in, l := g.inside(i), g.label(i)
			if in.x < l.x || in.y < l.y || in.x+in.w > l.x+l.w || in.y+in.h > l.y+l.h || in.w < 50 || in.h < 20 {
				t.Errorf("%s: label %d: %v in %v", g.Paper, i, in, l)
			}
		}
	}
}

var (
	mediaBox = regexp.MustCompile(`/MediaBox ?\[ ?0 0 ([0-9.]+) ([0-9.]+) ?\]`)
	onePage  = regexp.MustCompile(`/Type /Page\b[^s]`)
)

func sheetOf(t testing.TB, s Sheet, tags []Tag) (pdf []byte, warnings []string) {
	t.Helper()
	var b bytes.Buffer
	warnings = must.Get(s.Write(&b, tags)).In(t)
	return b.Bytes(), warnings
}

func TestSheetsHaveTheirSizeAndPages(t *testing.T) {
	for _, g := range Grids() {
		for _, c := range []struct{ skip, tags, pages int }{
			{0, 1, 1}, {0, g.Labels(), 1}, {1, g.Labels(), 2}, {g.Labels() - 1, 1, 1}, {g.Labels() - 1, 2, 2}, {0, 2*g.Labels() + 1, 3},
		} {
			var tags []Tag
			for len(tags) < c.tags {
				tags = append(tags, someTags()...)
			}
			pdf, _ := sheetOf(t, Sheet{Grid: g, Skip: c.skip, Made: washed}, tags[:c.tags])
			if n := len(onePage.FindAll(pdf, -1)); n != c.pages {
				t.Errorf("%s, %+v: %d pages", g.Paper, c, n)
			}
			m := mediaBox.FindSubmatch(pdf)
			want := []string{fmt.Sprintf("%.2f", g.PageWMM*72/25.4), fmt.Sprintf("%.2f", g.PageHMM*72/25.4)}
			if m == nil || string(m[1]) != want[0] || string(m[2]) != want[1] {
				t.Errorf("%s: page %s, want %v", g.Paper, m, want)
			}
		}
	}
}

// A label printer gets a page of the label's size for each tag; where a short one has no
// room for all, the note stays and staple and colour go.
func TestSmallLabels(t *testing.T) {
	tags := someTags()
	pdf, _ := sheetOf(t, Sheet{Grid: LabelGrid(57, 32)}, tags)
	m := mediaBox.FindSubmatch(pdf)
	if n := len(onePage.FindAll(pdf, -1)); n != len(tags) || m == nil || string(m[1]) != "161.57" || string(m[2]) != "90.71" {
		t.Errorf("%d pages of %s", n, m)
	}
	fonts := must.Get(theFaces()).In(t)
	tag := tags[0].clean()
	tag.Note = "tips to be cut off"
	in := LabelGrid(50.8, 25.4).inside(0)
	rows, _ := Sheet{Grid: LabelGrid(50.8, 25.4)}.lay(fonts, tag, in.w*pointsPerMM, in.h*pointsPerMM, &lostLetters{})
	text := ""
	for _, r := range rows {
		text += r.text + "\n"
	}
	if note, staple := strings.Index(text, "tips"), strings.Index(text, "staple"); note < 0 || staple >= 0 && staple < note {
		t.Errorf("the note is lost, or stands below the staple:\n%s", text)
	}
}

// Of what has no room the label's warning names just that, and how often a batch was washed stays.
func TestLabelSaysWhatItLeavesOut(t *testing.T) {
	tags := someTags()[:1]
	tags[0].Note, tags[0].Washes = "", "washed 3 times"
	tags[0].More = []Detail{{"colour", "moorit"}, {"staple", "95 mm"}, {"lies on", "tower, layers 1-3"}}
	fonts := must.Get(theFaces()).In(t)
	for _, high := range []float64{10, 15, 25.4} {
		in := LabelGrid(50.8, high).inside(0)
		if rows, _ := (Sheet{}).lay(fonts, tags[0].clean(), in.w*pointsPerMM, in.h*pointsPerMM, &lostLetters{}); !slices.ContainsFunc(rows, func(r row) bool { return r.text == tags[0].Washes }) {
			t.Errorf("%g mm high: %v", high, rows)
		}
	}
	for _, u := range []measure.System{measure.Metric, measure.US} {
		s := Sheet{Grid: LabelGrid(50.8, 25.4), Units: u}
		in := s.Grid.inside(0)
		rows, cut := s.lay(fonts, tags[0].clean(), in.w*pointsPerMM, in.h*pointsPerMM, &lostLetters{})
		text := ""
		for _, r := range rows {
			text += r.text + "\n"
		}
		_, warnings := sheetOf(t, s, tags)
		want := "the label of batch A1 (001J) has no room for all of this: lies on, " + u.Spell("colour") + ", staple"
		if !strings.Contains(text, "washed 3 times") || strings.Contains(text, "…") || len(cut) != 2 || len(warnings) != 1 || warnings[0] != want {
			t.Errorf("%q, want %q:\n%s", warnings, want, text)
		}
	}
}

// An ordinary batch has room for all that is known of it on the sheets that shops sell and on
// a label of 57 by 32 mm.
func TestOrdinaryBatchHasRoom(t *testing.T) {
	tag := Tag{Code: "001J", Fleece: "Dolly", Farm: "Nowhere Hollow Farm", Year: 2026, Batch: "A1", RawG: 184, WashedOn: washed,
		More: []Detail{{"colour", "gray"}, {"staple", "7 in"}, {"lies on", "top, place 1"}}}
	for _, grid := range append(Grids(), LabelGrid(57, 32)) {
		for _, u := range []measure.System{measure.Metric, measure.US} {
			pdf, warnings := sheetOf(t, Sheet{Grid: grid, Units: u}, []Tag{tag})
			if len(pdf) == 0 || len(warnings) > 0 {
				t.Errorf("%s: %q", grid.Paper, warnings)
			}
		}
	}
}

// The same tags give the same file, byte for byte.
func TestSheetIsTheSameTwice(t *testing.T) {
	s := Sheet{Grid: Grids()[0], Made: washed}
	a, _ := sheetOf(t, s, someTags())
	b, _ := sheetOf(t, s, someTags())
	if !bytes.Equal(a, b) {
		t.Error("two sheets of the same tags differ")
	}
}

func TestSheetWarns(t *testing.T) {
	tags := append(someTags()[:1], someTags()[3])
	tags[0].Note = strings.Repeat("a note that goes on ", 20)
	_, warnings := sheetOf(t, Sheet{Grid: Grids()[1]}, tags)
	if len(warnings) != 2 || !strings.Contains(warnings[0], "batch A1 (001J) has no room") || !strings.Contains(warnings[1], "no letter for 羊") {
		t.Errorf("warnings %q", warnings)
	}
}

// Another program reads the text of the sheet, accents and all.
func TestSheetTextReadsBack(t *testing.T) {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("no pdftotext here")
	}
	for _, g := range Grids() {
		pdf, _ := sheetOf(t, Sheet{Grid: g, Skip: 4, Outline: true}, someTags())
		path := filepath.Join(t.TempDir(), "sheet.pdf")
		must.Do(t, os.WriteFile(path, pdf, 0o600))
		out, err := exec.Command(reader, "-layout", "-enc", "UTF-8", path, "-").CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		for _, want := range []string{"Bramble", "Žofie Příliš-Žluťoučká", "Ølgård på Ærø", "Ива □", "raw 225 g", "dry 130 g", "yield 58 %", "code 001J",
			"dry ........ g", "colour: moorit", "staple: 95 mm", "clip of 2026", "batch A1, locks", "washed 13 Jun 2026"} {
			if !strings.Contains(string(out), want) {
				t.Errorf("%s: no %q in\n%s", g.Paper, want, out)
			}
		}
	}
}

// Whatever the names are, every line lies within its label, and no figure is
// left out.
func TestSheetKeepsWithinLabels(t *testing.T) {
	fonts := must.Get(theFaces()).In(t)
	rapid.Check(t, func(t *rapid.T) {
		tag := drawTag(t).clean()
		for _, g := range append(Grids(), LabelGrid(57, 32), LabelGrid(50.8, 25.4)) {
			in := g.inside(0)
			w, h := in.w*pointsPerMM, in.h*pointsPerMM
			rows, _ := Sheet{Grid: g}.lay(fonts, tag, w, h, &lostLetters{})
			if height(rows) > h {
				t.Fatalf("%s: %v high in %v", g.Paper, height(rows), h)
			}
			text := ""
			for _, r := range rows {
				if r.face.width(r.text, r.size) > w+0.01 {
					t.Fatalf("%s: %q is wider than the label", g.Paper, r.text)
				}
				text += r.text + "\n"
			}
			for _, want := range append(tag.weights(measure.Metric), tag.code(), tag.batch(), tag.washed(measure.Metric)) {
				if !strings.Contains(text, want) {
					t.Fatalf("%s: no %q in\n%s", g.Paper, want, text)
				}
			}
		}
	})
}

func TestSheetOfAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		must.Get((Sheet{Grid: rapid.SampledFrom(Grids()).Draw(t, "grid")}).Write(&bytes.Buffer{}, []Tag{drawTag(t)})).In(t)
	})
}

func TestFromDay(t *testing.T) {
	zone := time.FixedZone("east", 9*3600)
	d := session.Day{StartedAt: washed.Add(-8 * time.Hour),
		Plan: shed.Plan{Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", Farm: "Ninefold Farm", Year: 2026, Notes: "soft"}},
			Batches: []shed.Batch{{ID: "A1", FleeceID: "f1", RawG: 200, Form: shed.Locks, Part: "britch", Layers: 2}, {ID: "A2", FleeceID: "f1", RawG: 100, Card: shed.Card{Mark: "bag 1"}}, {ID: "A3", FleeceID: "f1", RawG: 90}, {ID: "A4", FleeceID: "f1", RawG: 80}},
			Kit:     shed.Kit{Trays: []shed.Tray{{ID: "r1", Name: "tower", Places: 1, Layers: 4}}}},
		Fate: map[string]session.Fate{"A1": {LoadedAt: washed.Add(-2 * time.Hour), SunkAt: washed.Add(-time.Hour), RackedAt: washed, DryG: 120},
			"A2": {SunkAt: washed.Add(-8 * time.Hour)}, "A3": {LoadedAt: washed.Add(-time.Hour)}, "A4": {RackedAt: washed}}}
	got, err := FromDay(1, d, zone)
	if err != nil || len(got) != 3 {
		t.Fatal(got, err)
	}
	if g := got[0]; g.Code != "001J" || g.Fleece != "Bramble" || g.DryG != 120 || g.Note != "soft" || g.washed(measure.Metric) != "washed 14 Jun 2026" || g.YieldPart() != 0.6 {
		t.Errorf("%+v", g)
	}
	if g := got[1]; g.washed(measure.Metric) != "" || // not yet
		g.clean().batch() != "batch A2, bag 1, loose" || g.YieldPart() != 0 {
		t.Errorf("%+v", g)
	}
	if g := got[2]; g.Batch != "A4" || g.washed(measure.Metric) != "" { // laid on the rack as it was
		t.Errorf("%+v", g)
	}
	if g := got[0]; g.batch() != "batch A1, locks in 2 layers, britch" || slices.Contains(g.More, Detail{"lies on", "tower, layers 1-2"}) {
		t.Errorf("%+v", g)
	}
	d.EndedAt = washed.Add(-7 * time.Hour) // what was left wet was washed on that day, whenever somebody racks it
	for _, f := range []session.Fate{d.Fate["A1"], d.Fate["A2"]} {
		d.Fate["A1"] = f
		if got, err = FromDay(1, d, zone); err != nil || got[0].washed(measure.Metric) != "washed 13 Jun 2026" {
			t.Errorf("left wet: %+v, %v", got, err)
		}
	}
	d.EndedAt = time.Time{}
	d.Fate["A1"] = session.Fate{RackedAt: washed, Tray: "r1", Spots: []shed.Spot{{Place: 1, From: 1, To: 2}}}
	if got, err = FromDay(1, d, zone); err != nil || !slices.Contains(got[0].More, Detail{"lies on", "tower, layers 1-2"}) {
		t.Errorf("%+v, %v", got, err)
	}
	d.Plan.Batches[0].Again, d.Plan.Batches[0].Washed = shed.Earlier{Day: 1, Batch: "A1"}, 2 // washed again
	d.Fate["A1"] = session.Fate{RackedAt: washed, Washes: 1, Out: session.Outcome{Found: session.StillWaxy, Place: "attic, blue box"}}
	d.Plan.Batches[0].Part = "locks"
	if got, err = FromDay(1, d, zone); err != nil || !slices.Contains(got[0].More, Detail{"kept", "attic, blue box"}) || !slices.Contains(got[0].More, Detail{"came out", "still waxy"}) || got[0].batch() != "batch A1, locks in 2 layers" {
		t.Errorf("in its place: %+v, %v", got, err)
	}
	if got, err = FromDay(2, d, zone); err != nil || got[0].Washes != "washed 3 times, before that code 001J" {
		t.Errorf("%+v, %v", got, err)
	}
	if _, err := FromDay(0, d, zone); err == nil {
		t.Error("a day without a code")
	}
}

// A batch whose mark no code can name spoils nothing for the others: its own tag
// goes without a code, on both papers.
func TestMarkWithoutCode(t *testing.T) {
	d := session.Day{StartedAt: washed, Plan: shed.Plan{Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble"}},
		Batches: []shed.Batch{{ID: "f1", FleeceID: "f1", RawG: 200}, {ID: "A2", FleeceID: "f1", RawG: 100}, {FleeceID: "f1", RawG: 50}}},
		Fate: map[string]session.Fate{"f1": {SunkAt: washed}, "A2": {SunkAt: washed}, "": {SunkAt: washed}}}
	got, err := FromDay(1, d, time.UTC)
	if err != nil || len(got) != 3 || got[0].Code != "" || got[1].Code == "" || got[2].Code != "" {
		t.Fatalf("%+v (%v)", got, err)
	}
	var out bytes.Buffer
	if _, err := (Text{}).Write(&out, got); err != nil || strings.Count(out.String(), "code ") != 1 || strings.Count(out.String(), "Bramble") != 3 {
		t.Errorf("%v\n%s", err, out.String())
	}
	if _, err := (Sheet{Grid: Grids()[0]}).Write(&out, got); err != nil {
		t.Error(err)
	}
}

func BenchmarkSheet(b *testing.B) {
	var tags []Tag
	for len(tags) < 24 {
		tags = append(tags, someTags()...)
	}
	for b.Loop() {
		sheetOf(b, Sheet{Grid: Grids()[0]}, tags)
	}
}
