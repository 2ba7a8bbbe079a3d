package page

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
)

var (
	playedOnce sync.Mutex
	playedDays = map[string]Look{}
)

// played is a scenario looked back at; each is played once.
func played(t testing.TB, scenario string) Look {
	t.Helper()
	playedOnce.Lock()
	defer playedOnce.Unlock()
	if l, ok := playedDays[scenario]; ok {
		return l
	}
	text := must.Get(os.ReadFile(filepath.Join("../../../testdata/scenarios", scenario+".json"))).In(t)
	script := must.Get(rehearse.Read(text)).In(t)
	script.Expect = nil
	d := must.Get(rehearse.Play(script, func(session.Recorded, session.Day) {})).In(t)
	playedDays[scenario] = Look{ID: 3, Day: d, Units: measure.Metric, Zone: time.UTC, Now: d.LastAt}
	return playedDays[scenario]
}

func (l Look) html(t testing.TB) string {
	var b strings.Builder
	must.Do(t, l.HTML(&b))
	return b.String()
}

// metas are the elements that HTML leaves open.
var metas = regexp.MustCompile(`(<meta [^>]*)>`)

// elements are those of a page in their order, with their attributes' names: it has to hold
// together as XML does, but for what HTML leaves open.
func elements(t interface{ Fatalf(string, ...any) }, page string) (names []string, text string) {
	var said strings.Builder
	dec := xml.NewDecoder(strings.NewReader(metas.ReplaceAllString(page, "$1/>")))
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return names, said.String()
		}
		if err != nil {
			t.Fatalf("the page does not hold together: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			name := tok.Name.Local
			for _, a := range tok.Attr {
				name += " " + a.Name.Local
			}
			names = append(names, name)
		case xml.CharData:
			said.Write(tok)
		}
	}
}

// Whatever the names are, they stay text: no element, attribute or control code comes of them.
func TestNamesStayText(t *testing.T) {
	l := played(t, "short-day")
	named := func(name string) Look {
		d := &l.Day
		d.Plan.Fleeces[0].Animal, d.Plan.Fleeces[0].Farm, d.Plan.Kit.Tubs[0].Name, d.Plan.Method.Name = name, name, name, name
		for i := range d.Baths {
			d.Baths[i].Step.Name = name
		}
		for i := range d.Notes {
			d.Notes[i].Text = name
		}
		out := d.Fate["A1"]
		out.Out = session.Outcome{Found: session.StillWaxy, Note: name}
		d.Fate["A1"] = out
		return l
	}
	plain, _ := elements(t, named("x").html(t))
	if len(plain) < 100 {
		t.Fatalf("only %d elements", len(plain))
	}
	hold := func(t interface{ Fatalf(string, ...any) }, page, name string) string {
		got, text := elements(t, page)
		if !slices.Equal(got, plain) {
			t.Fatalf("%q changes the page", name)
		}
		if strings.ContainsFunc(page, func(r rune) bool { return r != '\n' && unicode.IsControl(r) }) {
			t.Fatalf("%q leaves a control code in the page", name)
		}
		return text
	}
	for _, name := range []string{`<b>&"`, `</style><script>alert(1)</script>`, `" onload="x`, "]]>", "&amp;", "<!--"} {
		text := hold(t, named(name).html(t), name)
		if !strings.Contains(text, name) {
			t.Errorf("%q does not stand in the page as it was typed", name)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.StringN(1, 30, 90).Draw(r, "name")
		hold(r, named(name).html(t), name)
	})
}

// A page asks for nothing from elsewhere and runs nothing.
func TestPageIsByItself(t *testing.T) {
	page := played(t, "slow-day").html(t)
	for _, s := range []string{"http", "src=", "href=", "<script", "url(", "@import", "NaN", "Inf", `"-0"`, ">-0<", "<ul></ul>"} {
		if strings.Contains(page, s) {
			t.Errorf("it has %q", s)
		}
	}
	for _, s := range []string{"<h1>Wash day 3, Sat 23 May 2026</h1>", "What the day tells", "The work of your hands", "<svg ", "Came out"} {
		if strings.Contains(page, s) == (s == "Came out") {
			t.Errorf("%q: %v", s, s == "Came out")
		}
	}
}

