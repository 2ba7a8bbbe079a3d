package session_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// anyPlan draws a plan that a person could set up: up to twelve tubs, up to
// four fleeces, the built-in method or a strange one of their own.
func anyPlan(t *rapid.T) shed.Plan {
	k := shed.DefaultKit()
	k.Tubs = nil
	for i := range rapid.IntRange(1, 12).Draw(t, "tubs") {
		capacity := rapid.Float64Range(2, 40).Draw(t, "capacity")
		k.Tubs = append(k.Tubs, shed.Tub{
			Name: fmt.Sprintf("Tub %d", i+1), CapacityL: capacity, FillL: rapid.Float64Range(0.5, capacity).Draw(t, "fill"),
			Shape: cooling.Shape(rapid.IntRange(0, 1).Draw(t, "shape")), Cover: cooling.Cover(rapid.IntRange(0, 3).Draw(t, "cover")),
		})
	}
	k.RoomC = rapid.Float64Range(-10, 45).Draw(t, "room")
	k.HotTapC = rapid.Float64Range(36, 95).Draw(t, "hot")
	k.ColdTapC = rapid.Float64Range(1, 35).Draw(t, "cold")
	k.Kettle.CapacityL = rapid.SampledFrom([]float64{0, 1.7, 3}).Draw(t, "kettle")
	k.LeadMin = rapid.Float64Range(1, 30).Draw(t, "lead")
	for i := range rapid.IntRange(0, 3).Draw(t, "trays") {
		k.Trays = append(k.Trays, shed.Tray{ID: fmt.Sprintf("r%d", i+1), Name: fmt.Sprintf("Tray %d", i+1), Places: rapid.IntRange(1, 3).Draw(t, "places"), Layers: rapid.IntRange(0, 4).Draw(t, "layers")})
	}
	p := shed.Plan{Kit: k, Method: shed.BuiltInMethod()}
	if rapid.Bool().Draw(t, "own method") {
		p.Method = anyMethod(t)
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "fleeces") {
		f := shed.Fleece{
			ID: fmt.Sprintf("f%d", i), Animal: fmt.Sprintf("Ewe %d", i), RawG: 20000,
			Type: rapid.SampledFrom(shed.FleeceTypes()).Draw(t, "type"), Wax: rapid.SampledFrom(shed.Levels()).Draw(t, "wax"),
		}
		p.Fleeces = append(p.Fleeces, f)
	}
	p.WashInMin = rapid.SampledFrom([]float64{0, 0, 0, 45, 600, 14 * 60}).Draw(t, "washing begins in")
	for i := range rapid.IntRange(1, 15).Draw(t, "batches") {
		b := shed.Batch{
			FleeceID: rapid.SampledFrom(p.Fleeces).Draw(t, "fleece").ID, RawG: rapid.Float64Range(5, 600).Draw(t, "raw"),
			Form:    shed.Form(rapid.IntRange(0, 1).Draw(t, "form")),
			Presoak: shed.PresoakChoice(rapid.IntRange(0, 3).Draw(t, "presoak")),
			Layers:  rapid.IntRange(0, 6).Draw(t, "layers"), Part: rapid.SampledFrom([]string{"", "shoulder", "Shoulder", "britch"}).Draw(t, "part"),
		}
		if rapid.IntRange(0, 5).Draw(t, "washed before") == 0 {
			b.Again, b.Washed, b.Presoak = shed.Earlier{Day: 1, Batch: fmt.Sprintf("A%d", i+1)}, rapid.IntRange(0, 2).Draw(t, "times"), shed.PresoakNone
			b.WasDryG = b.RawG * rapid.SampledFrom([]float64{0, 0.3, 0.55, 1}).Draw(t, "was dry")
		}
		p.Batches = append(p.Batches, b)
	}
	if !slices.ContainsFunc(p.Method.Steps, func(s shed.Step) bool { return s.Kind != shed.Presoak && s.Kind.IsBath() }) {
		for i := range p.Batches { // else it would go through no bath
			p.Batches[i].Presoak = shed.PresoakAsMethod
		}
	}
	return p
}

