package lookback_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

func said(r *sessiontest.Run, u measure.System) (out []string) {
	for _, s := range lookback.Say(lookback.Of(r.Day), u, func(at time.Time) string { return at.UTC().Format("15:04") }) {
		out = append(out, s.Text)
	}
	return out
}

// washed is a day in its hot wash, the fleece just in at what the thermometer read.
func washed(t *testing.T, readC float64, change ...func(*shed.Plan)) *sessiontest.Run {
	r := sessiontest.Start(t, sessiontest.OneTub(change...))
	for r.Day.Tubs[0].Step().Kind != shed.Wash {
		r.Wait(3).Next(0)
	}
	return r.Until(0, shed.Soaking).Do(session.TakeReading{TempC: readC, Sure: true})
}

// finished has the rest of the day go as it is planned.
func finished(r *sessiontest.Run) *sessiontest.Run { return finishedAt(r, r.Day.Plan.HandsMin()) }

// finishedAt is finished by hands that take so many minutes for each deed.
func finishedAt(r *sessiontest.Run, hands shed.Hands) *sessiontest.Run {
	return rackedAt(r, hands).Do(session.EndDay{})
}

func rackedAt(r *sessiontest.Run, hands shed.Hands) *sessiontest.Run {
	for !r.Day.AllRacked() {
		if t := r.Day.Tubs[0]; t.Phase == shed.Soaking {
			r.Tick(sessiontest.Minutes(t.Bath.SoakMin))
		} else {
			r.Tick(sessiontest.Minutes(hands[r.Day.NextAction(0)]))
		}
		r.Next(0)
	}
	return r
}