// How a batch came out stands in the page and in the JSON, in the person's units.
func TestCameOutStands(t *testing.T) {
	l := played(t, "forgotten-tub")
	d, _ := must.Get2(session.Do(l.Day, session.Judge{Batch: "A1", Out: session.Outcome{Found: session.StillWaxy | session.TipsStuck, Note: "the britch"}}, l.Now.Add(time.Hour))).In(t)
	l.Day, l.Units = d, measure.US
	for _, s := range []string{"Came out still waxy, tips stuck; the britch.", "A1 came out still waxy, tips stuck; the britch. Its hot wash went from about ", ">°F<", `lang="en-US"`} {
		if page := l.html(t); !strings.Contains(page, s) {
			t.Errorf("the page lacks %q", s)
		}
	}
	var b bytes.Buffer
	must.Do(t, l.JSON(&b))
	var j dayJSON
	must.Do(t, json.Unmarshal(b.Bytes(), &j))
	if x := j.Batches[0]; x.CameOut != "still waxy, tips stuck" || x.CameOutWords != "the britch" || len(x.Baths) != 3 || *x.Baths[0].MarginC > -4 {
		t.Errorf("%+v", x)
	}
}

// What several days speak for changing is told with its ground.
func TestAdviceStands(t *testing.T) {
	l := played(t, "forgotten-tub")
	day := l.Day
	day.Baths = slices.DeleteFunc(slices.Clone(day.Baths), func(b session.Bath) bool { return !b.Step.HasRelease() }) // those lifted late
	l.Advice = lookback.Advise([]session.Day{day, day, day})
	var b bytes.Buffer
	must.Do(t, l.JSON(&b))
	if page := l.html(t); !strings.Contains(page, "<h2>What to change</h2><ul><li>Time you need to reach a tub: ") || !strings.Contains(b.String(), `"advice":[{"what":"Time you need to reach a tub: `) {
		t.Errorf("no advice in\n%s\n%s", page[:3000], b.String()[:1000])
	}
}

// Marks on an axis are round, in order, inside, and about as many as asked for.
func TestTicksAreRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1000, 1000).Draw(t, "low")
		high := low + rapid.Float64Range(0.01, 5000).Draw(t, "span")
		about := rapid.IntRange(2, 12).Draw(t, "about")
		for name, got := range map[string][]float64{"figures": ticks(low, high, about), "clock": clockTicks(low, high, about)} {
			if len(got) > 2*about+1 {
				t.Fatalf("%s: %d marks from %v to %v", name, len(got), low, high)
			}
			for i, v := range got {
				if v < low-1e-6 || v > high+1e-6 || i > 0 && v <= got[i-1] {
					t.Fatalf("%s: %v from %v to %v", name, got, low, high)
				}
			}
			if name == "figures" {
				if len(got) < about/3 {
					t.Fatalf("%d marks of about %d", len(got), about)
				}
				if len(got) > 1 {
					step := got[1] - got[0]
					m := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
					if !slices.ContainsFunc([]float64{1, 2, 5, 10}, func(r float64) bool { return math.Abs(m-r) < 1e-6 }) {
						t.Fatalf("a step of %v", step)
					}
				}
			}
		}
	})
	if got := ticks(49, 66.2, 8); !slices.Equal(got, []float64{50, 55, 60, 65}) {
		t.Error(got)
	}
	if got := clockTicks(541, 700, 6); !slices.Equal(got, []float64{570, 600, 630, 660, 690}) {
		t.Error(got)
	}
	if ticks(1, 1, 5) != nil || ticks(0, math.Inf(1), 5) != nil || clockTicks(math.NaN(), 1, 5) != nil {
		t.Error("marks where there is no range")
	}
}

func BenchmarkHTML(b *testing.B) {
	l := played(b, "slow-day")
	for b.Loop() {
		must.Do(b, l.HTML(io.Discard))
	}
}

// The washes of a day are drawn on the same axes, so that they can be compared by eye.
func TestWashesShareTheirAxes(t *testing.T) {
	label := regexp.MustCompile(`text-anchor="(?:end|middle)">([0-9-]+)</text>`)
	axes, n := map[string]bool{}, 0
	for _, figure := range strings.Split(played(t, "slow-day").html(t), "<figure>")[1:] {
		figure, _, _ = strings.Cut(figure, "</figure>")
		if !strings.Contains(figure, "hot wash in ") {
			continue
		}
		n++
		axis := ""
		for _, m := range label.FindAllStringSubmatch(figure, -1) {
			axis += m[1] + ","
		}
		axes[axis] = true
	}
	if n < 2 || len(axes) != 1 {
		t.Errorf("%d washes on %v", n, axes)
	}
}

// A figure and its unit stay on one line of a narrow window.
func TestFiguresKeepTheirUnits(t *testing.T) {
	l := played(t, "slow-day")
	for _, l.Units = range []measure.System{measure.Metric, measure.US} {
		_, text := elements(t, l.html(t))
		if n := strings.Count(text, "\u00a0"); n < 50 {
			t.Errorf("%d figures with a unit", n)
		}
		if got := regexp.MustCompile(`.{20}[0-9] (?:°|%|min|h |am|pm|g |oz).{9}`).FindString(text); got != "" {
			t.Errorf("parted: %q", got)
		}
	}
}
