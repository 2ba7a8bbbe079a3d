package session_test

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// stages are the states a tub can be in, each with a way to get North there.
// "held" is a soak on hold, "ended" a day that was closed early.
var stages = []struct {
	name string
	come func(r *sessiontest.Run)
}{
	{"fill", func(*sessiontest.Run) {}},
	{"sink in", func(r *sessiontest.Run) { r.Next(0) }},
	{"soak", func(r *sessiontest.Run) { r.Next(0, 0).Wait(1) }},
	{"ripe", func(r *sessiontest.Run) { r.Next(0, 0).Wait(25.5) }}, // past the planned soak: the alarm rings
	{"held", func(r *sessiontest.Run) { r.Next(0, 0).Wait(1).Do(session.Hold{Tub: 0}) }},
	{"drain", func(r *sessiontest.Run) { r.Next(0, 0).Wait(21).Next(0) }},
	{"refill", func(r *sessiontest.Run) { r.Next(0, 0).Wait(21).Next(0, 0) }},
	{"spin", func(r *sessiontest.Run) { r.Until(0, shed.ToSpin) }},
	{"rack", func(r *sessiontest.Run) { r.Until(0, shed.ToRack) }},
	{"idle", func(r *sessiontest.Run) { r.Until(0, shed.Idle) }},
	{"ended", func(r *sessiontest.Run) { r.Next(0, 0).Do(session.EndDay{Anyway: true}) }},
	{"unbegun", nil},
}

// matrixPlan gives North a batch and leaves nothing waiting; South's batch
// keeps the day from being all racked.
func matrixPlan() shed.Plan {
	return sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Batches[0].Presoak = shed.PresoakNone
	})
}

// What each command meets in each stage: "+" is accepted, otherwise a piece of
// the refusal. Every stage has a column and every command of the package a row.
const (
	unbegun = "has not begun"
	ended   = "has ended"
)

