package session_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// everySaying lives through a whole day at its own pace and gathers all that
// the coach says at any stage of it, refusals of a curious person included.
func everySaying(t sessiontest.Reporter, p shed.Plan) []string {
	r := sessiontest.Start(t, p)
	seen := map[string]bool{}
	gather := func() {
		for _, text := range sessiontest.EverythingSaid(r.Day, r.Now) {
			seen[text] = true
		}
		for _, row := range matrix {
			if _, _, err := session.Do(r.Day, row.command, r.Now); err != nil {
				seen[err.Error()] = true
			}
		}
	}
	for range 300 {
		gather()
		r.Tick(4 * time.Minute)
		for i := range r.Day.Tubs {
			if a := r.Day.NextAction(i); a != shed.Wait && a != shed.Lift {
				r.Next(i)
			} else if a == shed.Lift && coach.GlanceAt(r.Day, i, r.Now).Prompt.Rank != coach.Coming {
				r.Next(i)
			}
			gather()
		}
		if r.Day.AllRacked() {
			r.Do(session.Weigh{Batch: "A1", DryG: 150, Dry: true, Sure: true}, session.EndDay{})
			gather()
			break
		}
	}
	if r.Day.Running() {
		t.Fatalf("the day never came to its end")
	}
	var out []string
	for text := range seen {
		out = append(out, text)
	}
	return out
}

var usFigure = regexp.MustCompile(`\d ?(°F|gal|qt|cups?|tsp|oz|lb)\b`)

// Whoever chose US units reads no metric figure anywhere, and the other way round.
func TestSayingsInBothUnits(t *testing.T) {
	for units, strange := range map[measure.System]*regexp.Regexp{measure.US: sessiontest.MetricFigure, measure.Metric: regexp.MustCompile(`\d ?(°F|gal|qt|cups?|oz|lb)\b`)} {
		texts := everySaying(t, sessiontest.ThreeTubs(func(p *shed.Plan) { p.Kit.Units = units }))
		figures := 0
		for _, text := range texts {
			if text == "" {
				continue
			}
			sessiontest.CheckPlain(t, text)
			if strange.MatchString(text) {
				t.Errorf("%s: %q", units, text)
			}
			if usFigure.MatchString(text) || sessiontest.MetricFigure.MatchString(text) {
				figures++
			}
		}
		if len(texts) < 80 || figures < 30 {
			t.Errorf("%s: only %d sayings with %d figures were met", units, len(texts), figures)
		}
	}
}

