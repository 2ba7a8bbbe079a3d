package lookback_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// tapDoes gives a plan so hot a tap that no bath wants the kettle.
func tapDoes(p *shed.Plan) { p.Kit.HotTapC = 70 }

// clock is a moment of the tests' days to the second, "-" for none.
func clock(at time.Time) string {
	if at.IsZero() {
		return "-"
	}
	return at.UTC().Format("15:04:05")
}

func stretch(s lookback.Stretch) string {
	if !s.Known() {
		return "-"
	}
	return strings.TrimSuffix(clock(s.From), ":00") + " to " + strings.TrimSuffix(clock(s.To), ":00")
}

// steps are a day's steps as lines: "A1 spin: planned, was".
func steps(x lookback.Timings) (out []string) {
	for _, s := range x.Steps {
		more := ""
		for word, is := range map[string]bool{" again": s.Again, " left out": s.LeftOut, " cut": s.Cut} {
			if is {
				more += word
			}
		}
		out = append(out, fmt.Sprintf("%s %s%s: %s, %s", s.Batch, s.Step.Name, more, stretch(s.Planned), stretch(s.Was)))
	}
	return out
}

func waits(d session.Day, x lookback.Timings) (out []string) {
	for _, w := range x.Waits {
		out = append(out, stretch(w.Stretch)+" "+w.Who(d)+" "+w.What(d))
	}
	return out
}

// A batch alone in a tub from 08:00. Planned with the guessed hands: load 1.5, fill 3, in 1,
// lift 1.5, empty 3, spin 4, rack 2.5 min; soaks 20, 15, 12 min; no kettle. It goes in at 08:04
// and out at 08:24; each bath then takes 4.5 min to leave and 4 to begin.
var oneTubPlanned = []string{"08:04 to 08:24", "08:32:30 to 08:47:30", "08:56 to 09:08", "09:12:30 to 09:16:30", "09:16:30 to 09:19"}

// alone lives it by its clock: filled 08:10, in 08:11; lifted 08:36, five minutes after its
// time; emptied 08:39, filled 08:42, in 08:43; and so on.
func livedAlone(r *sessiontest.Run) *sessiontest.Run {
	for _, min := range []float64{10, 11, 36, 39, 42, 43, 58, 61, 64, 65, 77, 80, 85, 88} {
		r.Leap(min).Next(0)
	}
	return r
}

func TestTimingsByHand(t *testing.T) {
	r := livedAlone(sessiontest.Start(t, sessiontest.OneTub(tapDoes)))
	x := lookback.TimingsOf(r.Do(session.EndDay{}).Day)
	p := oneTubPlanned
	sessiontest.Same(t, "steps", steps(x), []string{
		"A1 hot wash: " + p[0] + ", 08:11 to 08:36", "A1 first rinse: " + p[1] + ", 08:43 to 08:58", "A1 second rinse: " + p[2] + ", 09:05 to 09:17",
		"A1 spin: " + p[3] + ", 09:21 to 09:25", "A1 rack: " + p[4] + ", 09:25:30 to 09:28",
	})
	sessiontest.Same(t, "day", stretch(x.Day.Planned)+", "+stretch(x.Day.Was), "08:00 to 09:19, 08:00 to 09:28")
	// The fill was over at 08:10 and takes 3 min: seven nobody came. Of the lift, over at 08:36
	// and possible from 08:31, 1.5 min are work; the soak runs from 08:11 for 20 min.
	sessiontest.Same(t, "waits", waits(r.Day, x), []string{
		"08:00 to 08:07 North to be filled: you came late", "08:31 to 08:34:30 North to be lifted: you came late", "09:20 to 09:21 North to be spin-dried: you came late",
	})
	// Hands: 3 fills of 3, 3 in of 1, the first lift 1.5 and two of nothing that came as the
	// soak ended, 3 emptied of 3, spin 4, rack 2.5.
	planned, was := x.HandsMin()
	sessiontest.Near(t, "planned by hand", planned, 3*3+3*1+3*1.5+3*3+4+2.5, 1e-6)
	sessiontest.Near(t, "by hand", was, 3*3+3*1+1.5+3*3+4+2.5, 1e-6)
	sessiontest.Near(t, "nothing to do", x.RestMin, 88-(9+3+1.5+9+4+2.5)-(7+3.5+1)-0.5, 1e-6)
}