func anyScale(t *rapid.T) shed.Scale {
	return shed.Scale{Name: rapid.SampledFrom([]string{"", "kitchen", "hanging"}).Draw(t, "scale"),
		StepG: rapid.SampledFrom([]float64{0, 1, 5, 2.83, 1000}).Draw(t, "step")}
}

func anyMethod(t *rapid.T) shed.Method {
	m := shed.Method{Name: "Own"}
	for i := range rapid.IntRange(1, 5).Draw(t, "baths") {
		soak := rapid.Float64Range(0.5, 120).Draw(t, "soak")
		s := shed.Step{
			Kind: shed.StepKind(rapid.IntRange(0, 2).Draw(t, "kind")), Name: fmt.Sprintf("bath %d", i+1),
			SoakMin: soak, ShortestMin: rapid.Float64Range(0, soak).Draw(t, "shortest"),
			Water: shed.WaterFrom(rapid.IntRange(0, 2).Draw(t, "water")), AimC: rapid.Float64Range(50, 80).Draw(t, "aim"),
			FillPart: rapid.Float64Range(0.2, 1.2).Draw(t, "part"), Dosed: rapid.Bool().Draw(t, "dosed"),
			MaxGapC: rapid.Float64Range(0, 60).Draw(t, "gap"), TwiceForHighWax: rapid.Bool().Draw(t, "twice"),
		}
		if rapid.Bool().Draw(t, "limited") {
			s.LongestMin = rapid.Float64Range(soak, 240).Draw(t, "longest")
		}
		if s.Kind == shed.Wash {
			s.ReleaseC = rapid.Float64Range(30, 49).Draw(t, "release")
			s.LowestSinkC = rapid.Float64Range(0, s.AimC).Draw(t, "lowest sink")
		}
		m.Steps = append(m.Steps, s)
	}
	if rapid.Bool().Draw(t, "spun") {
		m.Steps = append(m.Steps, shed.Step{Kind: shed.Spin, Name: "spin"})
	}
	if rapid.Bool().Draw(t, "racked") {
		m.Steps = append(m.Steps, shed.Step{Kind: shed.Rack, Name: "rack"})
	}
	return m
}

// anyTub is one that is at work, mostly.
func anyTub(t *rapid.T, d *session.Day) int {
	var busy []int
	for i := range d.Tubs {
		if d.Tubs[i].Phase != shed.Idle {
			busy = append(busy, i)
		}
	}
	if len(busy) == 0 || rapid.IntRange(0, 4).Draw(t, "any tub") == 4 {
		return rapid.IntRange(-1, len(d.Tubs)).Draw(t, "tub")
	}
	return rapid.SampledFrom(busy).Draw(t, "busy tub")
}

