package session_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// everySaying lives through a whole day at its own pace and gathers all that
// the coach says at any stage of it, refusals of a curious person included.
func everySaying(t reporter, p session.Plan) []string {
	r := start(t, p)
	seen := map[string]bool{}
	gather := func() {
		for _, text := range said(r.day, r.now) {
			seen[text] = true
		}
		for _, row := range matrix {
			if _, _, err := session.Do(r.day, row.command, r.now); err != nil {
				seen[err.Error()] = true
			}
		}
	}
	for range 300 {
		gather()
		r.tick(4 * time.Minute)
		for i := range r.day.Tubs {
			if a := r.day.NextAction(i); a != session.Wait && a != session.Lift {
				r.next(i)
			} else if a == session.Lift && r.day.Glance(i, r.now).Prompt.Rank != session.Coming {
				r.next(i)
			}
			gather()
		}
		if r.day.AllRacked() {
			r.do(session.Weigh{Batch: "A1", DryG: 150, Sure: true}, session.EndDay{})
			gather()
			break
		}
	}
	if r.day.Running() {
		t.Fatalf("the day never came to its end")
	}
	var out []string
	for text := range seen {
		out = append(out, text)
	}
	return out
}

var (
	metricFigure = regexp.MustCompile(`\d ?(°C|L|mL|g|kg)\b`)
	usFigure     = regexp.MustCompile(`\d ?(°F|gal|qt|cups?|tsp|oz|lb)\b`)
)

// Whoever chose US units reads no metric figure anywhere, and the other way round.
func TestSayingsInBothUnits(t *testing.T) {
	for units, strange := range map[measure.System]*regexp.Regexp{measure.US: metricFigure, measure.Metric: regexp.MustCompile(`\d ?(°F|gal|qt|cups?|oz|lb)\b`)} {
		texts := everySaying(t, threeTubs(func(p *session.Plan) { p.Kit.Units = units }))
		figures := 0
		for _, text := range texts {
			if text == "" {
				continue
			}
			plain(t, text)
			if strange.MatchString(text) {
				t.Errorf("%s: %q", units, text)
			}
			if usFigure.MatchString(text) || metricFigure.MatchString(text) {
				figures++
			}
		}
		if len(texts) < 80 || figures < 30 {
			t.Errorf("%s: only %d sayings with %d figures were met", units, len(texts), figures)
		}
	}
}

// says is a prompt's lines in plain words.
func says(p session.Prompt) []string {
	out := make([]string, len(p.Details))
	for i, l := range p.Details {
		out[i] = l.String()
	}
	return out
}

func details(p session.Prompt) string {
	return strings.Join(append([]string{p.Title}, says(p)...), "; ")
}

// The trade's own rules, common practice without a source, in the coach's
// words at the step where they belong.
func TestTradeWords(t *testing.T) {
	locks := func(p *session.Plan) { p.Batches[0].Form = session.Locks }
	presoak := func(c session.PresoakChoice) func(*session.Plan) {
		return func(p *session.Plan) { p.Batches[0].Presoak = c }
	}
	for _, row := range []struct {
		name         string
		plan         session.Plan
		acts         int
		says, not    string
		caution      string
		cautionEmpty bool
	}{
		{"presoak is cool water", oneTub(presoak(session.PresoakQuick)), 0, "cold tap", "scour", "raw fleece: gloves", false},
		{"a quick presoak is dunked and pressed", oneTub(presoak(session.PresoakQuick)), 2, "dunk and press", "leave it alone", "", true},
		{"locks are only raised and lowered", oneTub(locks, presoak(session.PresoakQuick)), 2, "raise and lower", "dunk", "", true},
		{"overnight it is left alone", oneTub(presoak(session.PresoakOvernight)), 2, "leave it alone", "dunk", "", true},
		{"brown water is changed", oneTub(presoak(session.PresoakQuick)), 3, "still brown, repeat", "", "local rules", false},
		{"water and scour before the fleece", oneTub(), 0, "before the fleece goes in", "pour", "burns in 1 s: gloves, clear path, kettle lid shut", false},
		{"loose fleece is pressed under", oneTub(), 1, "upturned basket; lid on", "", "burns in", false},
		{"locks go in slowly", oneTub(locks), 1, "lower the basket slowly", "press", "burns in", false},
		{"a wash is left alone", oneTub(), 2, "leave it alone", "dunk", "", true},
		{"loose fleece may be pressed to drain", oneTub(), 3, "press it gently", "rub", "local rules", false},
		{"locks drip over a dish", oneTub(locks), 3, "drips over a dish", "press it", "local rules", false},
		{"waxy water goes outdoors", oneTub(), 3, "outdoors, not down the drain", "", "local rules", false},
		{"a rinse is the hot tap as it comes", oneTub(), 4, "7.5 L from the hot tap, about 51 °C", "scour", "burns in 30 s", false},
		{"the last rinse may go down the sink", oneTub(), 11, "down the sink", "outdoors", "", true},
		{"spin only", oneTub(), 12, "no tumbling", "", "dry hands at plug", false},
		{"locks keep their layers on the rack", oneTub(locks), 13, "in their layers", "spread", "", true},
		{"the tag names the animal", oneTub(), 13, "tag: A1 Bramble, Nowhere Fold, 225 g raw", "", "", true},
		{"all done", oneTub(), 14, "weigh each when it is dry", "", "", true},
	} {
		r := start(t, row.plan)
		for range row.acts {
			if r.day.NextAction(0) == session.Lift { // a bath cools meanwhile
				r.now = r.now.Add(20 * time.Minute)
			}
			r.next(0)
		}
		p := r.day.Prompts(r.now)[0]
		if text := details(p); !strings.Contains(text, row.says) || row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q should say %q and not %q", row.name, text, row.says, row.not)
		}
		if !strings.Contains(p.Caution.Text, row.caution) || row.cautionEmpty != (p.Caution == session.Caution{}) {
			t.Errorf("%s: caution %q, want %q", row.name, p.Caution, row.caution)
		}
	}
}