// Three batches with a wash each. Away for 21 min after each soak: that is nobody who came, and no
// slow hands. Nor are the 12 min hands' from when the kettle was put on for each bath.
func TestLateIsNotSlow(t *testing.T) {
	p := sessiontest.ManyBatches(3, 1)
	p.Kit.HotTapC = 54
	p.Method.Steps = slices.DeleteFunc(slices.Clone(p.Method.Steps), func(s shed.Step) bool { return s.Kind == shed.Rinse })
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	for !r.Day.AllRacked() {
		switch tub := r.Day.Tubs[0]; {
		case tub.Phase == shed.Soaking:
			r.Wait(tub.Bath.SoakMin + 21)
		case tub.Phase == shed.ToFill && r.Day.Fill(0).Pour.KettleL > 0:
			r.Do(session.TellKettle{}).Wait(12)
		default:
			r.Wait(1)
		}
		r.Next(0)
	}
	x := lookback.TimingsOf(r.Day)
	hands := r.Day.Plan.HandsMin()
	for _, h := range x.ByDeed {
		if h.Act == shed.Lift || h.Act == shed.FillTub {
			sessiontest.Near(t, "minutes to "+h.Act.String(), h.WasMin/float64(h.Times), hands[h.Act], 1e-6)
		}
	}
	if n := strings.Count(strings.Join(waits(r.Day, x), "; "), "to be lifted: you came late"); n != 3 {
		t.Errorf("%d late lifts: %s", n, waits(r.Day, x))
	}
}

// A clock that is set forward by an hour while the wash soaks: all before it moves with it.
func TestTimingsAcrossAClockThatWasSet(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(10).Next(0).Leap(11).Next(0).Leap(20)
	r.Now = r.Now.Add(time.Hour)
	r.Do(session.SetClock{By: time.Hour}).Leap(94)
	for _, min := range []float64{36, 39, 42, 43, 58, 61, 64, 65, 77, 80, 85, 88} {
		r.Leap(60 + min).Next(0)
	}
	x := lookback.TimingsOf(r.Day)
	sessiontest.Same(t, "day", stretch(x.Day.Planned)+", "+stretch(x.Day.Was), "09:00 to 10:19, 09:00 to 10:28")
	sessiontest.Same(t, "wash", steps(x)[0], "A1 hot wash: 09:04 to 09:24, 09:11 to 09:36")
	sessiontest.Same(t, "waits", waits(r.Day, x)[:2], []string{"09:00 to 09:07 North to be filled: you came late", "09:31 to 09:34:30 North to be lifted: you came late"})
	sessiontest.Same(t, "the wash's marks", marks(lookback.Baths(r.Day)[0]), "09:10 filled, 09:11 in, 09:34 rang, 09:36 lifted, 09:39 emptied")
}

// Deeds that were taken back never were: a fill too early, and a reading.
func TestTimingsWithoutWhatWasTakenBack(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(2).Next(0).Do(session.Undo{})
	r.Leap(10).Next(0).Leap(11).Next(0).Leap(12).Do(sessiontest.ReadC(0, 60), session.Undo{})
	for _, min := range []float64{36, 39, 42, 43, 58, 61, 64, 65, 77, 80, 85, 88} {
		r.Leap(min).Next(0)
	}
	x := lookback.TimingsOf(r.Day)
	sessiontest.Same(t, "deeds", len(x.Deeds), 14)
	sessiontest.Same(t, "wash", steps(x)[0], "A1 hot wash: "+oneTubPlanned[0]+", 08:11 to 08:36")
	sessiontest.Same(t, "longest wait", waits(r.Day, x)[0], "08:00 to 08:07 North to be filled: you came late")
}