// The trade's own rules, common practice without a source, in the coach's
// words at the step where they belong.
func TestTradeWords(t *testing.T) {
	locks := func(p *shed.Plan) { p.Batches[0].Form = shed.Locks }
	wax := func(w shed.Level) func(*shed.Plan) { return func(p *shed.Plan) { p.Fleeces[0].Wax = w } }
	presoak := func(c shed.PresoakChoice) func(*shed.Plan) {
		return func(p *shed.Plan) { p.Batches[0].Presoak = c }
	}
	for _, row := range []struct {
		name         string
		plan         shed.Plan
		acts         int
		says, not    string
		caution      string
		cautionEmpty bool
	}{
		{"presoak is cool water", sessiontest.OneTub(presoak(shed.PresoakQuick)), 0, "cold tap", "scour", "raw fleece: gloves", false},
		{"a quick presoak is dunked and pressed", sessiontest.OneTub(presoak(shed.PresoakQuick)), 2, "dunk and press", "leave it alone", "", true},
		{"locks are only raised and lowered", sessiontest.OneTub(locks, presoak(shed.PresoakQuick)), 2, "raise and lower", "dunk", "", true},
		{"overnight it is left alone", sessiontest.OneTub(presoak(shed.PresoakOvernight)), 2, "leave the fleece alone", "dunk", "", true},
		{"brown water is changed", sessiontest.OneTub(presoak(shed.PresoakQuick)), 3, "still brown, repeat", "", "local rules", false},
		{"water and scour before the fleece", sessiontest.OneTub(), 0, "before the fleece goes in", "pour", "burns in 1 s: gloves, clear path, kettle lid shut", false},
		{"a dose for heavy wax has its quarter in it", sessiontest.OneTub(wax(shed.High)), 0, "scour (already a quarter up for heavy wax)", "", "burns in", false},
		{"one for little wax is less already", sessiontest.OneTub(wax(shed.Low)), 0, "scour (already a fifth down for little wax)", "", "burns in", false},
		{"loose fleece is pressed under", sessiontest.OneTub(), 1, "upturned basket; lid on", "", "burns in", false},
		{"locks go in slowly", sessiontest.OneTub(locks), 1, "lower the basket slowly", "press", "burns in", false},
		{"a wash is left alone", sessiontest.OneTub(), 2, "leave the fleece alone", "dunk", "", true},
		{"loose fleece may be pressed to drain", sessiontest.OneTub(), 3, "press it gently", "rub", "local rules", false},
		{"locks drip over a dish", sessiontest.OneTub(locks), 3, "drip over a dish", "press it", "local rules", false},
		{"waxy water goes outdoors", sessiontest.OneTub(), 3, "outdoors, not down the drain", "", "local rules", false},
		{"a rinse is the hot tap as it comes", sessiontest.OneTub(), 4, "7.5 L from the hot tap, about 51 °C", "scour", "burns in 1 min", false},
		{"the last rinse may go down the sink", sessiontest.OneTub(), 11, "down the sink", "outdoors", "", true},
		{"spin only", sessiontest.OneTub(), 12, "no tumbling", "", "dry hands at plug", false},
		{"locks keep their layers on the rack", sessiontest.OneTub(locks), 13, "in their layers", "spread", "", true},
		{"the tag names the animal and the day", sessiontest.OneTub(), 13, "tag: A1 Bramble, Nowhere Fold, loose, 225 g raw, 16 May 2026", "", "", true},
		{"all done", sessiontest.OneTub(), 14, "weigh each once it's dry", "", "", true},
	} {
		r := sessiontest.Start(t, row.plan)
		for range row.acts {
			if r.Day.NextAction(0) == shed.Lift { // a bath cools meanwhile
				r.Now = r.Now.Add(20 * time.Minute)
			}
			r.Next(0)
		}
		p := coach.Prompts(r.Day, r.Now)[0]
		if text := sessiontest.PromptText(p); !strings.Contains(text, row.says) || row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q should say %q and not %q", row.name, text, row.says, row.not)
		}
		if !strings.Contains(p.Caution.Text, row.caution) || row.cautionEmpty != (p.Caution == coach.Caution{}) {
			t.Errorf("%s: caution %q, want %q", row.name, p.Caution, row.caution)
		}
	}
}

// Locks are never to be pressed: wherever the word comes up, it is a no.
func TestLocksAreNeverPressed(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Form, p.Batches[0].Presoak = shed.Locks, shed.PresoakQuick }))
	for !r.Day.AllRacked() {
		for _, d := range sessiontest.DetailLines(coach.Prompts(r.Day, r.Now)[0]) {
			if strings.Contains(d, "press") && !strings.Contains(d, "never press") && !strings.Contains(d, "don't press") {
				t.Errorf("locks: %q", d)
			}
		}
		r.Next(0)
	}
}

