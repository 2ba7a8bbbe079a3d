package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What has cooled in a cold shed does not warm again because the shed has: a room that
// is put right in the middle of a day counts from then on.
func TestRoomCountsFromNow(t *testing.T) {
	for name, cover := range map[string]session.Command{"as it was": nil, "lifted lid since": session.SetCover{}} {
		t.Run(name, func(t *testing.T) {
			cold := func(p *shed.Plan) { p.Kit.RoomC = 4 }
			r, as := sessiontest.Start(t, sessiontest.OneTub(cold)).Until(0, shed.Soaking), sessiontest.Start(t, sessiontest.OneTub(cold)).Until(0, shed.Soaking)
			r.Wait(10)
			as.Wait(10)
			if cover != nil {
				r.Do(cover)
				as.Do(cover)
				r.Wait(5)
				as.Wait(5)
			}
			before, _, _ := r.Day.TempNow(0, r.Now)
			k := r.Day.Plan.Kit
			k.RoomC = 30
			r.Do(session.ChangeKit{Kit: k})
			after, _, _ := r.Day.TempNow(0, r.Now)
			sessiontest.Near(t, "the bath as the room is put right, °C", after, before, 1e-9)
			r.Wait(30)
			as.Wait(30)
			warm, _, _ := r.Day.TempNow(0, r.Now)
			stayed, _, _ := as.Day.TempNow(0, as.Now)
			if !(warm > stayed+0.5 && warm < before) {
				t.Errorf("half an hour after it is %.1f °C in the warm room, %.1f °C in the cold one", warm, stayed)
			}
			// And a room that had always been so warm would have left it warmer.
			always := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.RoomC = 30 })).Until(0, shed.Soaking)
			always.Wait(10)
			if c, _, _ := always.Day.TempNow(0, always.Now); !(c > before) {
				t.Errorf("always warm: %.1f °C after ten minutes, cold: %.1f °C", c, before)
			}
			r.Do(session.Undo{})
			back, _, _ := r.Day.TempNow(0, r.Now)
			sessiontest.Near(t, "as it is after undo, °C", back, stayed, 1e-9)
		})
	}
}

// The next bath begins in the room of its own filling.
func TestRoomOfTheNextBath(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.RoomC = 4 })).Until(0, shed.Soaking)
	k := r.Day.Plan.Kit
	k.RoomC = 30
	r.Do(session.ChangeKit{Kit: k}).Wait(3)
	sessiontest.Same(t, "rooms of the bath that stood", len(r.Day.Tubs[0].Bath.Rooms), 2)
	r.Until(0, shed.Draining).Until(0, shed.Soaking)
	rooms := r.Day.Tubs[0].Bath.Rooms
	sessiontest.Same(t, "rooms of the next", len(rooms), 1)
	sessiontest.Same(t, "its room", rooms[0].RoomC, 30)
}

// A clock that is set takes along when the room changed: the bath stays as warm, and
// goes on cooling as it would have. So does one that is over.
func TestRoomMovesWithTheClock(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.RoomC = 4 })).Until(0, shed.Soaking).Wait(10)
	k := r.Day.Plan.Kit
	k.RoomC = 30
	r.Do(session.ChangeKit{Kit: k}).Wait(5)
	as := *r
	since := func(r *sessiontest.Run, b session.Bath) (mins []float64) {
		for _, room := range b.Rooms {
			mins = append(mins, r.Now.Sub(room.At).Minutes())
		}
		return mins
	}
	set := func(by time.Duration) {
		r.Now = r.Now.Add(by)
		r.Do(session.SetClock{By: by})
	}
	set(time.Hour)
	sessiontest.Same(t, "minutes since the room changed", since(r, r.Day.Tubs[0].Bath), since(&as, as.Day.Tubs[0].Bath))
	for _, min := range []float64{0, 20} {
		r.Wait(min)
		as.Wait(min)
		got, _, _ := r.Day.TempNow(0, r.Now)
		want, _, _ := as.Day.TempNow(0, as.Now)
		sessiontest.Near(t, "the bath, °C", got, want, 1e-9)
	}
	r.Until(0, shed.Draining).Next(0)
	as.Until(0, shed.Draining).Next(0)
	set(2 * time.Hour)
	sessiontest.Same(t, "of the bath that is over", since(r, r.Day.Baths[0]), since(&as, as.Day.Baths[0]))
}