var matrix = []struct {
	command session.Command
	want    string // in the order of stages, "|" between
}{
	{session.StartDay{Plan: matrixPlan()}, "begun already|begun already|begun already|begun already|begun already|begun already|begun already|begun already|begun already|begun already|begun already|+"},
	{do(shed.Wait), "next is fill|next is lower in|next is lift|next is lift|next is lift|next is drain|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.LoadNext), "next is fill|next is lower in|next is lift|next is lift|next is lift|next is drain|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.FillTub), "+|next is lower in|next is lift|next is lift|next is lift|next is drain|+|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.SinkIn), "next is fill|+|next is lift|next is lift|next is lift|next is drain|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.Lift), "next is fill|next is lower in|has soaked 1 min of 20 min|+|has soaked 1 min of 20 min|next is drain|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{session.DoNext{Act: shed.Lift, Sooner: true}, "next is fill|next is lower in|+|+|+|next is drain|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.DrainTub), "next is fill|next is lower in|next is lift|next is lift|next is lift|+|next is fill|next is spin|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.SpinFibre), "next is fill|next is lower in|next is lift|next is lift|next is lift|next is drain|next is fill|+|next is rack|nothing to do|" + ended + "|" + unbegun},
	{do(shed.RackFibre), "next is fill|next is lower in|next is lift|next is lift|next is lift|next is drain|next is fill|next is spin|+|nothing to do|" + ended + "|" + unbegun},
	{do(shed.FinishDay), "not every batch|not every batch|North still has fleece|North still has fleece|North still has fleece|not every batch|not every batch|not every batch|not every batch|not every batch|" + ended + "|" + unbegun},
	{session.TakeReading{TempC: 62}, "no bath now: fill|+|+|+|+|is over: empty|no bath now: fill|no bath now|no bath now|no bath now|" + ended + "|" + unbegun},
	{session.SetCover{Cover: cooling.Film}, "no bath now: fill|+|+|+|+|is over: empty|no bath now: fill|no bath now|no bath now|no bath now|" + ended + "|" + unbegun},
	{session.TopUp{VolumeL: 1, TempC: 90, Sure: true}, "no bath now: fill|+|+|+|+|is over: empty|no bath now: fill|no bath now|no bath now|no bath now|" + ended + "|" + unbegun},
	{session.CorrectFill{LevelL: 9}, "no bath now: fill|+|+|+|+|+|no bath now: fill|no bath now|no bath now|no bath now|" + ended + "|" + unbegun},
	{session.AdjustSoak{ByMin: 5}, "+|+|+|+|+|no soak|+|no soak|no soak|no soak|" + ended + "|" + unbegun},
	{session.AdjustSoak{ByMin: -2}, "+|+|+|soak is over|+|no soak|+|no soak|no soak|no soak|" + ended + "|" + unbegun},
	{session.TellKettle{}, "+|" + strings.Repeat("takes no kettle water|", 9) + ended + "|" + unbegun},
	{session.Hold{}, "+|+|+|+|on hold already|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.Resume{}, "not on hold|not on hold|not on hold|not on hold|+|not on hold|not on hold|not on hold|not on hold|not on hold|" + ended + "|" + unbegun},
	{session.SkipStep{}, "+|+|lift it first|lift it first|lift it first|+|+|+|can't skip the rack|is empty|" + ended + "|" + unbegun},
	{session.RepeatStep{}, "no bath to repeat yet|+|in the hot wash now|in the hot wash now|in the hot wash now|+|+|+|+|no bath to repeat yet|" + ended + "|" + unbegun},
	{session.MoveBasket{To: 1}, strings.Repeat("South has a batch of its own|", 1) + "lift the basket first|lift the basket first|lift the basket first|lift the basket first|South has a batch of its own|South has a batch of its own|had its last bath|had its last bath|is empty|" + ended + "|" + unbegun},
	{session.AddNote{Text: "brown water"}, "+|+|+|+|+|+|+|+|+|+|+|" + unbegun},
	{session.AddNote{Tub: -1, Text: "windy"}, "+|+|+|+|+|+|+|+|+|+|+|" + unbegun},
	{session.Acknowledge{}, "no alarm|no alarm|no alarm|+|no alarm|no alarm|no alarm|no alarm|no alarm|no alarm|" + ended + "|" + unbegun},
	{session.Acknowledge{Tub: -1}, "no alarm|no alarm|no alarm|+|no alarm|no alarm|no alarm|no alarm|no alarm|no alarm|" + ended + "|" + unbegun},
	{session.Weigh{Batch: "A1", DryG: 150, Dry: true, Sure: true}, "not on the rack|not on the rack|not on the rack|not on the rack|not on the rack|not on the rack|not on the rack|not on the rack|not on the rack|+|not on the rack|" + unbegun},
	{session.WeighWet{Batch: "A1", MassG: 250}, "out of the water|out of the water|out of the water|out of the water|out of the water|out of the water|out of the water|out of the water|+|+|out of the water|" + unbegun},
	{session.WeighRaw{Batch: "A1", RawG: 220}, "+|+|+|+|+|+|+|+|+|+|+|" + unbegun},
	{session.WeighSoaked{Batch: "A1", MassG: 200}, strings.Repeat("not come out of a presoak|", 11) + unbegun},
	{session.MoveOnRack{Batch: "A1", Tray: "r9"}, strings.Repeat("not on the rack yet|", 9) + "no tray|no tray|" + unbegun},
	{session.Judge{Batch: "A1", Out: session.Outcome{Found: session.StillWaxy}}, strings.Repeat("not on the rack yet|", 9) + "+|+|" + unbegun},
	{session.NamePart{Batch: "A1", Part: "shoulder"}, strings.Repeat("+|", 11) + unbegun},
	{session.EnterCard{Plan: shed.Plan{Kit: shed.DefaultKit(), EnteredAt: sessiontest.Dawn}, Fleece: shed.Fleece{ID: "f1", Animal: "Moss", RawG: 900}, Batch: shed.Batch{FleeceID: "f1", RawG: 200}}, strings.Repeat("wasn't entered from cards|", 11) + "+"},
	{session.LookOverRack{OnRack: []shed.Lying{{Tray: "r1", Day: 3, Batch: "B1"}}}, strings.Repeat("+|", 10) + ended + "|" + unbegun},
	{session.TakeBreak{InMin: 5, ForMin: 40}, strings.Repeat("+|", 10) + ended + "|" + unbegun},
	{session.TakeBreak{}, strings.Repeat("no break to end|", 10) + ended + "|" + unbegun},
	{session.TakeBreak{ForMin: 9999}, strings.Repeat("a break lasts up to|", 10) + ended + "|" + unbegun},
	{session.Undo{}, "nothing to undo|+|+|+|+|+|+|+|+|+|+|nothing to undo"},
	{session.EndDay{}, "not every batch|not every batch|North still has fleece|North still has fleece|North still has fleece|not every batch|not every batch|not every batch|not every batch|not every batch|" + ended + "|" + unbegun},
	{session.EndDay{Anyway: true}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.ChangeKit{Kit: warmerRoom()}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 150}}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.Shelve{Kind: session.NotLifted, ForMin: 5, Why: "on my way"}, "no such alarm|no such alarm|no such alarm|+|no such alarm|no such alarm|no such alarm|no such alarm|no such alarm|no such alarm|" + ended + "|" + unbegun},
	{session.Unshelve{Kind: session.SoakDone}, strings.Repeat("no such alarm|", 10) + ended + "|" + unbegun},
	{session.SetService{Kind: session.KettleNow, Out: true}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.SetClock{By: time.Hour}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.ProveSound{Heard: true, Path: "invented player"}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
	{session.ProveSound{Heard: true}, strings.Repeat("nothing was played|", 10) + ended + "|" + unbegun},
	{session.ResumeWatch{}, "+|+|+|+|+|+|+|+|+|+|" + ended + "|" + unbegun},
}

