package planner_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// overnight is a plan of so many batches of 400 g that soak over night.
func overnight(tubs, batches int, change ...func(*shed.Plan)) shed.Plan {
	p := sessiontest.ThreeTubs()
	for i := range p.Kit.Tubs {
		p.Kit.Tubs[i].CapacityL, p.Kit.Tubs[i].FillL = 25, 19
	}
	p.Kit.Tubs, p.Kit.Kettle.CapacityL = p.Kit.Tubs[:tubs], 3
	p.Fleeces, p.Batches = p.Fleeces[:1], nil
	for range batches {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 400, Presoak: shed.PresoakOvernight})
	}
	for _, c := range change {
		c(&p)
	}
	return p
}

// Nobody is asked to work in the night, whatever the hours, the tubs and the bin.
func TestNoWorkAtNight(t *testing.T) {
	zone := time.FixedZone("", -5*3600)
	for _, c := range []struct {
		tubs, batches int
		binL          float64
		nights        int
	}{{1, 4, 0, 4}, {2, 4, 0, 2}, {3, 3, 0, 1}, {1, 4, 40, 1}, {3, 4, 16, 2}} {
		for _, startH := range []int{0, 8, 13, 20, 23} {
			at := time.Date(2026, 5, 16, startH, 0, 0, 0, zone)
			p := overnight(c.tubs, c.batches, func(p *shed.Plan) { p.Kit.BinL = c.binL })
			o := must.Get(planner.PlanAhead(p, at, planner.Earliest, planner.Quick)).In(t)
			if len(o.Nights) != c.nights {
				t.Errorf("%+v from %d h: %d nights", c, startH, len(o.Nights))
			}
			for _, piece := range o.Timetable.Pieces {
				if h := piece.Start.In(zone).Hour(); h < 7 || h >= 22 {
					t.Errorf("%+v from %d h: %s of %s at %s", c, startH, piece.Name, piece.Batch, piece.Start.In(zone))
				}
			}
			for _, s := range o.Timetable.Soaks {
				if s.Step.Kind == shed.Presoak && s.End.Sub(s.Start) < 11*time.Hour+50*time.Minute {
					t.Errorf("%+v: a presoak of %s", c, s.End.Sub(s.Start))
				}
			}
			for _, n := range o.Nights {
				if h := n.At.In(zone).Hour(); h < 19 || h > 21 || n.Until.Sub(n.At) < 12*time.Hour {
					t.Errorf("%+v from %d h: night %+v", c, startH, n)
				}
			}
			said := strings.Contains(strings.Join(o.Cautions, "; "), "the presoak takes")
			if said != (c.nights > 1) {
				t.Errorf("%+v: %q", c, o.Cautions)
			}
		}
	}
}

// A bin gets as much water as its fleece needs, covered, and none to the rim.
func TestBinWater(t *testing.T) {
	for _, c := range []struct{ rawG, binL, wantL float64 }{{450, 114, 38}, {900, 114, 38}, {1800, 114, 72}, {5000, 114, 103}, {400, 16, 14}, {450, 30 * measure.LPerUSGal, 10 * measure.LPerUSGal}} {
		p := overnight(1, 1, func(p *shed.Plan) {
			p.Kit.BinL, p.Batches[0].RawG, p.Fleeces[0].RawG = c.binL, c.rawG, c.rawG
			if c.binL < 114 && c.binL > 100 {
				p.Kit.Units = measure.US
			}
		})
		n := p.NightsOf(sessiontest.Dawn)[0]
		if math.Abs(n.BinL-c.wantL) > 1e-6 {
			t.Errorf("%+v: %.2f L", c, n.BinL)
		}
		said := planner.SayNight(n, &p.Kit, n.At)
		if !strings.Contains(said, "into "+p.Kit.Units.Volume(n.BinL)+" of cold water in the bin") || strings.Contains(said, "no more") != (n.BinL < c.binL/2) {
			t.Error(said)
		}
	}
}