// anyCommand draws what a person might press: mostly the obvious next thing,
// sometimes anything at all.
func anyCommand(t *rapid.T, d session.Day) session.Command {
	tub := anyTub(t, &d)
	if rapid.IntRange(0, 9).Draw(t, "obvious") < 5 {
		return session.DoNext{
			Tray: rapid.SampledFrom([]string{"", "", "", "", "r1", "r2", "none"}).Draw(t, "tray"),
			Tub:  tub, Act: d.NextAction(tub), HasTemp: rapid.IntRange(0, 3).Draw(t, "read") == 3,
			TempC: rapid.Float64Range(0, 105).Draw(t, "temp"), Sooner: rapid.IntRange(0, 3).Draw(t, "sooner") > 0,
		}
	}
	temp := func() float64 { return rapid.Float64Range(-5, 110).Draw(t, "temp") }
	switch rapid.IntRange(0, 21).Draw(t, "command") {
	case 21:
		return session.TellKettle{Tub: tub, Sure: rapid.IntRange(0, 2).Draw(t, "sure") > 0, Turn: rapid.Bool().Draw(t, "turn")}
	case 20:
		return session.TakeBreak{InMin: rapid.Float64Range(-1, 60).Draw(t, "in"), ForMin: rapid.SampledFrom([]float64{0, 5, 45, 9999}).Draw(t, "for")}
	case 0:
		return session.DoNext{Tub: tub, Act: shed.Action(rapid.IntRange(-1, 9).Draw(t, "act"))}
	case 1:
		return session.SetCover{Tub: tub, Cover: cooling.Cover(rapid.IntRange(-1, 4).Draw(t, "cover"))}
	case 2:
		if rapid.IntRange(0, 2).Draw(t, "as it holds") == 0 {
			level := rapid.Float64Range(0, 42).Draw(t, "level")
			if part := rapid.SampledFrom([]float64{0, 0.02, 0.6, 0.9, 1.05, 1.8}).Draw(t, "part of it"); part > 0 && tub >= 0 && tub < len(d.Tubs) {
				level = part * d.Tubs[tub].Bath.VolumeL
			}
			return session.CorrectFill{Tub: tub, LevelL: level, Sure: rapid.Bool().Draw(t, "sure")}
		}
		return session.TopUp{Tub: tub, VolumeL: rapid.Float64Range(0, 6).Draw(t, "litres"), TempC: rapid.SampledFrom([]float64{20, 60, 80, 97, 105}).Draw(t, "poured"),
			BailL: rapid.SampledFrom([]float64{0, 0, 0.5, 3, 30}).Draw(t, "bailed"), Sure: rapid.Bool().Draw(t, "sure")}
	case 3:
		return session.AdjustSoak{Tub: tub, ByMin: rapid.Float64Range(-30, 30).Draw(t, "by")}
	case 4:
		return session.Hold{Tub: tub}
	case 5:
		return session.Resume{Tub: tub}
	case 6:
		return session.SkipStep{Tub: tub}
	case 7:
		if rapid.Bool().Draw(t, "on") {
			return session.MoveBasket{Tub: tub, To: rapid.IntRange(0, len(d.Tubs)-1).Draw(t, "to")}
		}
		return session.RepeatStep{Tub: tub, Wash: rapid.Bool().Draw(t, "wash"), DosePart: rapid.SampledFrom([]float64{0, 0.5}).Draw(t, "dose")}
	case 8:
		return session.AddNote{Tub: tub, Text: rapid.String().Draw(t, "note")}
	case 9:
		return session.Acknowledge{Tub: tub}
	case 10:
		id := "Z9"
		if n := len(d.Plan.Batches); n > 0 {
			id = d.Plan.Batches[rapid.IntRange(0, n-1).Draw(t, "batch")].ID
		}
		return session.Weigh{Batch: id, DryG: rapid.Float64Range(1, 400).Draw(t, "dry"), Dry: rapid.Bool().Draw(t, "is dry"), Scale: anyScale(t),
			RH: rapid.SampledFrom([]float64{0, 0.55, 0.9, 2}).Draw(t, "rh"), Sure: rapid.Bool().Draw(t, "sure")}
	case 16, 17, 18:
		id := "Z9"
		if n := len(d.Plan.Batches); n > 0 {
			id = d.Plan.Batches[rapid.IntRange(0, n-1).Draw(t, "batch")].ID
		}
		massG, sure := rapid.Float64Range(1, 900).Draw(t, "mass"), rapid.Bool().Draw(t, "sure")
		switch rapid.IntRange(0, 6).Draw(t, "which weight") {
		case 3:
			return session.MoveOnRack{Batch: id, Tray: rapid.SampledFrom([]string{"r1", "r2", "r3"}).Draw(t, "tray"), OnRack: d.Plan.OnRack}
		case 0:
			return session.WeighRaw{Batch: id, RawG: massG, Scale: anyScale(t), Sure: sure}
		case 2:
			if rapid.Bool().Draw(t, "judged") {
				return session.Judge{Batch: id, Out: session.Outcome{Found: session.Found(rapid.IntRange(-1, 600).Draw(t, "found")), Note: rapid.String().Draw(t, "own words"), Place: rapid.StringN(0, 60, -1).Draw(t, "place")}}
			}
			return session.NamePart{Batch: id, Part: rapid.SampledFrom([]string{"", "shoulder", "britch"}).Draw(t, "part")}
		case 1:
			return session.WeighSoaked{Batch: id, MassG: massG, Scale: anyScale(t), Sure: sure}
		}
		return session.WeighWet{Batch: id, MassG: massG, Scale: anyScale(t), Sure: sure}
	case 11:
		return session.EndDay{Anyway: rapid.IntRange(0, 9).Draw(t, "anyway") == 0}
	case 12:
		return rapid.SampledFrom([]session.Command{session.ResumeWatch{}, session.ProveSound{Heard: true, Path: "invented player"}, session.ProveSound{},
			session.SetService{Kind: session.KettleNow, Out: true}, session.SetService{Kind: session.KettleNow}, session.Shelve{Tub: tub, Kind: session.SoakDone, ForMin: 4, Why: "invented"},
			session.Unshelve{Tub: tub, Kind: session.SoakDone}, session.LookOverRack{OnRack: []shed.Lying{{Tray: "r1", Day: 1, Batch: "Y1", Spots: []shed.Spot{{Place: 1, From: 1, To: 2}}}}},
			session.LookOverRack{}}).Draw(t, "watch, sound or alarms")
	case 13:
		return session.TakeReading{Tub: tub, TempC: temp(), Sure: rapid.Bool().Draw(t, "sure")}
	case 14:
		k := d.Plan.Kit
		k.RoomC = rapid.Float64Range(-12, 47).Draw(t, "room")
		switch {
		case rapid.Bool().Draw(t, "fewer tubs"):
			k.Tubs = k.Tubs[:len(k.Tubs)-1]
		case rapid.Bool().Draw(t, "one more tub"):
			k.Tubs = append(slices.Clone(k.Tubs), shed.Tub{Name: fmt.Sprintf("More %d", len(k.Tubs)), CapacityL: 12, FillL: 8})
		}
		return session.ChangeKit{Kit: k}
	case 15:
		return session.AddBatch{
			Fleece: shed.Fleece{ID: "new", Animal: "Lamb", RawG: 1000},
			Batch:  shed.Batch{FleeceID: rapid.SampledFrom([]string{"f0", "new", "none"}).Draw(t, "of"), RawG: rapid.Float64Range(1, 400).Draw(t, "raw")},
		}
	}
	return session.Undo{}
}