func warmerRoom() shed.Kit {
	k := matrixPlan().Clean().Kit
	k.RoomC = 24
	return k
}

func do(a shed.Action) session.Command { return session.DoNext{Act: a} }

// tubBound says that a refusal of the command is about one tub and so has to
// name it.
func tubBound(c session.Command) bool {
	switch c := c.(type) {
	case session.DoNext:
		return c.Act != shed.FinishDay
	case session.Acknowledge:
		return c.Tub >= 0
	case session.TakeReading, session.SetCover, session.TopUp, session.CorrectFill, session.AdjustSoak, session.TellKettle, session.Hold, session.Resume,
		session.SkipStep, session.RepeatStep, session.MoveBasket:
		return true
	}
	return false
}

func TestEveryCommandInEveryStage(t *testing.T) {
	for i, stage := range stages {
		r := &sessiontest.Run{T: t, Now: sessiontest.Dawn}
		if stage.come != nil {
			r = sessiontest.Start(t, matrixPlan())
			stage.come(r)
		}
		for _, row := range matrix {
			want := strings.Split(row.want, "|")
			if len(want) != len(stages) {
				t.Fatalf("%#v has %d columns for %d stages", row.command, len(want), len(stages))
			}
			_, recs, err := session.Do(r.Day, row.command, r.Now)
			switch {
			case want[i] == "+" && err != nil:
				t.Errorf("%s: %#v: %v", stage.name, row.command, err)
			case want[i] == "+" && len(recs) == 0:
				t.Errorf("%s: %#v was accepted and nothing happened", stage.name, row.command)
			case want[i] != "+" && err == nil:
				t.Errorf("%s: %#v was accepted", stage.name, row.command)
			case want[i] != "+":
				_ = r.Refused(row.command, want[i])
				if r.Day.Running() && tubBound(row.command) && !strings.Contains(err.Error(), "North") {
					t.Errorf("%s: %q does not name the tub", stage.name, err)
				}
			}
		}
	}
}