// A wash cut off, done again, a rinse left out, and a day that ends in the second.
func TestTimingsOfADayCutShort(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(3).Next(0).Leap(4).Next(0).Leap(14).Do(session.DoNext{Act: shed.Lift, Sooner: true}) // ten minutes too soon
	r.Leap(17).Do(session.RepeatStep{}).Leap(20).Next(0).Leap(21).Next(0).Leap(41).Next(0).Leap(44).Next(0).Do(session.SkipStep{})
	r.Leap(50).Next(0).Leap(51).Next(0).Leap(55).Do(session.EndDay{Anyway: true})
	x := lookback.TimingsOf(r.Day)
	p := oneTubPlanned
	sessiontest.Same(t, "steps", steps(x), []string{
		"A1 hot wash: " + p[0] + ", 08:04 to 08:14", "A1 hot wash again: -, 08:21 to 08:41", "A1 first rinse left out: " + p[1] + ", -",
		"A1 second rinse: " + p[2] + ", 08:51 to 08:55", "A1 spin: " + p[3] + ", -", "A1 rack: " + p[4] + ", -",
	})
}

// Two tubs and one pair of hands, then a third batch: who waits for whom. Tub 1 is ready to be
// filled from 08:00, while tub 0 is filled until 08:03; the third batch waits for the first rack.
func TestWhoWaitedForWhom(t *testing.T) {
	p := sessiontest.ManyBatches(3, 2)
	p.Kit.Tubs[1] = p.Kit.Tubs[0]
	p.Kit.Tubs[1].ID, p.Kit.Tubs[1].Name = "", "Tub 2"
	tapDoes(&p)
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	r.Leap(3).Next(0).Leap(4).Next(0).Leap(7).Next(1).Leap(8).Next(1) // in at 4 and at 8
	r.Leap(24).Do(session.Hold{Tub: 1})
	r.Leap(26).Next(0).Leap(29).Next(0).Leap(32).Do(session.Resume{Tub: 1}).Next(0).Leap(33).Next(0) // tub 1's soak ends at 36
	r.Leap(48).Next(0).Leap(51).Next(0).Leap(54).Next(0).Leap(55).Next(0).Leap(67).Next(0).Leap(70).Next(0).Leap(74).Next(0).Leap(76.5).Next(0)
	r.Leap(80).Next(0) // the third batch is loaded, over ten minutes after its tub was racked from
	x := lookback.TimingsOf(r.Day)
	got := waits(r.Day, x)
	for _, want := range []string{
		"08:00 to 08:04 Tub 2 to be filled: you were at Tub 1",
		"08:00 to 09:16:30 A3 for a tub",
	} {
		if !strings.Contains(strings.Join(got, "\n"), want) {
			t.Errorf("nothing says %q:\n%s", want, strings.Join(got, "\n"))
		}
	}
}

// The kettle was put on at 08:05 and boiled at 08:17; the fill, which wants it, is over at 08:25.
func TestABathWaitsForItsKettle(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 55, 5 }))
	r.Leap(5).Do(session.TellKettle{}).Leap(17).Do(session.TellKettle{Sure: true}).Leap(25).Next(0)
	x := lookback.TimingsOf(r.Day)
	sessiontest.Same(t, "waits", waits(r.Day, x), []string{
		"08:00 to 08:22 North to be filled: its kettle boiled for 12 min of it",
	})
	if len(x.Kettle.Was) != 1 || stretch(x.Kettle.Was[0].Stretch) != "08:05 to 08:17" || len(x.Kettle.Planned) == 0 {
		t.Errorf("the kettle: %+v", x.Kettle)
	}
}

// A small kettle boils twice, from 08:05 and from 08:30, and stood between. What no tap is warm enough
// for waits for nobody, and a batch that came later, or that is too much for the tub, not for hands before.
func TestAKettleThatStoodAndWaterTooCool(t *testing.T) {
	p := sessiontest.ManyBatches(2, 2)
	p.Kit.HotTapC, p.Kit.Kettle.CapacityL = 50, 1.2
	p.Kit.Tubs[1].CapacityL, p.Kit.Tubs[1].FillL = 60, 40 // more than any kettle warms
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p).Leap(5).Do(session.TellKettle{}).Leap(30).Do(session.TellKettle{})
	if _, idle := r.Day.IdleFill(1, r.Now); !idle {
		t.Fatal("the other tub's water is warm enough without the kettle")
	}
	x := lookback.TimingsOf(r.Leap(45).Next(0).Leap(50).Fill(1, 60).Day)
	if len(x.Kettle.Was) != 2 || stretch(x.Kettle.Was[1].Stretch)[:5] != "08:30" || x.Kettle.Was[0].Min() > 3 {
		t.Errorf("%+v", x.Kettle.Was)
	}
	if got := waits(r.Day, x); !slices.ContainsFunc(got, func(s string) bool {
		return strings.Contains(s, r.Day.TubName(1)+" to be filled: its water was too cool")
	}) {
		t.Errorf("%q", got)
	}
}