// Locks are never to be pressed: wherever the word comes up, it is a no.
func TestLocksAreNeverPressed(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Batches[0].Form, p.Batches[0].Presoak = session.Locks, session.PresoakQuick }))
	for !r.day.AllRacked() {
		for _, d := range says(r.day.Prompts(r.now)[0]) {
			if strings.Contains(d, "press") && !strings.Contains(d, "never press") && !strings.Contains(d, "do not press") {
				t.Errorf("locks: %q", d)
			}
		}
		r.next(0)
	}
}

// Late is what does harm, from when it began: a bath below its release
// temperature, the longest soak passed, wet fleece that has hung its time; not a
// soak that is over, nor water nobody has drawn yet.
func TestLateIsHarm(t *testing.T) {
	late := func(what string, r *run, want float64, of session.CountOf) {
		t.Helper()
		p := r.day.Boiled().Prompt(0, r.now)
		near(t, what, lateMin(p, r.now), want, 1e-6)
		same(t, what, p.Count.Of, of)
	}
	r := start(t, oneTub())
	r.now = r.now.Add(5 * time.Hour)
	late("nothing wet yet", r, 0, session.NoCount)
	r = start(t, oneTub()).next(0, 0).wait(19)
	sunk := r.now.Add(-19 * time.Minute)
	late("before the end", r, 0, session.ToDue)
	longest := r.day.Tubs[0].LongestAt()
	for r.now.Before(longest) {
		if over := r.now.Sub(sunk) - 20*time.Minute; over > 0 {
			late("the soak over", r, 0, session.SinceSoak)
		}
		r.tick(time.Minute)
	}
	for _, min := range []float64{0, 1, 7} {
		r.now = longest.Add(ago(min))
		late("the longest soak over", r, min, session.SinceLongest)
	}
	r = start(t, longWash()).next(0, 0)
	likely := r.day.Glance(0, r.now).Release.Likely
	due := r.day.Prompt(0, r.now).DueAt
	same(t, "a bath that nobody has read is due just before the early end", due, r.day.Glance(0, r.now).Release.Early.Add(-3*time.Minute))
	for _, min := range []float64{0, 10, 100, 1000} {
		r.now = due.Add(ago(min))
		p := r.day.Prompt(0, r.now)
		near(t, "late for a cooling bath", lateMin(p, r.now), max(0, r.now.Sub(likely).Minutes()), 1e-6)
		same(t, "rank", p.Rank, session.Harm)
		same(t, "harm begins", p.MustBy, due.Add(3*time.Minute))
	}
	r.now = likely.Add(time.Hour)
	r.do(session.Hold{})
	late("on hold all the same", r, 60, session.SinceBelow)
	r = start(t, oneTub()).do(session.Hold{}).wait(5)
	late("on hold", r, 0, session.NoCount)
	r = start(t, threeTubs()).until(0, session.Draining)
	r.now = r.now.Add(44 * time.Minute)
	late("wet for 44 min", r, 0, session.NoCount)
	r.now = r.now.Add(4 * time.Minute)
	late("wet for 48 min", r, 3, session.SinceWet)
}

// A crossing that a screen counts down to lies ahead, or is now; the coach
// goes by when it was.
func TestReleaseLiesAhead(t *testing.T) {
	r := start(t, longWash()).next(0, 0)
	first := r.day.Glance(0, r.now).Release
	if !first.Early.Before(first.Likely) || !first.Likely.Before(first.Late) || !first.Early.After(r.now) {
		t.Fatalf("release %+v", first)
	}
	r.now = first.Likely.Add(-time.Minute)
	same(t, "release, its early end past", r.day.Glance(0, r.now).Release, session.Crossing{Early: r.now, Likely: first.Likely, Late: first.Late})
	same(t, "the coach", r.day.Prompt(0, r.now).MustBy, first.Early)
}

