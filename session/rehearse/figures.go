package rehearse

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
)

// Figures are what a day sounded like, in the manner of the alarm figures of
// ISA-18.2 (from memory): how many in an hour and in the worst ten minutes, how
// many stood at once and for how long, how many came again.
type Figures struct {
	Hours   float64       `json:"hours"`
	Sounds  int           `json:"sounds"`  // calls, alarms and repeats
	Calls   int           `json:"calls"`   // work that is due, said once
	Alarms  int           `json:"alarms"`  // low, medium and high
	High    int           `json:"high"`    // of these
	Repeats int           `json:"repeats"` // rung again
	Useless int           `json:"useless"` // for what the hands were at already, or what went by itself
	PerHour float64       `json:"per_hour"`
	Most1   int           `json:"most_in_a_minute"`
	Most10  int           `json:"most_in_ten_minutes"`
	Stood   int           `json:"most_standing"`
	Longest float64       `json:"longest_standing_min"`
	Kinds   []KindFigures `json:"kinds"`
	Harms   []Harm        `json:"harms"`
}

// KindFigures is how often one alarm sounded.
type KindFigures struct {
	Alarm   string `json:"alarm"`
	Raised  int    `json:"raised"`
	Repeats int    `json:"repeats"`
}

// Harm is harm that was done to fleece: of what kind, at which minute it began,
// and how many minutes before that it was announced (below 0: after).
type Harm struct {
	What     string  `json:"what"`
	Tub      string  `json:"tub"`
	AtMin    float64 `json:"at_min"`
	AheadMin float64 `json:"ahead_min"`
	Told     bool    `json:"told"`
}

// Count plays a script and counts what sounded. What three invented days sound like (go run
// ./cmd/tubside rehearse --no-screen --figures --script testdata/scenarios/quiet-day.json,
// forgetful-day, slow-day; pinned by TestHowADaySounds):
//
//	                           quiet  forgetful  slow
//	hours                        5.9        6.5  12.4
//	sounds: calls                  9          8     6
//	        alarms                 0          8     7
//	        again                  0         14     2
//	most in ten minutes            2         15     3
//	longest standing, min          2         21   191 (a presoak that may wait)
//	useless                        0          2     8
//	harms, told 4 min before       0          2     1
//
// While a kettle between two boils called who was at work, and wet fleece and a wash near its
// longest soak whose hands were at it, they had 18, 37 and 38 sounds; while the end of a soak
// was an alarm that rang each half minute, 241, 337 and 812.
func Count(s Script) (Figures, error) {
	c := counter{kinds: map[session.AlarmKind]*KindFigures{}}
	p := NewPlayer(s)
	day, err := playWith(s, p, func(r session.Recorded, d session.Day) { c.note(r, d, p) }, mostDays*24*time.Hour)
	if err != nil {
		return Figures{}, err
	}
	return c.figures(s, day), nil
}

// counter gathers what sounds while a day is played.
type counter struct {
	f     Figures
	kinds map[session.AlarmKind]*KindFigures
	rung  []rung
}

type rung struct {
	at   time.Time
	tub  int
	kind session.AlarmKind
}

func (c *counter) note(r session.Recorded, d session.Day, p *Player) {
	kind, isAlarm := alarmOf(r.Event)
	if !isAlarm {
		return
	}
	tub := session.TubOf(r.Event)
	k := c.kinds[kind]
	if k == nil {
		k = &KindFigures{Alarm: kind.String()}
		c.kinds[kind] = k
	}
	i := slices.IndexFunc(d.Alarms, func(a session.Alarm) bool { return a.Kind == kind && a.Tub == tub })
	sounds := i >= 0 && d.Alarms[i].RungAt.Equal(r.At)
	switch e := r.Event.(type) {
	case session.AlarmRaised:
		k.Raised++
		if kind.Facts().Priority == session.CallPriority {
			c.f.Calls++
		} else {
			c.f.Alarms++
		}
	case session.AlarmRepeated:
		if sounds && d.Alarms[i].Rings > 1 { // else it was raised just behind another, and still
			k.Repeats++
			c.f.Repeats++
		}
	case session.AlarmCleared:
		if e.ByItself {
			c.f.Useless++
		}
		return
	default:
		return
	}
	if !sounds {
		return
	}
	c.rung = append(c.rung, rung{r.At, tub, kind})
	if p.at(kind, tub, r.At) {
		c.f.Useless++
	}
	stands := 0
	for _, a := range d.Alarms {
		if a.Stands() {
			stands++
		}
	}
	c.f.Stood = max(c.f.Stood, stands)
}

