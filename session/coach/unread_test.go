package coach_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// trueCrossing is when a bath whose fill and loss are drawn from what the
// forecast takes for possible comes down to 49 °C.
func trueCrossing(b cooling.Bath, rnd *rand.Rand, filledAt time.Time) (truth cooling.Bath, at time.Time) {
	factor := math.Exp(rnd.NormFloat64() * b.LossSDLog)
	b.StartC += rnd.NormFloat64() * b.StartSDC
	b.LossWPerK *= factor
	b.Changes = append([]cooling.Change(nil), b.Changes...)
	for i := range b.Changes {
		b.Changes[i].LossWPerK *= factor
	}
	b.StartSDC, b.LossSDLog = 0.01, 0.001
	return b, filledAt.Add(time.Duration(b.Fit(nil, 0.7).Crossing(49, 0).LikelyMin * float64(time.Minute)))
}

// raisedAt is when an alarm was first raised; zero for never.
func raisedAt(r *sessiontest.Run, k session.AlarmKind) time.Time {
	for _, rec := range r.Recs {
		if e, ok := rec.Event.(session.AlarmRaised); ok && e.Alarm == k {
			return rec.At
		}
	}
	return time.Time{}
}

// Baths that nobody reads, at every room temperature, drawn with a seed: a reading
// is asked for first, where it says something, and the loud alarm is later than the
// bath is truly down in no more than one in twenty; with the reading taken too.
func TestUnreadBaths(t *testing.T) {
	const baths = 4000
	for _, room := range []float64{2, 10, 18, 26} {
		for _, cover := range []cooling.Cover{cooling.Open, cooling.Lid} {
			t.Run(fmt.Sprintf("%g °C, %v", room, cover), func(t *testing.T) {
				rnd := rand.New(rand.NewPCG(7, uint64(room)))
				unread := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) { p.Kit.RoomC, p.Kit.Tubs[0].Cover = room, cover })).Until(0, shed.Soaking)
				bath, sunk := unread.Day.Tubs[0].Bath, *unread
				release := coach.GlanceAt(unread.Day, 0, unread.Now).Release
				model, _, _ := session.BathModel(&unread.Day.Plan, &bath)
				for raisedAt(unread, session.BelowRelease).IsZero() {
					unread.Tick(20 * time.Second)
				}
				asked, near := raisedAt(unread, session.ReadingWanted), raisedAt(unread, session.NearRelease)
				lead := time.Duration(unread.Day.Plan.Kit.LeadMin * float64(time.Minute))
				if near.Sub(asked) < lead {
					t.Errorf("loud %v after a reading was asked for", near.Sub(asked))
				}
				if share := asked.Sub(bath.SunkAt).Minutes() / release.Early.Sub(bath.SunkAt).Minutes(); share < 0.4 {
					t.Errorf("a reading is asked for at %.0f %% of the way to the early bound, where it says little", 100*share)
				}
				lateAsk, lateRead, lateUnread := 0, 0, 0
				for i := range baths {
					truth, at := trueCrossing(model, rnd, bath.FilledAt)
					if asked.After(at) {
						lateAsk++
					}
					if near.After(at) {
						lateUnread++
					}
					if i%40 != 0 || asked.After(at) { // the bath of each is played: fewer of them
						continue
					}
					read := sunk
					read.Recs = nil
					read.Tick(asked.Sub(read.Now))
					tempC, _ := truth.Fit(nil, 0.7).At(asked.Sub(bath.FilledAt).Minutes())
					read.Do(session.TakeReading{TempC: tempC + 0.7*rnd.NormFloat64(), Sure: true})
					if coach.GlanceAt(read.Day, 0, read.Now).Release.Early.Add(-lead).After(at) {
						lateRead++
					}
				}
				t.Logf("asked at %.0f min, loud at %.0f; late: asked %.1f %%, loud with the reading %.1f %%, loud without %.1f %%", asked.Sub(sessiontest.Dawn).Minutes(), near.Sub(sessiontest.Dawn).Minutes(),
					100*float64(lateAsk)/baths, 4000*float64(lateRead)/baths, 100*float64(lateUnread)/baths)
				if lateAsk*20 > baths || lateRead*20 > baths/40 || lateUnread*20 > baths {
					t.Errorf("of %d too late: %d asked for, %d loud unread; of %d loud with the reading %d", baths, lateAsk, lateUnread, baths/40, lateRead)
				}
			})
		}
	}
}