// Late is what does harm, from when it began: a bath below its release
// temperature, the longest soak passed, wet fleece that has hung its time; not a
// soak that is over, nor water nobody has drawn yet.
func TestLateIsHarm(t *testing.T) {
	late := func(what string, r *sessiontest.Run, want float64, of coach.CountOf) {
		t.Helper()
		p := coach.PromptAt(r.Day.Boiled(), 0, r.Now)
		sessiontest.Near(t, what, sessiontest.LateMin(p, r.Now), want, 1e-6)
		sessiontest.Same(t, what, p.Count.Of, of)
	}
	r := sessiontest.Start(t, sessiontest.OneTub())
	r.Now = r.Now.Add(5 * time.Hour)
	late("nothing wet yet", r, 0, coach.NoCount)
	r = sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0).Wait(19)
	sunk := r.Now.Add(-19 * time.Minute)
	late("before the end", r, 0, coach.ToDue)
	longest := r.Day.Tubs[0].LongestAt()
	for r.Now.Before(longest) {
		if over := r.Now.Sub(sunk) - 20*time.Minute; over > 0 {
			late("the soak over", r, 0, coach.SinceSoak)
		}
		r.Tick(time.Minute)
	}
	for _, min := range []float64{0, 1, 7} {
		r.Now = longest.Add(sessiontest.Minutes(min))
		late("the longest soak over", r, min, coach.SinceLongest)
	}
	r = sessiontest.Start(t, sessiontest.LongWash()).Next(0, 0)
	likely := coach.GlanceAt(r.Day, 0, r.Now).Release.Likely
	due := coach.PromptAt(r.Day, 0, r.Now).DueAt
	sessiontest.Same(t, "a bath that nobody has read is due just before the early end", due, coach.GlanceAt(r.Day, 0, r.Now).Release.Early.Add(-3*time.Minute))
	for _, min := range []float64{0, 10, 100, 1000} {
		r.Now = due.Add(sessiontest.Minutes(min))
		p := coach.PromptAt(r.Day, 0, r.Now)
		sessiontest.Near(t, "late for a cooling bath", sessiontest.LateMin(p, r.Now), max(0, r.Now.Sub(likely).Minutes()), 1e-6)
		sessiontest.Same(t, "rank", p.Rank, coach.Harm)
		sessiontest.Same(t, "harm begins", p.MustBy, due.Add(3*time.Minute))
	}
	r.Now = likely.Add(time.Hour)
	r.Do(session.Hold{})
	late("on hold all the same", r, 60, coach.SinceBelow)
	r = sessiontest.Start(t, sessiontest.OneTub()).Do(session.Hold{}).Wait(5)
	late("on hold", r, 0, coach.NoCount)
	r = sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Draining)
	r.Now = r.Now.Add(19 * time.Minute)
	late("wet for 19 min", r, 0, coach.NoCount)
	r.Now = r.Now.Add(4 * time.Minute)
	late("wet for 23 min", r, 3, coach.SinceWet)
}

// A crossing that a screen counts down to lies ahead, or is now; the coach
// goes by when it was.
func TestReleaseLiesAhead(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.LongWash()).Next(0, 0)
	first := coach.GlanceAt(r.Day, 0, r.Now).Release
	if !first.Early.Before(first.Likely) || !first.Likely.Before(first.Late) || !first.Early.After(r.Now) {
		t.Fatalf("release %+v", first)
	}
	r.Now = first.Likely.Add(-time.Minute)
	sessiontest.Same(t, "release, its early end past", coach.GlanceAt(r.Day, 0, r.Now).Release, session.Crossing{Early: r.Now, Likely: first.Likely, Late: first.Late})
	sessiontest.Same(t, "the coach", coach.PromptAt(r.Day, 0, r.Now).MustBy, first.Early)
}

// Until the fleece is in the water stands open, whatever lies on the tub later.
func TestFilledTubIsOpen(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Tubs[0].Cover = cooling.LidAndFilm }))
	for range 2 { // the second bath must not inherit the first one's cover
		r.Until(0, shed.ToSink)
		sessiontest.Same(t, "cover", coach.GlanceAt(r.Day, 0, r.Now).Cover, cooling.Open)
		r.Next(0)
		sessiontest.Same(t, "cover", coach.GlanceAt(r.Day, 0, r.Now).Cover, cooling.LidAndFilm)
		r.Next(0, 0)
	}
}