// anyStep is how much time passes between two key presses: nothing, seconds,
// a night, and a clock that somebody sets back.
func anyStep(t *rapid.T) time.Duration {
	return rapid.SampledFrom([]time.Duration{
		0, 0, time.Millisecond, time.Second, 7 * time.Second, 31 * time.Second, 2 * time.Minute, 5 * time.Minute,
		11 * time.Minute, 40 * time.Minute, 3 * time.Hour, 13 * time.Hour, -time.Minute, -2 * time.Hour,
	}).Draw(t, "step")
}

// sane checks what has to hold of any day at any moment.
func sane(t sessiontest.Reporter, d session.Day) {
	t.Helper()
	inTub := map[string]int{}
	for i, tub := range d.Tubs {
		if (tub.Batch == "") != (tub.Phase == shed.Idle) {
			t.Errorf("tub %d is %s with batch %q", i, tub.Phase, tub.Batch)
		}
		if tub.Batch == "" {
			continue
		}
		if j, twice := inTub[tub.Batch]; twice {
			t.Errorf("batch %s is in tub %d and in tub %d", tub.Batch, j, i)
		}
		inTub[tub.Batch] = i
		if tub.Phase != shed.ToFill && tub.Phase < shed.ToSpin {
			ordered(t, tub.Bath)
			if v := tub.Bath.VolumeL; !(v > 0 && v <= d.Plan.Kit.Tubs[i].CapacityL+1e-9) {
				t.Errorf("tub %d of %g L holds a bath of %g L", i, d.Plan.Kit.Tubs[i].CapacityL, v)
			}
		}
	}
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		at, in := inTub[b.ID]
		if in && !d.EndedAt.IsZero() && !f.RackedAt.IsZero() { // left wet and racked since: its tub is as the day left it
			in = false
		}
		switch {
		case in && (f.Tub != at || f.LoadedAt.IsZero() || !f.RackedAt.IsZero()):
			t.Errorf("batch %s is in tub %d, its fate says %+v", b.ID, at, f)
		case !in && f.Tub != -1:
			t.Errorf("batch %s is in no tub, its fate says %+v", b.ID, f)
		case !in && f.LoadedAt.IsZero() != f.RackedAt.IsZero():
			t.Errorf("batch %s is lost: %+v", b.ID, f)
		case f.RackedAt.Before(f.LoadedAt) && !f.RackedAt.IsZero():
			t.Errorf("batch %s was racked before it was loaded: %+v", b.ID, f)
		case f.DryG > 0 && (f.RackedAt.IsZero() || f.DryAt.Before(f.RackedAt)):
			t.Errorf("batch %s was weighed before it lay on the rack: %+v", b.ID, f)
		}
		for i, w := range f.Wet {
			if !(w.MassG > 0) || i > 0 && w.At.Before(f.Wet[i-1].At) {
				t.Errorf("batch %s was weighed %+v", b.ID, f.Wet)
			}
		}
	}
	sessiontest.CheckRack(t, d)
	if len(d.Fate) != len(d.Plan.Batches) {
		t.Errorf("%d fates for %d batches", len(d.Fate), len(d.Plan.Batches))
	}
	for _, b := range d.Baths {
		ordered(t, b)
	}
	seen := map[[2]int]bool{}
	for _, a := range d.Alarms {
		key := [2]int{a.Tub, int(a.Kind)}
		if seen[key] || !a.ClearedAt.IsZero() || (a.Rings == 0) != a.RungAt.IsZero() || a.Rings > 0 && a.RungAt.Before(a.RaisedAt) {
			t.Errorf("standing alarm %+v", a)
		}
		seen[key] = true
	}
	for _, a := range d.AlarmLog {
		if a.ClearedAt.Before(a.RaisedAt) || !a.AnsweredAt.IsZero() && a.AnsweredAt.Before(a.RaisedAt) {
			t.Errorf("alarm in the log: %+v", a)
		}
	}
}