// Each day's fault, and the sentence for it. Times are from the day's beginning at 08:00;
// what a thermometer read is what was typed, so that a figure can be worked out beside it.
func TestWhatADayTells(t *testing.T) {
	read := func(c float64) session.Command { return session.TakeReading{TempC: c, Sure: true} }
	for name, c := range map[string]struct {
		live func(*sessiontest.Run)
		want []string
		u    measure.System
	}{
		// Read 65 °C and lifted after 20 min.
		"faultless":     {func(r *sessiontest.Run) {}, []string{"Every wash stayed above its lift-by temperature, by at least 12 °C (North, A1)."}, measure.Metric},
		"faultless, US": {func(r *sessiontest.Run) {}, []string{"Every wash stayed above its lift-by temperature, by at least 23 °F (North, A1)."}, measure.US},
		// In at 08:00, the cover off at 08:05; near its release temperature it rang at 08:23, and nobody did anything until the reading at 08:35.
		"cover off, nobody came": {func(r *sessiontest.Run) {
			r.Wait(5).Do(session.SetCover{Cover: cooling.Open}).Wait(30).Do(read(47)).Wait(1).Next(0)
		}, []string{"North was about 6 min below 49 °C with A1 in, from 08:30, down to 47 °C: its cover was off for 31 min from 08:05, and the alarm rang at 08:23 but nobody came for 11 min. Next time leave the cover on, or lift within 30 min. Feel A1 for wax: if sticky, wash it again."}, measure.Metric},
		// Its soak was over at 08:20, which rang; at 08:42 it rang for the cooling, which counts.
		"forgotten": {func(r *sessiontest.Run) { r.Wait(130).Next(0) }, []string{"North was about 21 min below 49 °C with A1 in, from 09:49, down to about 47 °C: the alarm rang at 08:42 but nobody came for 1 h 27 min. Next time lift within 30 min, or start 4 °C hotter. Feel A1 for wax: if sticky, wash it again."}, measure.Metric},
		// The lid came off soon after it rang for the cooling; for the soak's end nobody had come.
		"came at the second ring": {func(r *sessiontest.Run) {
			r.Wait(40).Do(session.SetCover{Cover: cooling.Open}).Wait(1).Do(read(48)).Next(0)
		}, []string{"North was about 3 min below 49 °C with A1 in, from 08:38, down to 48 °C: its soak was over, the alarm rang at 08:23 but nobody came for 17 min. Next time lift within 30 min, or start 2 °C hotter. Feel A1 for wax: if sticky, wash it again."}, measure.Metric},
		// 62 °C in a room of 18 and 48 °C in the end: (49-48)(62-18)/(48-18) = 1.5 °C too little.
		"too cool a start": {func(r *sessiontest.Run) {
			r.Do(read(62), session.AdjustSoak{ByMin: 5}).Wait(25).Do(read(48)).Next(0)
		}, []string{"North was about 2 min below 49 °C with A1 in, from 08:23, down to 48 °C. Next time lift within 23 min, or start 2 °C hotter. Feel A1 for wax: if sticky, wash it again."}, measure.Metric},
		"too cool a start, US": {func(r *sessiontest.Run) {
			r.Do(read(62), session.AdjustSoak{ByMin: 5}).Wait(25).Do(read(48)).Next(0)
		}, []string{"North was about 2 min below 120 °F with A1 in, from 08:23, down to 118.4 °F. Next time lift within 23 min, or start 4 °F hotter. Feel A1 for wax: if sticky, wash it again."}, measure.US},
		"washed again": {func(r *sessiontest.Run) {
			r.Do(read(62)).Wait(20).Do(read(48)).Next(0).Do(session.RepeatStep{})
		}, []string{
			"North was about 2 min below 49 °C with A1 in, from 08:18, down to 48 °C. Next time lift within 18 min, or start 2 °C hotter. A1 was washed again.",
			"1 of 2 washes had no reading: its temperature is an estimate.",
		}, measure.Metric},
		// A reading that is taken back never was; lifted after 30 min.
		"mistyped": {func(r *sessiontest.Run) { r.Wait(10).Do(read(46), session.Undo{}) },
			[]string{"Every wash stayed above its lift-by temperature, by at least 11 °C (North, A1)."}, measure.Metric},
		// Lifted after 40 min of at most 30; 25 min out of the water; a rinse of 1 min of at
		// least 10; and no second one.
		"rinses": {func(r *sessiontest.Run) {
			r.Wait(40).Next(0).Wait(25).Next(0, 0, 0).Wait(1).Do(session.DoNext{Act: shed.Lift, Sooner: true}).Next(0).Do(session.SkipStep{})
		}, []string{
			"A1 hung 25 min between the hot wash and the first rinse: out of the water fleece cools, and wax sets. The alarm rang at 09:00 but nobody came for 5 min.",
			"The first rinse of A1 was cut short, to 1 min; the least is 10 min: scour may be left.",
			"The second rinse of A1 was skipped: scour may be left.",
			"The hot wash of A1 lasted 40 min; the longest is 30 min.",
			"Every wash stayed above its lift-by temperature, by at least 9 °C (North, A1).",
		}, measure.Metric},
		// 2 min to empty the tub, the first rinse left out, and 22 min more to the second.
		"hung past a rinse left out": {func(r *sessiontest.Run) {
			r.Wait(20).Next(0).Wait(2).Next(0).Do(session.SkipStep{}).Wait(22).Next(0, 0)
		}, []string{
			"A1 hung 24 min between the hot wash and the second rinse: out of the water fleece cools, and wax sets. Next time have its water ready when you lift.",
			"The first rinse of A1 was skipped: scour may be left.",
			"Every wash stayed above its lift-by temperature, by at least 12 °C (North, A1).",
		}, measure.Metric},
		// It rang at 08:40 for fleece that hangs; somebody emptied the tub at 08:42 and filled it at 08:45.
		"hung, but somebody was there": {func(r *sessiontest.Run) {
			r.Wait(20).Next(0).Wait(22).Next(0).Wait(3).Next(0).Wait(1).Next(0)
		}, []string{
			"A1 hung 26 min between the hot wash and the first rinse: out of the water fleece cools, and wax sets. Next time have its water ready when you lift.",
			"Every wash stayed above its lift-by temperature, by at least 12 °C (North, A1).",
		}, measure.Metric},
		// Its soak was over at 08:20, which rang; somebody stood there at 08:40 and wrote down why.
		"came and wrote a note": {func(r *sessiontest.Run) {
			r.Wait(40).Do(session.AddNote{Text: "fire out"}).Wait(1).Do(read(48)).Next(0)
		}, []string{"North was about 3 min below 49 °C with A1 in, from 08:38, down to 48 °C: its soak was over, the alarm rang at 08:23 but nobody came for 17 min. Next time lift within 30 min, or start 2 °C hotter. Feel A1 for wax: if sticky, wash it again."}, measure.Metric},
		"rinsed again late": {func(r *sessiontest.Run) {
			r.Wait(20).Next(0, 0, 0, 0).Wait(15).Next(0).Do(session.RepeatStep{}).Wait(25).Next(0, 0)
		}, []string{
			"A1 hung 25 min between the first rinse and the same again: out of the water fleece cools, and wax sets. Next time get its water at once.",
			"Every wash stayed above its lift-by temperature, by at least 12 °C (North, A1).",
		}, measure.Metric},
		"washed again late": {func(r *sessiontest.Run) {
			r.Wait(20).Next(0).Wait(22).Next(0).Do(session.RepeatStep{Wash: true}).Wait(3).Next(0).Wait(1).Next(0)
		}, []string{
			"A1 hung 26 min between the hot wash and the same again: out of the water fleece cools, and wax sets. Next time get its water as soon as you find it waxy.",
			"1 of 2 washes had no reading: its temperature is an estimate.",
			"By readings and estimates every wash stayed above its lift-by temperature, by about 12 °C (North, A1).",
		}, measure.Metric},
		"rinsed too cold, US": {func(r *sessiontest.Run) {
			r.Wait(20).Do(read(58)).Next(0, 0).Fill(0, 36).Do(session.DoNext{Act: shed.SinkIn, Sooner: true}, read(36))
		}, []string{
			"A1's first rinse was 39 °F cooler than the bath before; the method allows 22 °F, and more may felt it. Next time mix it warmer.",
			"Every wash stayed above its lift-by temperature, by at least 16 °F (North, A1).",
		}, measure.US},
		"rinsed too cold": {func(r *sessiontest.Run) {
			r.Wait(20).Do(read(58)).Next(0, 0).Fill(0, 36).Do(session.DoNext{Act: shed.SinkIn, Sooner: true}, read(36))
		}, []string{
			"A1's first rinse was 22 °C cooler than the bath before; the method allows 12 °C, and more may felt it. Next time mix it warmer.",
			"Every wash stayed above its lift-by temperature, by at least 9 °C (North, A1).",
		}, measure.Metric},
	} {
		t.Run(name, func(t *testing.T) {
			r := washed(t, 65)
			c.live(r)
			sessiontest.Same(t, "it tells", said(finished(r), c.u), c.want)
		})
	}
}