// Whoever adds a command has to say what it meets in each stage.
func TestMatrixHasEveryCommand(t *testing.T) {
	have := map[string]bool{}
	for _, row := range matrix {
		have[strings.SplitN(sessiontest.TypeName(row.command), ".", 2)[1]] = true
	}
	for _, s := range sources(t) {
		if s.path != "session/command.go" {
			continue
		}
		for _, name := range sessiontest.ReceiversOf(s.file, "isCommand") {
			if !have[name] {
				t.Errorf("the matrix has no row for %s", name)
			}
			delete(have, name)
		}
	}
	if len(have) > 0 {
		t.Errorf("not found among the commands: %v", have)
	}
}

// A tub that the day does not have is refused by every command that names one.
func TestNoSuchTub(t *testing.T) {
	r := sessiontest.Start(t, matrixPlan())
	for _, row := range matrix {
		c := reflect.New(reflect.TypeOf(row.command)).Elem()
		c.Set(reflect.ValueOf(row.command))
		f := c.FieldByName("Tub")
		if do, ok := row.command.(session.DoNext); !f.IsValid() || ok && do.Act == shed.FinishDay {
			continue
		}
		for _, tub := range []int64{-2, 2, 99, math.MaxInt32, math.MinInt32} {
			f.SetInt(tub)
			_ = r.Refused(c.Interface().(session.Command), "this day has 2")
		}
	}
	_ = r.Refused(session.Hold{Tub: -1}, "no such tub")
}

// Causes that the program has to tell apart to offer the second try.
func TestSecondTry(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0, 0).Wait(1)
	for _, row := range []struct {
		first, second session.Command
		cause         error
	}{
		{do(shed.Lift), session.DoNext{Act: shed.Lift, Sooner: true}, session.ErrTooSoon},
		{session.TakeReading{TempC: 30}, session.TakeReading{TempC: 30, Sure: true}, shed.ErrUnlikely},
		{session.EndDay{}, session.EndDay{Anyway: true}, session.ErrWorkLeft},
	} {
		if err := r.Refused(row.first); !errors.Is(err, row.cause) {
			t.Errorf("%#v: %v is not %q", row.first, err, row.cause)
		}
		if _, _, err := session.Do(r.Day, row.second, r.Now); err != nil {
			t.Errorf("%#v: %v", row.second, err)
		}
	}
}

// Weights are held against the raw weight of the batch.
func TestWeighing(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Now = r.Now.Add(5 * time.Hour) // it soaked long: drying counts from the rack
	r.Until(0, shed.Idle)
	for _, row := range []struct {
		batch string
		dryG  float64
		say   string
	}{
		{"A1", 0, "more than 0"}, {"A1", -1, "more than 0"}, {"A1", math.NaN(), "more than 0"},
		{"A1", math.Inf(1), "more than 0"}, {"A1", 226, "226 g dry is more than the 225 g"},
		{"A1", 11, "less than a twentieth"}, {"B7", 100, `no batch "B7"`}, {"\x1b[31mA1", 100, `no batch "A1"`}, {"", 100, "no batch"},
	} {
		_ = r.Refused(session.Weigh{Batch: row.batch, DryG: row.dryG, Dry: true}, row.say)
	}
	_ = r.Refused(session.Weigh{Batch: "A1", DryG: 140, Dry: true}, "laid on the rack 0 min ago, and wool takes a day or more to dry")
	r.Do(session.Weigh{Batch: "A1", DryG: 140, Dry: true, Sure: true}, session.Weigh{Batch: "A1", DryG: 139.5, Dry: true, Sure: true}, session.EndDay{}, session.Weigh{Batch: "A1", DryG: 139, Dry: true, Sure: true})
	sessiontest.Same(t, "dry weight", r.Day.Fate["A1"].DryG, 139.0)
	r.Do(session.Undo{})
	sessiontest.Same(t, "dry weight, undone", r.Day.Fate["A1"].DryG, 139.5)
}