// Until the fleece is in the water stands open, whatever lies on the tub later.
func TestFilledTubIsOpen(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.Tubs[0].Cover = cooling.LidAndFilm }))
	for range 2 { // the second bath must not inherit the first one's cover
		r.until(0, session.ToSink)
		same(t, "cover", r.day.Glance(0, r.now).Cover, cooling.Open)
		r.next(0)
		same(t, "cover", r.day.Glance(0, r.now).Cover, cooling.LidAndFilm)
		r.next(0, 0)
	}
}

// What presses most comes first: a bath about to go cold, then an open bath that waits
// for its fleece, then what has least time to spare, then new work, then waiting.
func TestPromptOrder(t *testing.T) {
	p := threeTubs(func(p *session.Plan) {
		tub := p.Kit.Tubs[0]
		p.Kit.Tubs, p.Batches = nil, nil
		for _, name := range []string{"cold", "over", "hot", "begun", "new", "soaking", "held"} {
			tub.ID, tub.Name = "", name
			p.Kit.Tubs = append(p.Kit.Tubs, tub)
			p.Batches = append(p.Batches, session.Batch{FleeceID: "f1", RawG: 225, Presoak: session.PresoakNone})
		}
	})
	r := start(t, p).until(0, session.Soaking).until(1, session.Soaking).do(session.Hold{Tub: 6})
	r.wait(16).next(5, 5).do(session.SkipStep{Tub: 3}).wait(4.5).next(2, 3)
	r.do(session.TakeReading{TempC: 47, Sure: true})
	var got []string
	for _, x := range r.day.Prompts(r.now) {
		got = append(got, r.day.Plan.Kit.Tubs[x.Tub].Name)
	}
	same(t, "order", got, []string{"cold", "hot", "begun", "over", "new", "soaking", "held"})
}

// A bath too cool to start says so, and asks for hot water first.
func TestTooCoolToSink(t *testing.T) {
	r := start(t, oneTub()).fill(0, 58)
	p := r.day.Prompt(0, r.now)
	if p.Rank != session.Harm || !strings.Contains(details(p), "down to about 58 °C: first pour ") {
		t.Errorf("rank %d: %q", p.Rank, details(p))
	}
	r.do(session.TopUp{VolumeL: 0.6, TempC: 96})
	if p = r.day.Prompt(0, r.now); p.Rank != session.Now || strings.Contains(details(p), "top up") {
		t.Errorf("rank %d: %q", p.Rank, details(p))
	}
}

// A tap and no kettle cannot make a hot wash: the coach says by how much.
func TestNoKettle(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.Kettle = session.Kettle{} }))
	f := r.day.Fill(0)
	near(t, "hot tap", f.Pour.HotL, 8, 1e-9)
	near(t, "water, the tub warmed", f.WaterC, 50.4, 0.05)
	if f.ShortC < 14 || !strings.Contains(details(r.day.Prompt(0, r.now)), "50 °C with the fleece in, and wax sets below 49 °C") {
		t.Errorf("short by %g: %q", f.ShortC, details(r.day.Prompt(0, r.now)))
	}
}

// A method may ask for more than the usual bath, but no tub runs over.
func TestNoTubRunsOver(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.Tubs[0].FillL, p.Method.Steps[1].FillPart = 11, 1.2 }))
	same(t, "fill", r.day.Fill(0).VolumeL, 12.0)
	r.next(0)
	_ = r.refused(session.TopUp{VolumeL: 0.5, TempC: 90}, "North would hold 12.5 L, more than its 12 L")
}

// Undo says what it would take back.
func TestUndoWords(t *testing.T) {
	r := start(t, oneTub())
	for _, row := range []struct {
		c    session.Command
		says string
	}{
		{do(session.FillTub), "North: bath filled"}, {session.SetCover{Cover: cooling.Film}, "North: cover changed"},
		{read(0, 66), "North: the reading of 66 °C"}, {session.AddNote{Tub: -1, Text: "windy"}, "the note"},
		{session.ChangeKit{Kit: r.day.Plan.Kit}, "the change of the kit"}, {session.Hold{}, "North: tub held"},
		{session.AddBatch{Batch: session.Batch{FleeceID: "f1", RawG: 100}}, "the batch A2"},
		{session.EndDay{Anyway: true}, "the end of the day"},
	} {
		r.do(row.c)
		same(t, "undo", r.day.CanUndo(), row.says)
	}
}