// Fleece that was left in the water lay there too long, though nobody lifted it.
func TestLeftInIsTold(t *testing.T) {
	r := washed(t, 65).Wait(20).Next(0, 0, 0, 0).Wait(131).Do(session.EndDay{Anyway: true})
	sessiontest.Same(t, "told", said(r, measure.Metric)[0], "The first rinse of A1 lasted 2 h 11 min; the longest is 40 min.")
}

// A wash that began under what its step takes is told with what it began at; one that the day
// ended with counts among those that stayed above.
func TestBegunTooCoolIsTold(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	for r.Day.Tubs[0].Step().Kind != shed.Wash {
		r.Wait(3).Next(0)
	}
	r.Fill(0, 56).Do(session.DoNext{Act: shed.SinkIn, Sooner: true}).Wait(10).Do(session.EndDay{Anyway: true})
	got := said(r, measure.Metric)
	sessiontest.Same(t, "told", got[0], "The hot wash of A1 started at 56 °C; it needs 60 °C, or less wax comes out. Next time boil all it asks for, wait for the tank, or fill less.")
	if last := got[len(got)-1]; !strings.HasPrefix(last, "Every wash stayed above its lift-by temperature, by at least 5 °C") {
		t.Error(last)
	}
}

// Hot water that was poured in before the fleece went in counts.
func TestTopUpBeforeTheFleeceCounts(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	for r.Day.Tubs[0].Step().Kind != shed.Wash {
		r.Wait(3).Next(0)
	}
	r.Fill(0, 55).Wait(1).Do(session.TopUp{VolumeL: 2, TempC: 95}).Wait(1)
	for _, text := range said(finished(r), measure.Metric) {
		if strings.Contains(text, "started at") {
			t.Error(text)
		}
	}
}