// A batch is added 60 minutes after its tub came free: nothing waited before.
func TestABatchAddedLaterDidNotWait(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes))
	rackedAt(r, r.Day.Plan.HandsMin())
	free := r.Now
	r.Wait(60).Do(session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 100}}).Wait(5).Next(0)
	for _, w := range lookback.TimingsOf(r.Day).Waits {
		if w.Act == shed.LoadNext && w.From.Before(free.Add(59*time.Minute)) {
			t.Errorf("%s %s waited %s", stretch(w.Stretch), w.Who(r.Day), w.What(r.Day))
		}
	}
}

// Each bath is emptied once, by whatever deed: told for itself, with its basket moved to another
// tub, with the next step skipped, or with a bath that is filled anew.
func TestEveryBathIsEmptiedOnce(t *testing.T) {
	for name, live := range map[string]func(*sessiontest.Run){
		"told":    func(r *sessiontest.Run) { r.Next(0) },
		"moved":   func(r *sessiontest.Run) { r.Do(session.MoveBasket{To: 1}) },
		"skipped": func(r *sessiontest.Run) { r.Do(session.SkipStep{}) },
		"again":   func(r *sessiontest.Run) { r.Do(session.RepeatStep{}) },
		"refilled": func(r *sessiontest.Run) {
			r.Next(0, 0).Wait(5).Do(session.RepeatStep{})
		},
	} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
			p.Batches = p.Batches[:1]
			p.Batches[0].Presoak = shed.PresoakNone
		}))
		live(r.Until(0, shed.Soaking).Wait(20).Next(0).Wait(2))
		for _, h := range lookback.TimingsOf(r.Day).ByDeed {
			if h.Act == shed.DrainTub && (h.Times != len(r.Day.Baths) || h.Times == 0) {
				t.Errorf("%s: emptied %d times of %d", name, h.Times, len(r.Day.Baths))
			}
		}
	}
}

// On hold from 08:34, at a soak that is over at 08:24, to 08:40, and lifted at 08:42.
func TestATubOnHoldWaitsForNobody(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(3).Next(0).Leap(4).Next(0).Leap(34).Do(session.Hold{}).Leap(40).Do(session.Resume{}).Leap(42).Next(0)
	got := waits(r.Day, lookback.TimingsOf(r.Day))
	// The hold came after the soak's end, which it moves by six minutes: from 08:30 to 08:40.5.
	sessiontest.Same(t, "waits", got, []string{"08:30 to 08:40:30 North to be lifted: on hold for 6 min of it"})
}

// A wash is over at 08:24, in a break from 08:20 to 08:50, and is lifted at 09:00: who had a break
// did not come late.
func TestATubWaitsForABreak(t *testing.T) {
	hours := shed.Hours{FromMin: 8*60 + 20, ToMin: 8*60 + 50}
	for _, is := range []string{"told", "planned", "quiet", "both"} {
		r := sessiontest.Start(t, sessiontest.OneTub(tapDoes, func(p *shed.Plan) {
			switch is {
			case "planned":
				p.Break = shed.Breaks{hours}
			case "quiet":
				*p = p.WithQuiet(hours)
			case "both":
				p.Break = shed.Breaks{{FromMin: hours.FromMin, ToMin: hours.FromMin + 6}}
				*p = p.WithQuiet(shed.Hours{FromMin: hours.FromMin + 6, ToMin: hours.ToMin})
			}
		})).Leap(3).Next(0).Leap(4).Next(0).Leap(20)
		if is == "told" {
			r.Do(session.TakeBreak{ForMin: 30})
		}
		left := lookback.TimingsOf(r.Leap(55).Day)
		got := append(waits(r.Day, left), waits(r.Day, lookback.TimingsOf(r.Leap(60).Next(0).Day))...)
		want := "you had a break for 26 min of it"
		if is == "quiet" {
			want = "quiet hours for 26 min of it"
		} else if is == "both" {
			want = "quiet hours for 24 min of it"
		}
		sessiontest.Same(t, "waits", got, []string{"08:24 to 08:55 North to be lifted: " + want, "08:24 to 08:58:30 North to be lifted: " + want})
	}
}

