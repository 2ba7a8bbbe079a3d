package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// What has cooled in a cold shed does not warm again because the shed has: a room that
// is put right in the middle of a day counts from then on.
func TestRoomCountsFromNow(t *testing.T) {
	for name, cover := range map[string]session.Command{"as it was": nil, "lifted lid since": session.SetCover{}} {
		t.Run(name, func(t *testing.T) {
			cold := func(p *session.Plan) { p.Kit.RoomC = 4 }
			r, as := start(t, oneTub(cold)).until(0, session.Soaking), start(t, oneTub(cold)).until(0, session.Soaking)
			r.wait(10)
			as.wait(10)
			if cover != nil {
				r.do(cover)
				as.do(cover)
				r.wait(5)
				as.wait(5)
			}
			before, _, _ := r.day.TempNow(0, r.now)
			k := r.day.Plan.Kit
			k.RoomC = 30
			r.do(session.ChangeKit{Kit: k})
			after, _, _ := r.day.TempNow(0, r.now)
			near(t, "the bath as the room is put right, °C", after, before, 1e-9)
			r.wait(30)
			as.wait(30)
			warm, _, _ := r.day.TempNow(0, r.now)
			stayed, _, _ := as.day.TempNow(0, as.now)
			if !(warm > stayed+0.5 && warm < before) {
				t.Errorf("half an hour after it is %.1f °C in the warm room, %.1f °C in the cold one", warm, stayed)
			}
			// And a room that had always been so warm would have left it warmer.
			always := start(t, oneTub(func(p *session.Plan) { p.Kit.RoomC = 30 })).until(0, session.Soaking)
			always.wait(10)
			if c, _, _ := always.day.TempNow(0, always.now); !(c > before) {
				t.Errorf("always warm: %.1f °C after ten minutes, cold: %.1f °C", c, before)
			}
			r.do(session.Undo{})
			back, _, _ := r.day.TempNow(0, r.now)
			near(t, "as it is after undo, °C", back, stayed, 1e-9)
		})
	}
}

// The next bath begins in the room of its own filling.
func TestRoomOfTheNextBath(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.RoomC = 4 })).until(0, session.Soaking)
	k := r.day.Plan.Kit
	k.RoomC = 30
	r.do(session.ChangeKit{Kit: k}).wait(3)
	same(t, "rooms of the bath that stood", len(r.day.Tubs[0].Bath.Rooms), 2)
	r.until(0, session.Draining).until(0, session.Soaking)
	rooms := r.day.Tubs[0].Bath.Rooms
	same(t, "rooms of the next", len(rooms), 1)
	same(t, "its room", rooms[0].RoomC, 30)
}

// A clock that is set takes along when the room changed: the bath stays as warm, and
// goes on cooling as it would have. So does one that is over.
func TestRoomMovesWithTheClock(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Kit.RoomC = 4 })).until(0, session.Soaking).wait(10)
	k := r.day.Plan.Kit
	k.RoomC = 30
	r.do(session.ChangeKit{Kit: k}).wait(5)
	as := *r
	since := func(r *run, b session.Bath) (mins []float64) {
		for _, room := range b.Rooms {
			mins = append(mins, r.now.Sub(room.At).Minutes())
		}
		return mins
	}
	set := func(by time.Duration) {
		r.now = r.now.Add(by)
		r.do(session.SetClock{By: by})
	}
	set(time.Hour)
	same(t, "minutes since the room changed", since(r, r.day.Tubs[0].Bath), since(&as, as.day.Tubs[0].Bath))
	for _, min := range []float64{0, 20} {
		r.wait(min)
		as.wait(min)
		got, _, _ := r.day.TempNow(0, r.now)
		want, _, _ := as.day.TempNow(0, as.now)
		near(t, "the bath, °C", got, want, 1e-9)
	}
	r.until(0, session.Draining).next(0)
	as.until(0, session.Draining).next(0)
	set(2 * time.Hour)
	same(t, "of the bath that is over", since(r, r.day.Baths[0]), since(&as, as.day.Baths[0]))
}