// A bath as hot as it was to be that stood for 26 min and was read as forecast for then; one that
// was read so at once.
func TestAWashThatStood(t *testing.T) {
	for standMin, want := range map[float64]string{
		25: ", after it had stood for 26 min; it needs 60 °C, or less wax comes out. Next time lower the fleece in sooner.",
		1:  "; it needs 60 °C, or less wax comes out. Next time boil all it asks for, wait for the tank, or fill less.",
	} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Wait(3).Next(0).Wait(standMin)
		r.Do(session.TakeReading{TempC: 57, Sure: true})
		got := said(finished(r), measure.Metric)
		sessiontest.Same(t, "told", got[0], "The hot wash of A1 started at 57 °C"+want)
	}
}

// Of two washes one stood and one was poured too cool: each is told what would do.
func TestTwoWashesTooCoolEachInItsWay(t *testing.T) {
	stood := lookback.Finding{Kind: lookback.BegunCool, Min: 26, FromC: 48, ToC: 60}
	poured := lookback.Finding{Kind: lookback.BegunCool, FromC: 50, ToC: 60}
	got := lookback.Say([]lookback.Finding{stood, poured}, measure.Metric, nil)
	if len(got) != 2 || !strings.Contains(got[0].Text, "lower the fleece in sooner") || !strings.Contains(got[1].Text, "boil all it asks for") {
		t.Errorf("%v", got)
	}
}

// What was not read is told in the number that it is.
func TestUnreadInItsNumber(t *testing.T) {
	for of, want := range map[[2]int]string{{1, 1}: "The wash had no reading: its temperature is an estimate.", {1, 3}: "1 of 3 washes had no reading: its temperature is an estimate.", {2, 3}: "2 of 3 washes had no reading: their temperatures are estimates."} {
		sessiontest.Same(t, "told", lookback.Say([]lookback.Finding{{Kind: lookback.Unread, Washes: of[0], Of: of[1]}}, measure.Metric, nil)[0].Text, want)
	}
}

// How a batch came out stands beside what its washes were, and takes the place of advice to
// feel it.
func TestHowABatchCameOutIsTold(t *testing.T) {
	judge := func(f session.Found) session.Command {
		return session.Judge{Batch: "A1", Out: session.Outcome{Found: f}}
	}
	warm := "Every wash stayed above its lift-by temperature, by at least 12 °C (North, A1)."
	r := finished(washed(t, 65)).Do(judge(session.FoundClean | session.Soft))
	sessiontest.Same(t, "clean", said(r, measure.Metric), []string{warm})
	r.Do(judge(session.StillWaxy | session.TipsStuck))
	sessiontest.Same(t, "waxy", said(r, measure.Metric), []string{"A1 came out still waxy, tips stuck. Its hot wash went from 65 °C to about 61 °C in 20 min.", warm})
	r = washed(t, 62).Do(session.AdjustSoak{ByMin: 5}).Wait(25).Do(session.TakeReading{TempC: 48, Sure: true}).Next(0)
	cool := "North was about 2 min below 49 °C with A1 in, from 08:22, down to 48 °C. Next time lift within 22 min, or start 2 °C hotter. "
	finished(r).Do(judge(session.FoundClean))
	sessiontest.Same(t, "cool, and clean", said(r, measure.Metric), []string{cool + "A1 came out clean all the same."})
	r.Do(judge(session.StillWaxy))
	sessiontest.Same(t, "cool, and waxy", said(r, measure.Metric), []string{"A1 came out still waxy. Its hot wash went from 62 °C to 48 °C in 25 min.", cool + "Wash A1 again."})
	r = washed(t, 65).Wait(20).Next(0).Next(0).Do(session.RepeatStep{Tub: 0, Wash: true})
	got := strings.Join(said(finished(r).Do(judge(session.StillWaxy)), measure.Metric), " ")
	if !strings.Contains(got, "Its hot wash went from 65 °C to about ") || !strings.Contains(got, " min, then again from about ") {
		t.Errorf("washed again: %q", got)
	}
}