// A wash in from 08:04 for 20 min, which nobody lifted by the end of the day at 10:04.
func TestFleeceLeftInTheWaterWaited(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).Leap(3).Next(0).Leap(4).Next(0).Leap(124).Do(session.EndDay{Anyway: true})
	x := lookback.TimingsOf(r.Day)
	sessiontest.Same(t, "waits, day", append(waits(r.Day, x), stretch(x.Day.Was)), []string{"08:24 to 10:04 North to be lifted: nobody came", "08:00 to 10:04"})
	sessiontest.Near(t, "nothing to do", x.RestMin, 20, 1e-6)
}

// Two washes are over by 08:28. Tub 1 is lifted at 08:40 and emptied at 08:43; tub 2 is lifted at
// 09:20, which takes 1.5 min: one lift is one wait, however often the person was elsewhere meanwhile.
func TestOneLateLiftIsOneWait(t *testing.T) {
	p := sessiontest.ManyBatches(2, 2)
	tapDoes(&p)
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	r.Leap(3).Next(0).Leap(4).Next(0).Leap(7).Next(1).Leap(8).Next(1)
	r.Leap(40).Next(0).Leap(43).Next(0).Leap(80).Next(1)
	var got []string
	for _, w := range lookback.TimingsOf(r.Day).Waits {
		if w.Act == shed.Lift && w.Tub == 1 {
			got = append(got, lookback.Words{}.Wait(r.Day, w))
		}
	}
	sessiontest.Same(t, "the lift", got, []string{"Tub 2 waited 51 min to be lifted: nobody came for 46 min of it"})
}

// Two batches are ready to be spun; the first is from 08:00 to 08:04, the second until 08:08.
func TestFleeceWaitsForTheSpinDryer(t *testing.T) {
	p := sessiontest.ManyBatches(2, 2)
	tapDoes(&p)
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	for tub := range 2 {
		r.Until(tub, shed.ToSpin)
	}
	r.Leap(4).Next(0).Leap(8).Next(1)
	got := waits(r.Day, lookback.TimingsOf(r.Day))
	if want := "08:00 to 08:04 Tub 2 to be spin-dried: it was Tub 1's turn in the spin dryer"; !slices.Contains(got, want) {
		t.Errorf("nothing says %q: %q", want, got)
	}
}

// A tank without hot water to spare: the fill that came when it could wash waited for the tank.
func TestABathWaitsForTheTank(t *testing.T) {
	p := sessiontest.TankPlan(t, 6000)
	p.Kit.Tank.VolumeL, p.Kit.Kettle.CapacityL = 24, 0
	p.Kit.HotTapC = 65
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	r.Leap(3).Fill(0, 62).Leap(4).Next(0).Leap(6).Fill(1, 62).Leap(7).Next(1) // drained at 08:03 and 08:06
	idle, ok := r.Day.IdleFill(2, r.Now)
	if !ok || !(idle.WaitMin > 2) || math.IsInf(idle.WaitMin, 1) {
		t.Fatalf("the tank is not what the third tub waits for: %v, %g min", ok, idle.WaitMin)
	}
	till := 7 + idle.WaitMin
	r.Leap(math.Ceil(till) + 5).Next(2)
	x := lookback.TimingsOf(r.Day)
	for _, w := range x.Waits {
		if w.For != lookback.ForTank || w.Tub != 2 {
			continue
		}
		if to := 6 + w.ForMin; math.Abs(to-till) > 1.01 { // from when it was drained, in whole minutes
			t.Errorf("it waited until %.1f min, the tank took until %.1f", to, till)
		}
		return
	}
	t.Errorf("nothing waited for the tank: %q", waits(r.Day, x))
}

