package lookback_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

var markWords = map[lookback.MarkKind]string{
	lookback.Filled: "filled", lookback.SunkIn: "in", lookback.WasRead: "read", lookback.Covered: "cover", lookback.ToppedUp: "top-up", lookback.RoomSet: "room",
	lookback.Held: "hold", lookback.Resumed: "resumed", lookback.SoakSet: "soak", lookback.Rang: "rang", lookback.Lifted: "lifted", lookback.Emptied: "emptied",
}

// marks are a bath's as a line: "08:04 in, 08:24 lifted".
func marks(b lookback.Bath) string {
	var out []string
	for _, m := range b.Marks {
		out = append(out, strings.TrimSuffix(clock(m.At), ":00")+" "+markWords[m.Kind])
	}
	return strings.Join(out, ", ")
}

// The wash of a day whose figures were typed: filled and in at 08:00; 65 °C read at once, 58 °C
// after 10 min, 47 °C after 20; the cover off for the last 10.
func TestABathsCurve(t *testing.T) {
	r := washed(t, 65)
	from := r.Now
	r.Wait(10).Do(sessiontest.ReadC(0, 58), session.SetCover{Cover: cooling.Open})
	r.Wait(10).Do(session.TakeReading{TempC: 47, Sure: true}).Next(0)
	b := lookback.Baths(r.Day)[0]
	rangs := strings.Count(marks(b), "rang")
	if rangs == 0 {
		t.Error("no alarm stands on the curve of a bath that was too cool")
	}
	sessiontest.Same(t, "in, at lift", []lookback.Known{b.In, b.Lift}, []lookback.Known{{TempC: 65, Read: true, At: from}, {TempC: 47, Read: true, At: r.Now}})
	sessiontest.Same(t, "lowest", b.Lowest, lookback.Known{TempC: 47, Read: true, At: from.Add(sessiontest.Minutes(20))})
	sessiontest.Near(t, "margin over 49 °C", b.MarginC, -2, 1e-9)
	// The forecast that stood when it was read: at 10 min that of the first reading, after it
	// that of the second, which passes through 58 °C.
	first, _ := b.AtSinkIn()
	was, _ := b.Stood(from.Add(sessiontest.Minutes(9)))
	is, _ := b.Stood(from.Add(sessiontest.Minutes(10)))
	sessiontest.Same(t, "since", []string{clock(first.Since), clock(was.Since), clock(is.Since)}, []string{clock(from), clock(from), clock(from.Add(sessiontest.Minutes(10)))})
	then, _ := is.Heat.At(from.Add(sessiontest.Minutes(10)))
	sessiontest.Near(t, "corrected at 10 min", then, 58, 0.2)
	expected, _ := was.Heat.At(from.Add(sessiontest.Minutes(10)))
	read := b.Marks[slices.IndexFunc(b.Marks, func(m lookback.Mark) bool { return m.Kind == lookback.WasRead && m.At.Equal(is.Since) })]
	sessiontest.Near(t, "off by", read.OffC, 58-expected, 0.05)
	lid, open := first.Heat, b.Bath // what came off later was not known then
	open.Readings = open.Readings[:1]
	if opened := session.BathHeat(&r.Day.Plan, &open); !lid.Crossing(49).Likely.After(opened.Crossing(49).Likely.Add(5 * time.Minute)) {
		t.Errorf("the forecast at the sink-in knows that the lid will come off: %v, %v", lid.Crossing(49), opened.Crossing(49))
	}
	if !was.Release.Likely.After(is.Release.Likely) {
		t.Errorf("a bath read cooler than forecast comes down sooner: %v, %v", was.Release, is.Release)
	}
}