// The same fault of the same step is told once, whichever batches it met.
func TestAlikeFaultsAreToldOnce(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ManyBatches(8, 4))
	for !r.Day.AllRacked() {
		for i := range r.Day.Tubs {
			if r.Day.NextAction(i) != shed.Wait {
				r.Wait(0.5).Do(session.DoNext{Tub: i, Act: r.Day.NextAction(i), Sooner: true})
			}
		}
	}
	got := said(r, measure.Metric)
	if len(got) > 8 || !slices.ContainsFunc(got, func(s string) bool {
		return strings.HasPrefix(s, "The second rinse of A") && strings.Contains(s, " and 3 more was cut short, to ")
	}) {
		t.Errorf("%d: %q", len(got), got)
	}
}

// Fleece that hung before the same bath after another one is told apart, and each alarm is of its own
// batch. A bath that was read before the fleece went in was read.
func TestWhereFleeceHungAndWhatWasRead(t *testing.T) {
	hung := func(batch, before string, alone float64) lookback.Finding {
		f := lookback.Finding{Kind: lookback.Hung, Min: 34, AloneMin: alone}
		f.Bath.Batch, f.Bath.Step.Name, f.Before.Step.Name = batch, "hot wash", before
		if before == "rinse" {
			f.Before.Step.Kind = shed.Rinse
		}
		return f
	}
	var got []string
	for _, s := range lookback.Say([]lookback.Finding{hung("B1", "rinse", 0), hung("B2", "rinse", 14)}, measure.Metric, func(time.Time) string { return "11:07" }) {
		got = append(got, s.Text)
	}
	sessiontest.Same(t, "said", got, []string{
		"B1 and B2 hung 34 min between the rinse and the hot wash: out of the water fleece cools, and wax sets. B2's alarm rang at 11:07 but nobody came for 14 min.",
	})
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(3).Next(0).Do(session.TakeReading{TempC: 64, Sure: true}).Leap(4).Next(0)
	for _, f := range lookback.Of(finished(r).Day) {
		if f.Kind == lookback.Unread || f.Washes > 0 {
			t.Errorf("read at 08:03, and told: %+v", f)
		}
	}
}

// A day that nobody read claims nothing sure.
func TestUnreadDay(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	got := said(finished(r), measure.Metric)
	if len(got) != 1 || !strings.HasPrefix(got[0], "No wash had a reading. By estimate every one stayed above its lift-by temperature, by ") {
		t.Errorf("%q", got)
	}
}

// Whatever happens on a day, it is looked back at as far as it has come.
func TestAnyDayIsToldOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		anyDay(t, func(r *sessiontest.Run) {
			for _, s := range said(r, measure.Metric) {
				if s == "" || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(strings.ReplaceAll(s, "lift-by", ""), "-") {
					t.Fatalf("%q", s)
				}
			}
		})
	})
}