// A day of a version that wrote neither what the kettle gave nor how long ago a deed was over.
func TestTimingsOfAnOlderVersion(t *testing.T) {
	r := livedAlone(sessiontest.Start(t, sessiontest.OneTub(tapDoes)))
	text, err := json.Marshal(r.Recs)
	if err != nil {
		t.Fatal(err)
	}
	var recs []map[string]any
	must.Do(t, json.Unmarshal(text, &recs))
	for _, rec := range recs {
		for _, part := range rec {
			if data, ok := part.(map[string]any); ok {
				for _, newer := range []string{"hot_l", "kettle_l", "ago_min", "soak_min"} {
					delete(data, newer)
				}
			}
		}
	}
	if text, err = json.Marshal(recs); err != nil {
		t.Fatal(err)
	}
	var older []session.Recorded
	must.Do(t, json.Unmarshal(text, &older))
	d := session.Replay(older)
	sessiontest.Same(t, "steps", steps(lookback.TimingsOf(d)), steps(lookback.TimingsOf(r.Day)))
}

// Whatever happens on a day, its figures hang together: work is not before it could begin,
// one pair of hands does one thing at a time, and no wait is of the time of its own work.
func TestTimingsOfAnyDay(t *testing.T) {
	plan, err := lookback.Planned(sessiontest.Start(t, sessiontest.ThreeTubs()).Day) // the same for all
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := anyDay(t)
		x := lookback.TimingsBeside(r.Day, plan)
		_, handsMin := x.HandsMin()
		if over := handsMin - x.Day.Was.Min(); over > 1e-6 {
			t.Errorf("hands worked %.1f min longer than the day", over)
		}
		if sum := handsMin + x.RestMin; !(x.RestMin >= 0) || sum > x.Day.Was.Min()+1e-6 {
			t.Errorf("%.1f min of a day of %.1f", sum, x.Day.Was.Min())
		}
		for i, f := range x.Deeds {
			if f.At.From.Before(f.Ready) || f.At.To.Before(f.At.From) || i > 0 && f.At.From.Before(x.Deeds[i-1].At.To) {
				t.Errorf("deed %d: %+v", i, f)
			}
		}
		for _, w := range x.Waits {
			if !(w.Min() >= 1) || w.To.After(r.Day.LastAt) || w.What(r.Day) == "" {
				t.Errorf("wait %+v", w)
			}
		}
		for _, b := range lookback.Baths(r.Day) {
			checkBath(t, b)
		}
	})
}

func checkBath(t sessiontest.Reporter, b lookback.Bath) {
	for i, f := range b.Forecasts {
		if !f.Heat.Ok || i > 0 && !f.Since.After(b.Forecasts[i-1].Since) {
			t.Errorf("forecast %d of %s: %+v", i, b.Step.Name, f.Since)
		}
	}
	for _, m := range b.Marks {
		if m.At.Before(b.Span.From) || m.At.After(b.Span.To) {
			t.Errorf("%v lies outside of %v", m, b.Span)
		}
	}
	if !b.SunkAt.IsZero() && (math.IsNaN(b.Lowest.TempC) || b.Lowest.TempC > b.In.TempC+0.5 && b.Lowest.TempC > b.Lift.TempC+0.5) {
		t.Errorf("in %v, lowest %v, lift %v", b.In, b.Lowest, b.Lift)
	}
}

// The minutes of a stretch are those between its ends as they are shown; within one minute, its own.
func TestMinutesFitTheTimesShown(t *testing.T) {
	w := lookback.Words{Zone: time.UTC}
	for _, c := range []struct {
		fromS, toS int
		shows, min string
	}{
		{50, 50 + 14*60 + 20, "08:00-08:15", "15"}, {10, 10 + 14*60 + 40, "08:00-08:14", "14"}, {5, 5 + 40, "08:00", "1"}, {5, 5 + 20, "08:00", "0"}, {40, 40 + 40, "08:00-08:01", "1"},
	} {
		at := lookback.Stretch{From: sessiontest.Dawn.Add(time.Duration(c.fromS) * time.Second), To: sessiontest.Dawn.Add(time.Duration(c.toS) * time.Second)}
		row := w.StepRow(session.Day{}, lookback.StepTiming{Tub: -1, Step: shed.Step{Kind: shed.Rinse}, Both: lookback.Both{Planned: at, Was: at}})
		sessiontest.Same(t, "shown", row[2:6], []string{c.shows, c.min, c.shows, c.min})
	}
}