// A batch out of the bin comes wet and cold to its wash, which is filled for that.
func TestOutOfTheBin(t *testing.T) {
	r := sessiontest.Start(t, overnight(1, 2, func(p *shed.Plan) { p.Kit.BinL = 60 }))
	tub := r.Day.Tubs[0]
	sessiontest.Same(t, "first step", tub.Step().Kind, shed.Wash)
	sessiontest.Same(t, "wet", tub.LastWet, true)
	dry := sessiontest.Start(t, overnight(1, 2, func(p *shed.Plan) {
		p.Batches[0].Presoak, p.Batches[1].Presoak = shed.PresoakNone, shed.PresoakNone
	}))
	if wet, dry := r.Day.Fill(0), dry.Day.Fill(0); wet.Pour.KettleL < dry.Pour.KettleL || wet.WaterC-wet.AfterC <= dry.WaterC-dry.AfterC {
		t.Errorf("a wash for wet fleece is filled as %+v, for dry as %+v", wet, dry)
	}
	r.Until(0, shed.Idle)
	if p := r.Prompt(); !strings.Contains(strings.Join(sessiontest.DetailLines(p), " "), "out of the bin") || p.Doubt != "" {
		t.Errorf("the second batch: %+v", p)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// A presoak in a tub ends when the person is up; until the evening it waits.
func TestLiftedWhenUp(t *testing.T) {
	r := sessiontest.Start(t, overnight(1, 1))
	p := r.Prompt()
	if p.Rank != coach.Coming || p.DueAt.Hour() != 19 {
		t.Errorf("in the morning: %+v", p)
	}
	r.Now = sessiontest.Dawn.Add(13 * time.Hour) // 21:00
	r.Next(0, 0)
	if end := r.Day.Tubs[0].SoakEndAt(r.Now); end.Hour() != 9 {
		t.Errorf("twelve hours from 21:00 end at %s", end)
	}
	r = sessiontest.Start(t, overnight(1, 1))
	r.Now = sessiontest.Dawn.Add(8 * time.Hour) // 16:00: done at 04:00
	r.Next(0, 0)
	if end := r.Day.Tubs[0].SoakEndAt(r.Now); end.Hour() != 7 {
		t.Errorf("twelve hours from 16:00 end at %s", end)
	}
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	i := slices.IndexFunc(tt.Pieces, func(p planner.Piece) bool { return slices.Contains(p.Acts, shed.Lift) })
	if at := tt.Pieces[i].Start; at.Hour() != 7 {
		t.Errorf("the lift is planned at %s", at)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// An evening that is past is asked about: the fleece may not be in the bin.
func TestPastEveningIsAskedAbout(t *testing.T) {
	p := sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.BinL = 60
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakOvernight
		}
	})
	at := time.Date(2026, 6, 13, 10, 0, 0, 0, time.UTC)
	o, err := planner.PlanAhead(p, at, planner.Earliest, planner.Quick)
	if err != nil || len(o.Nights) == 0 {
		t.Fatal(err, o.Nights)
	}
	if said := planner.SayNight(o.Nights[0], &p.Kit, at); !strings.Contains(said, "Not in the bin yet? Then begin tonight") {
		t.Error(said)
	}
	if said := planner.SayNight(o.Nights[0], &p.Kit, o.Nights[0].At); strings.Contains(said, "Not in the bin") {
		t.Error(said)
	}
}

// A day that begins on the evening before washes what does not soak that night, and nothing of
// what is in the bin before it is lifted from there.
func TestTheBinsNightComesFirst(t *testing.T) {
	for _, h := range []int{10, 18, 20} {
		p := sessiontest.ManyBatches(5, 2)
		p.Kit.BinL = 57
		for i := range p.Batches[1:] {
			p.Batches[i+1].Presoak = shed.PresoakOvernight
		}
		p.Batches[0].Presoak = shed.PresoakNone
		o, err := planner.PlanAhead(p, time.Date(2026, 6, 13, h, 0, 0, 0, time.UTC), planner.AsGiven, planner.Quick)
		if err != nil || len(o.Nights) != 1 {
			t.Fatal(err, o.Nights)
		}
		evening := false
		for _, x := range o.Timetable.Pieces {
			if slices.Contains(o.Nights[0].Batches, x.Batch) && x.Start.Before(o.Nights[0].Until) {
				t.Errorf("begun at %d: %v of %s at %s, in the bin till %s", h, x.Acts, x.Batch, x.Start, o.Nights[0].Until)
			}
			evening = evening || x.Start.Before(o.Nights[0].Until)
		}
		if evening != (h > 12) {
			t.Errorf("begun at %d: work on the evening %t", h, evening)
		}
		night := shed.Span{From: time.Date(2026, 6, 13, 22, 0, 0, 0, time.UTC), To: time.Date(2026, 6, 14, 6, 0, 0, 0, time.UTC)}
		if says := o.Timetable.SayBreak(night, &o.Plan); strings.Contains(says, "what is in the bin may soak on") != evening {
			t.Errorf("begun at %d, of the night: %s", h, says)
		}
	}
}