// ordered checks that a bath's moments follow each other.
func ordered(t sessiontest.Reporter, b session.Bath) {
	t.Helper()
	last := b.FilledAt
	for _, at := range []time.Time{b.SunkAt, b.LiftedAt, b.DrainedAt} {
		if at.IsZero() {
			continue
		}
		if at.Before(last) {
			t.Errorf("bath goes back in time: filled %v sunk %v lifted %v drained %v", b.FilledAt, b.SunkAt, b.LiftedAt, b.DrainedAt)
		}
		last = at
	}
	early := func(at time.Time) bool { return at.Before(b.FilledAt) }
	if slices.ContainsFunc(b.Readings, func(r session.Reading) bool { return early(r.At) }) ||
		slices.ContainsFunc(b.Changes, func(c session.HeatChange) bool { return early(c.At) }) {
		t.Errorf("something happened to the bath before it was filled: %+v", b)
	}
	if b.HeldFor < 0 || !b.LiftedAt.IsZero() && b.HeldFor > b.LiftedAt.Sub(b.SunkAt) {
		t.Errorf("held for %v in a soak of %v", b.HeldFor, b.LiftedAt.Sub(b.SunkAt))
	}
}

// bare is a day without what an undo leaves alone: alarms happened, the watch
// was away, the journal went on.
func bare(d session.Day) session.Day {
	d.Out, d.Plan.OnRack = nil, nil
	d.Sound = session.SoundProof{} // heard is heard, whatever is taken back
	d = d.WithoutUndo()
	d.Alarms, d.AlarmLog, d.Resumed, d.BackAt, d.LastSeq, d.LastAt = nil, nil, nil, time.Time{}, 0, time.Time{}
	d.RangAt, d.Rang = time.Time{}, session.CallPriority
	return d
}