// 65 °C read at once, a misread 48 °C after 5 min, 60 °C after 10: that last one lies as far from the
// forecast as it would without the misreading, and the bath was never too cool.
func TestAMisreadingMarksNothing(t *testing.T) {
	read := func(c float64) session.Command { return session.TakeReading{TempC: c, Sure: true} }
	of := func(misread bool) lookback.Bath {
		r := washed(t, 65).Wait(5)
		if misread {
			r.Do(read(48))
		}
		return lookback.Baths(finished(r.Wait(5).Do(read(60)).Wait(10).Next(0)).Day)[0]
	}
	with, without := of(true), of(false)
	last := func(b lookback.Bath) (m lookback.Mark) {
		for _, x := range b.Marks {
			if x.Kind == lookback.WasRead {
				m = x
			}
		}
		return m
	}
	sessiontest.Near(t, "off the forecast", last(with).OffC, last(without).OffC, 1e-6)
	sessiontest.Near(t, "at lift", with.Lift.TempC, without.Lift.TempC, 1e-6)
	if len(with.Below) > 0 || strings.Contains(marks(with), "rang") || !(with.MarginC > 0) {
		t.Errorf("below %v, margin %.1f °C, marks %s", with.Below, with.MarginC, marks(with))
	}
}

// A bath misread at 45 °C before the fleece went in: the forecast for it then was off by that.
func TestAMisreadingBeforeTheFleece(t *testing.T) {
	of := func(misread bool) lookback.Mark {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToSink)
		if misread {
			r.Do(session.TakeReading{TempC: 45, Sure: true})
		}
		b := lookback.Baths(r.Wait(1).Next(0).Wait(1).Do(session.TakeReading{TempC: 64, Sure: true}).Day)[0]
		for _, m := range b.Marks {
			if m.Kind == lookback.SunkIn {
				return m
			}
		}
		return lookback.Mark{}
	}
	sessiontest.Near(t, "forecast with the fleece in", of(true).TempC, of(false).TempC, 0.1)
}

// Nobody read: all is an estimate, and one forecast stood, until the lid came off.
func TestABathThatNobodyRead(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(tapDoes)).At(3).Next(0).At(4).Next(0).At(24).Next(0).At(27).Next(0)
	b := lookback.Baths(r.Day)[0]
	sessiontest.Same(t, "marks", marks(b), "08:03 filled, 08:04 in, 08:24 lifted, 08:27 emptied")
	if b.In.Read || b.Lowest.Read || b.Lift.Read || len(b.Forecasts) != 2 || !(b.MarginC > 0) {
		t.Errorf("in %v, lowest %v, lift %v, %d forecasts", b.In, b.Lowest, b.Lift, len(b.Forecasts))
	}
}

// The lowest of a bath that was topped up lies before the pour.
func TestTheLowestBeforeATopUp(t *testing.T) {
	r := washed(t, 60)
	from := r.Now
	r.Wait(20).Do(session.TopUp{VolumeL: 1.5, TempC: 95}).Wait(1).Next(0)
	b := lookback.Baths(r.Day)[0]
	if at := b.Lowest.At.Sub(from).Minutes(); b.Lowest.Read || !(b.Lowest.TempC < b.Lift.TempC-1) || at < 19.9 || at > 20 {
		t.Errorf("lowest %v at %.1f min, lift %v", b.Lowest, at, b.Lift)
	}
}

// One axis holds all that is drawn of the washes, one all of the rinses; a presoak beside those would lie
// flat on it.
func TestReachHoldsAll(t *testing.T) {
	baths := lookback.Baths(finished(washed(t, 65, func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakAsMethod })).Day)
	for class, bounds := range [][2]float64{{3, 10}, {3, 40}, {3, 40}} {
		low, high := lookback.Reach(baths, class)
		n := 0
		for _, b := range baths {
			if b.Class() == class {
				n++
				for _, p := range b.Curve(7) {
					if p.LowC < low-0.5 || p.HighC > high+0.5 {
						t.Errorf("%s: %.1f to %.1f outside of %.1f to %.1f", b.Step.Name, p.LowC, p.HighC, low, high)
					}
				}
			}
		}
		if n == 0 || high-low < bounds[0] || high-low > bounds[1] {
			t.Errorf("%d baths of class %d from %.1f to %.1f", n, class, low, high)
		}
	}
}
