package coach

import (
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
)

// breakSoon is how long before a break it is spoken of; our own choice.
const breakSoon = 10 * time.Minute

// SayBreak says of a break that begins soon where something is still to be done before it, or that one may go, and
// of one in which nothing is to be done till when it lasts; "" for none. What has its limit in it is told with that:
// nobody may go for longer. acts are in their order.
func SayBreak(d *session.Day, acts []NextAct, now time.Time) string {
	s, ok := d.NextBreak(now)
	if !ok || s.From.Sub(now) > breakSoon {
		return ""
	}
	in, by, at, last := s.Has(now), s.From, s.From, s
	if in {
		by, at, last.From = now, s.To, s.To.Add(-time.Second) // a break may have led into quiet hours
	}
	var first []string
	var limit *NextAct
	for i := range acts {
		a := &acts[i]
		if a.Rank <= Coming && a.Tub >= 0 && !a.Boil && !a.MustBy.IsZero() && a.MustBy.Before(s.To) && (limit == nil || a.MustBy.Before(limit.MustBy)) {
			limit = a
		}
		switch {
		case a.Rank > Coming || a.Rank == Coming && (a.BoilOn || !a.DueAt.Before(by)) || a.Stopped() || a.Behind:
		case a.Boil && !slices.Contains(first, "the kettle"):
			first = append(first, "the kettle")
		case !a.Boil && a.Tub >= 0:
			first = append(first, d.TubName(a.Tub))
		}
	}
	clock := func(t time.Time) string { return d.Plan.Kit.Units.Clock(d.Plan.OnTheWall(t)) }
	say := "your " + d.Plan.SayAway(last) + map[bool]string{false: " at ", true: " till "}[in] + clock(at)
	switch {
	case in && limit != nil && past(limit.MustBy, now):
		return ""
	case len(first) > 0 && in:
		return say + ": see to " + strings.Join(first, ", ") + " first"
	case len(first) > 0:
		return "before " + say + ": " + strings.Join(first, ", ")
	case limit != nil && in:
		return say + ": be at " + d.TubName(limit.Tub) + " by " + clock(limit.MustBy)
	case limit != nil:
		return "nothing more before " + say + ", but be at " + d.TubName(limit.Tub) + " by " + clock(limit.MustBy)
	case in:
		return say + ": nothing needs you"
	}
	return "nothing more before " + say + ": you can go"
}