// anyDay lives whatever comes, and looks after each act.
func anyDay(t *rapid.T, look ...func(*sessiontest.Run)) *sessiontest.Run {
	r := sessiontest.Start(t, sessiontest.ThreeTubs())
	for range rapid.IntRange(0, 60).Draw(t, "acts") {
		tub := rapid.IntRange(0, 2).Draw(t, "tub")
		r.Now = r.Now.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "min")) * time.Minute)
		r.Day, _ = session.Tick(r.Day, r.Now)
		for _, c := range []session.Command{
			session.DoNext{Tub: tub, Act: r.Day.NextAction(tub), Sooner: true}, session.TakeReading{Tub: tub, TempC: float64(rapid.IntRange(5, 70).Draw(t, "read")), Sure: true},
			session.SkipStep{Tub: tub}, session.RepeatStep{Tub: tub}, session.RepeatStep{Tub: tub, Wash: true}, session.MoveBasket{Tub: tub, To: (tub + 1) % len(r.Day.Tubs)}, session.SetCover{Tub: tub, Cover: cooling.Open}, session.Undo{},
		}[:rapid.IntRange(1, 8).Draw(t, "which")] {
			if d, _, err := session.Do(r.Day, c, r.Now); err == nil {
				r.Day = d
			}
		}
		for _, f := range look {
			f(r)
		}
	}
	return r
}

// What the next reading contradicts is doubtful: nothing follows from it, and the line of its bath
// says so. What a pour may have warmed, and what no other reading speaks against, was so.
func TestAContradictedReadingIsDoubtful(t *testing.T) {
	read := func(c float64) session.Command { return session.TakeReading{TempC: c, Sure: true} }
	pour := session.TopUp{VolumeL: 2.5, TempC: 98, BailL: 2.5}
	for name, c := range map[string]struct {
		deeds  []session.Command
		doubts []int
		below  bool
	}{
		"36 for 63":             {[]session.Command{read(36), read(62.5)}, []int{1}, false},
		"and again":             {[]session.Command{read(62), read(36), read(37), read(61)}, []int{2, 3}, false},
		"86 for 58":             {[]session.Command{read(62), read(86), read(60.5)}, []int{2}, false},
		"a cover warms none":    {[]session.Command{read(36), session.SetCover{Cover: cooling.Open}, read(62)}, []int{1}, false},
		"poured in":             {[]session.Command{read(47), pour, read(58)}, nil, true},
		"nobody contradicts":    {[]session.Command{read(62), read(46)}, nil, true},
		"within the error":      {[]session.Command{read(48), read(50)}, nil, true},
		"too cool all the same": {[]session.Command{read(36), read(47)}, []int{1}, true},
	} {
		r := washed(t, 63)
		for _, deed := range c.deeds {
			r.Wait(1).Do(deed)
		}
		r.Wait(2).Do(session.DoNext{Act: shed.Lift, Sooner: true}).Next(0)
		sessiontest.CheckReplay(t, r, nil)
		b := lookback.HotBaths(r.Day)[0]
		var doubts []int
		for i, x := range b.Readings {
			if x.Doubtful {
				doubts = append(doubts, i)
			}
		}
		sessiontest.Same(t, name+": doubtful", doubts, c.doubts)
		sessiontest.Same(t, name+": below", slices.ContainsFunc(lookback.Of(r.Day), func(f lookback.Finding) bool { return f.Kind == lookback.Below }), c.below)
		lines := strings.Join(lookback.Words{Zone: time.UTC}.Happened([]ledger.BathReview{b.BathReview}, 0), "; ")
		sessiontest.Same(t, name+": "+lines, strings.Count(lines, "doubtful"), len(c.doubts))
		for _, x := range lookback.TrustOf([]session.Day{r.Day}) {
			if !c.below && (x.Inside < len(x.OffC) || math.Abs(x.BiasC) > 2) {
				t.Errorf("%s: %+v", name, x)
			}
		}
	}
}