// What has to hold of any day, whatever is pressed and however time passes.
func TestAnyDay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := sessiontest.Start(t, anyPlan(t))
		lived := []session.Day{r.Day}
		var undo []session.Day // as a plain stack: what undo should bring back
		for range rapid.SampledFrom([]int{1, 15, 30, 45}).Draw(t, "presses") {
			r.Now = r.Now.Add(anyStep(t))
			before := r.Day
			if rapid.IntRange(0, 3).Draw(t, "tick") == 0 {
				r.Tick(0)
			} else {
				c := anyCommand(t, r.Day)
				day, recs, err := session.Do(r.Day, c, r.Now)
				if err != nil {
					sessiontest.CheckSentence(t, err)
					continue
				}
				if len(recs) == 0 {
					t.Fatalf("%#v was accepted and left no record", c)
				}
				r.Day, r.Recs = day, append(r.Recs, recs...)
				switch c.(type) {
				case session.Undo:
					sessiontest.Same(t, "after undo", bare(r.Day), bare(undo[len(undo)-1]))
					undo = undo[:len(undo)-1]
				case session.Acknowledge, session.ResumeWatch, session.ProveSound, session.SetService, session.Shelve, session.Unshelve, session.LookOverRack:
				default:
					undo = append(undo, before)
				}
			}
			if (coach.CanUndo(r.Day) == "") != (len(undo) == 0) {
				t.Fatalf("can undo %q with %d presses to take back", coach.CanUndo(r.Day), len(undo))
			}
			if again := session.Evaluate(r.Day, latest(r)); len(again) > 0 {
				t.Fatalf("looking twice at the same moment finds %v", again)
			}
			sane(t, r.Day)
			lived = append(lived, r.Day)
		}
		for _, text := range sessiontest.EverythingSaid(r.Day, latest(r)) {
			sessiontest.CheckPrintable(t, text)
		}
		for _, d := range lived {
			otherwise(d)
		}
		sessiontest.CheckReplay(t, r, lived)
	})
}

// otherwise lets a day go on in all sorts of ways that it did not. Whatever
// two continuations share, neither may write into it.
func otherwise(d session.Day) {
	at := d.LastAt
	for _, c := range []session.Command{
		session.AddNote{Tub: -1, Text: "otherwise"}, session.EndDay{Anyway: true}, session.ResumeWatch{},
		session.AddBatch{Batch: shed.Batch{FleeceID: "f0", RawG: 77}}, session.Undo{},
	} {
		_, _, _ = session.Do(d, c, at)
	}
	for _, b := range d.Plan.Batches {
		_, _, _ = session.Do(d, session.Weigh{Batch: b.ID, DryG: b.RawG / 3, Dry: true}, at)
		_, _, _ = session.Do(d, session.WeighWet{Batch: b.ID, MassG: b.RawG, Sure: true}, at)
		_, _, _ = session.Do(d, session.WeighSoaked{Batch: b.ID, MassG: b.RawG * 0.9, Sure: true}, at)
		_, _, _ = session.Do(d, session.WeighRaw{Batch: b.ID, RawG: b.RawG * 0.9, Sure: true}, at)
	}
	for tub := range d.Tubs {
		for _, c := range []session.Command{
			session.DoNext{Tub: tub, Act: d.NextAction(tub), Sooner: true}, session.TakeReading{Tub: tub, TempC: 33, Sure: true},
			session.SetCover{Tub: tub, Cover: cooling.Film}, session.SkipStep{Tub: tub}, session.RepeatStep{Tub: tub},
		} {
			_, _, _ = session.Do(d, c, at)
		}
	}
	later, _ := session.Tick(d, at.Add(5*time.Hour))
	_, _, _ = session.Do(later, session.EndDay{Anyway: true}, at)
}

// latest is the run's moment as the day counts it: never before its last event.
func latest(r *sessiontest.Run) time.Time {
	if r.Now.Before(r.Day.LastAt) {
		return r.Day.LastAt
	}
	return r.Now
}