// What presses most comes first: a bath about to go cold, then an open bath that waits
// for its fleece, then what has least time to spare, then new work, then waiting.
func TestPromptOrder(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		tub := p.Kit.Tubs[0]
		p.Kit.Tubs, p.Batches = nil, nil
		for _, name := range []string{"cold", "over", "hot", "begun", "new", "soaking", "held"} {
			tub.ID, tub.Name = "", name
			p.Kit.Tubs = append(p.Kit.Tubs, tub)
			p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 225, Presoak: shed.PresoakNone})
		}
	})
	r := sessiontest.Start(t, p).Until(0, shed.Soaking).Until(1, shed.Soaking).Do(session.Hold{Tub: 6})
	r.Wait(16).Next(5, 5).Do(session.SkipStep{Tub: 3}).Wait(4.5).Next(2, 3)
	r.Do(session.TakeReading{TempC: 47, Sure: true})
	var got []string
	for _, x := range coach.Prompts(r.Day, r.Now) {
		got = append(got, r.Day.Plan.Kit.Tubs[x.Tub].Name)
	}
	sessiontest.Same(t, "order", got, []string{"cold", "hot", "begun", "over", "new", "soaking", "held"})
}

// A bath too cool to start says so, and asks for hot water first.
func TestTooCoolToSink(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Fill(0, 58)
	p := coach.PromptAt(r.Day, 0, r.Now)
	if p.Rank != coach.Harm || !strings.Contains(sessiontest.PromptText(p), "only about 58 °C: first boil ") {
		t.Errorf("rank %d: %q", p.Rank, sessiontest.PromptText(p))
	}
	r.Do(session.TopUp{VolumeL: 0.6, TempC: 96})
	if p = coach.PromptAt(r.Day, 0, r.Now); p.Rank != coach.Now || strings.Contains(sessiontest.PromptText(p), "top up") {
		t.Errorf("rank %d: %q", p.Rank, sessiontest.PromptText(p))
	}
}

// A tap and no kettle cannot make a hot wash: the coach says by how much.
func TestNoKettle(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Kettle = shed.Kettle{} }))
	f := r.Day.Fill(0)
	sessiontest.Near(t, "hot tap", f.Pour.HotL, 8, 1e-9)
	sessiontest.Near(t, "water, the tub warmed", f.WaterC, 50.4, 0.05)
	if f.ShortC < 14 || !strings.Contains(sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)), "50 °C with the fleece in, and wax sets below 49 °C") {
		t.Errorf("short by %g: %q", f.ShortC, sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)))
	}
}

// A method may ask for more than the usual bath, but no tub runs over.
func TestNoTubRunsOver(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.Tubs[0].FillL, p.Method.Steps[1].FillPart = 11, 1.2 }))
	sessiontest.Near(t, "fill", r.Day.Fill(0).VolumeL, 12, 0.25)
	if got := r.Day.Fill(0).VolumeL; got > 12 {
		t.Errorf("%g L in 12", got)
	}
	r.Next(0)
	_ = r.Refused(session.TopUp{VolumeL: 0.6, TempC: 90}, "North would hold 12.5 L, more than its 12 L")
}

// Undo says what it would take back.
func TestUndoWords(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	for _, row := range []struct {
		c    session.Command
		says string
	}{
		{do(shed.FillTub), "North: bath filled"}, {session.SetCover{Cover: cooling.Film}, "North: cover changed"},
		{sessiontest.ReadC(0, 66), "North's reading, 66 °C"}, {session.AddNote{Tub: -1, Text: "windy"}, "the note"},
		{session.ChangeKit{Kit: r.Day.Plan.Kit}, "the kit change"}, {session.Hold{}, "North: tub held"},
		{session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 100}}, "adding batch A2"},
		{session.EndDay{Anyway: true}, "the end of the day"},
	} {
		r.Do(row.c)
		sessiontest.Same(t, "undo", coach.CanUndo(r.Day), row.says)
	}
}