// Who is at work at other tubs, or has a break that was planned, is not told that nobody came.
func TestNobodyCameIsSaidOfNobody(t *testing.T) {
	for name, c := range map[string]struct {
		notesMin float64 // something is done at the other tub each so many minutes; 0: nothing
		breaks   shed.Breaks
		want     bool
	}{
		"away":             {want: true},
		"at work":          {notesMin: 4},
		"came once":        {notesMin: 19, want: true},
		"in their break":   {breaks: shed.Breaks{{FromMin: 8*60 + 35, ToMin: 9*60 + 5}}},
		"a break long ago": {breaks: shed.Breaks{{FromMin: 7 * 60, ToMin: 7*60 + 30}}, want: true},
	} {
		p := sessiontest.ManyBatches(2, 2)
		p.Break = c.breaks
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
		r := sessiontest.Start(t, p).Until(0, shed.Soaking).Wait(16).Next(0).Until(0, shed.ToFill)
		for range 40 {
			if r.Wait(1); c.notesMin > 0 && math.Mod(measure.MinutesBetween(sessiontest.Dawn, r.Now), c.notesMin) < 1 {
				r.Do(session.AddNote{Tub: 1, Text: "skirted a bit more"})
			}
		}
		r.Until(0, shed.Soaking)
		told := strings.Join(said(r.Rack(1).Do(session.EndDay{}), measure.Metric), "\n")
		if !strings.Contains(told, "hung") || strings.Contains(told, "nobody came") != c.want {
			t.Errorf("%s: %s", name, told)
		}
	}
}

// A presoak is lifted at 08:08, a wash at 08:20: the next wash waits till behind a break, as the screen says. Who had
// been told so did not come late, but for the minutes before that and behind it.
func TestNobodyCameWhereTheFillWaitedForABreak(t *testing.T) {
	for _, c := range []struct {
		again            bool
		fromMin, fillMin int // from then on the break, till 09:50; when it is filled
		wait, hung       string
	}{
		{false, 8*60 + 40, 125, "08:08 to 10:02 North to be filled: it waited for your break for 1 h 42 min of it", ""},
		{true, 8*60 + 41, 112, "08:20 to 09:49 North to be filled: it waited for your break", "hung 1 h 32 min between the hot wash and the same again: the wash waited for your break for 1 h 30 min of it.\n"},
		{true, 8*60 + 41, 150, "08:20 to 10:27 North to be filled: it waited for your break for 1 h 30 min of it", "the wash waited for your break for 1 h 30 min of it. The alarm rang at 09:50 but nobody came for 37 min."},
		{true, 9*60 + 20, 112, "08:20 to 09:49 North to be filled: it waited for your break for 1 h of it", "the wash waited for your break for 1 h 1 min of it. The alarm rang at 08:40 but nobody came for 9 min."},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(tapDoes, func(p *shed.Plan) {
			p.Break = shed.Breaks{{FromMin: c.fromMin, ToMin: 9*60 + 50}}
			if p.Batches[0].Presoak = shed.PresoakAsMethod; c.again {
				p.Batches[0].Presoak = shed.PresoakNone
			}
		})).Until(0, shed.Soaking)
		if c.again {
			r.Wait(20).Next(0, 0).Do(session.RepeatStep{Wash: true})
		} else {
			r.Wait(8).Next(0, 0)
		}
		for r.Now.Before(sessiontest.Dawn.Add(measure.Lasting(float64(c.fillMin)))) {
			r.Wait(1)
		}
		r.Until(0, shed.ToSink)
		sessiontest.Same(t, "waits", waits(r.Day, lookback.TimingsOf(r.Day)), []string{c.wait})
		told := strings.Join(said(r.Until(0, shed.Soaking), measure.Metric), "\n")
		if !strings.Contains(told, c.hung) || strings.Contains(told, "hung") != (c.hung != "") {
			t.Errorf("again %t, a break from %d: %s", c.again, c.fromMin, told)
		}
	}
}