// at says that the hands are at a tub's deed at a moment, or wait beside it; or at the
// kettle, where that calls.
func (p *Player) at(kind session.AlarmKind, tub int, now time.Time) bool {
	_, kettle := p.job.aside.(session.TellKettle)
	return p.busy && p.job.tub == tub && now.Before(p.job.until) && kettle == (kind == session.KettleNow)
}

func (c *counter) figures(s Script, d session.Day) Figures {
	f := c.f
	f.Hours = math.Round(d.EndedAt.Sub(d.StartedAt).Hours()*100) / 100
	f.Sounds = len(c.rung)
	f.PerHour = tenth(float64(f.Sounds) / max(f.Hours, 1.0/60))
	f.Most1, f.Most10 = c.most(time.Minute), c.most(10*time.Minute)
	for _, a := range d.AlarmLog {
		f.Longest = max(f.Longest, a.ClearedAt.Sub(a.RaisedAt).Minutes())
		if a.Kind.Facts().Priority == session.HighPriority {
			f.High++
		}
	}
	for _, k := range c.kinds {
		f.Kinds = append(f.Kinds, *k)
	}
	sort.SliceStable(f.Kinds, func(i, j int) bool {
		a, b := f.Kinds[i], f.Kinds[j]
		return cmp.Or(cmp.Compare(b.Raised+b.Repeats, a.Raised+a.Repeats), cmp.Compare(a.Alarm, b.Alarm)) < 0
	})
	for _, b := range d.Baths {
		f.Harms = append(f.Harms, c.harms(s, d, b)...)
	}
	return f
}

// most is the most sounds within a span.
func (c *counter) most(span time.Duration) int {
	most, first := 0, 0
	for i := range c.rung {
		for c.rung[i].at.Sub(c.rung[first].at) >= span {
			first++
		}
		most = max(most, i-first+1)
	}
	return most
}

// harms are what one bath did to its fleece: below its release temperature, as
// it truly was, or in it for longer than its longest soak.
func (c *counter) harms(s Script, d session.Day, b session.Bath) []Harm {
	var out []Harm
	add := func(what string, at time.Time, kinds ...session.AlarmKind) {
		if at.IsZero() || !at.Before(b.LiftedAt) {
			return
		}
		h := Harm{What: what, Tub: d.Plan.Kit.Tubs[b.Tub].Name, AtMin: tenth(at.Sub(d.StartedAt).Minutes())}
		for _, r := range c.rung {
			if r.tub == b.Tub && !r.at.Before(b.SunkAt) && !r.at.After(b.LiftedAt) && slices.Contains(kinds, r.kind) {
				h.Told, h.AheadMin = true, tenth(at.Sub(r.at).Minutes())
				break
			}
		}
		out = append(out, h)
	}
	truth := s.Truth
	if truth == nil {
		truth = &Truth{LossFactor: 1}
	}
	if b.Step.HasRelease() {
		if min := truth.bath(d.Plan, b).Fit(nil, 0).Crossing(b.Step.ReleaseC, b.SunkAt.Sub(b.FilledAt).Minutes()).LikelyMin; min < 1e6 {
			add("wax", after(b.FilledAt, min), session.NearRelease, session.BelowRelease)
		}
	}
	if b.Step.LongestMin > 0 {
		add("soaked too long", after(b.SunkAt, b.Step.LongestMin), session.SoakDone, session.NotLifted, session.LeftSoaking, session.NearRelease, session.OverLongest)
	}
	return out
}
