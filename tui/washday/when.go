package washday

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// How soon, in figures and in words: all of it from an act's Count and the moment
// that waiting does harm, so that no two places on the screen differ.

// actOf is the act of the list that a prompt belongs to, with what the timetable
// says of it.
func (s *Screen) actOf(p coach.Prompt) coach.NextAct {
	for _, a := range s.next {
		if a.Tub == p.Tub && a.Act == p.Act && !a.Boil {
			return a
		}
	}
	return coach.NextAct{Prompt: p}
}

// before is what the person has to move for before what the band speaks of, the
// kettle among it; false if nothing is.
func (s *Screen) before(p coach.Prompt) (coach.NextAct, bool) {
	_, on := s.e.Live.Day.KettleOn()
	// One that is on boils by itself, there is one kettle, and nobody moves for what is not to be filled.
	first := slices.IndexFunc(s.next, func(a coach.NextAct) bool {
		return a.Rank != coach.Resting && !a.BoilOn && !a.Stopped() && !(on && a.Boil && !a.Refill)
	})
	if first < 0 || p.Tub < 0 {
		return coach.NextAct{}, false
	}
	a := s.next[first]
	switch {
	case a.Tub < 0 || a.Tub == p.Tub && !a.Boil: // the day's end is at no tub
		return a, false
	case a.Rank == p.Rank:
		return a, p.Rank == coach.Coming && a.DueAt.Before(p.DueAt) || a.Boil && p.Rank == coach.Now && !s.rings(p.Tub) && s.kettle.ok
	}
	return a, a.Rank < p.Rank && (p.Rank > coach.Now || !a.Boil)
}

// boilFirst is the boil that the band names before all else; a tub chosen by hand
// comes before it.
func (s *Screen) boilFirst() (coach.NextAct, bool) {
	p, ok := s.Prompt()
	if !ok || s.chosen >= 0 || !s.e.Live.Day.Running() {
		return coach.NextAct{}, false
	}
	boil, other := s.before(p)
	_, on := s.e.Live.Day.KettleOn()
	return boil, other && boil.Boil && s.kettle.ok && on == boil.Refill && s.kettle.c.Tub == boil.Tub
}

// rings says that a tub has an alarm that is more than a call.
func (s *Screen) rings(tub int) bool {
	return s.glances[tub].HasAlarm && !s.glances[tub].Alarm.Call()
}

// countdown is the large figure beside what the band speaks of: to the next time
// the person has to move at all, or from when harm began.
func (s *Screen) countdown(p coach.Prompt) (figures, unit string) {
	a, other := s.before(p)
	if !other || s.chosen >= 0 { // a tub chosen by hand speaks for itself
		return s.figure(p, "to go")
	}
	where := s.glances[a.Tub].Name
	if a.Boil {
		where = "the kettle"
	}
	if figures, unit = s.figure(a.Prompt, "to "+where); figures == "" {
		return "0:00", where + " now"
	}
	if a.Count.Of != coach.ToDue {
		unit += ": " + where
	}
	return figures, unit
}

// figure is the figure of one act; going is what one that lies ahead counts.
func (s *Screen) figure(p coach.Prompt, going string) (figures, unit string) {
	c, words := p.Count, base.CountWords(s.e.Live.Day, p)
	left := c.At.Sub(s.e.Now)
	switch c.Of {
	case coach.NoCount:
		return "", ""
	case coach.MayBeBelow:
		return "0", "min left"
	case coach.ToDue:
		words = going
	case coach.ToRelease:
	case coach.SinceBelow, coach.SinceLongest, coach.SinceSoak, coach.SinceWet:
		return "+" + figuresOf(-left), leftUnit(-left, words)
	}
	if s.overMidnight(c.At) {
		return s.e.ClockMark(c.At), "until " + s.then(c.At)
	}
	return figuresOf(left), leftUnit(left, words)
}

// overMidnight says that what is counted to is hours off and another day's: it is told by the clock of then.
func (s *Screen) overMidnight(at time.Time) bool {
	return at.Sub(s.e.Now) >= inHours && at.In(s.e.Zone()).YearDay() != s.e.Now.In(s.e.Zone()).YearDay()
}

// then is a moment with its day, the time first.
func (s *Screen) then(at time.Time) string {
	return s.e.Kit.Units.Moment(at.In(s.e.Zone()), "15:04 Mon")
}

// soon is how soon an act wants hands, in its parts.
type soon struct {
	lead string // "now", "when you can", "in 12 min"
	rest string // behind it: "18 min below 49 °C", "within 50 min"
	// short is rest in fewer words; "": none.
	short string
	may   bool // it may wait; the rest are the minutes to its limit
	// why is what the rest runs out to, and tight the same in a word; wherever the minutes
	// stand one of them stands behind: " (wax may set)".
	why, tight string
}

func (w soon) String() string {
	if w.lead != "" && w.rest != "" {
		return w.lead + ", " + w.rest + w.why
	}
	return w.lead + w.rest + w.why
}

// because puts the act's limit behind minutes that run out to it.
func (w soon) because(a coach.NextAct) soon {
	if a.Limit == coach.NoLimit || w.rest == "" {
		return w
	}
	why, tight := a.Limit.String(), a.Limit.Brief()
	if a.Away != "" {
		why, tight = why+", your "+a.Away, tight+", "+a.Away
	}
	w.why, w.tight = " ("+why+")", " ("+tight+")"
	return w
}

// brief is the same in as few words as it has.
func (w soon) brief() soon {
	if w.why == "" {
		return w
	}
	if w.why = w.tight; w.short != "" {
		w.rest = w.short
	}
	if w.may {
		w.lead = ""
	}
	return w
}

// order is a deed in few words, and in fewer where there is no room.
type order struct{ text, brief string }

// behind puts how soon behind a deed, in full where that fits cells.
func (w soon) behind(do string, cells int) order {
	switch {
	case w == (soon{}):
		return order{text: do}
	case w.why == "":
		return order{do + ", " + w.String(), do}
	}
	brief := do + ", " + w.brief().String()
	return order{draw.FirstFit(cells, do+", "+w.String(), brief), brief}
}

// whenText is how soon an act wants hands.
func (s *Screen) whenText(a coach.NextAct) string { return s.soonOf(a).String() }

func (s *Screen) soonOf(a coach.NextAct) soon {
	now, c := s.e.Now, a.Count
	count := base.CountText(s.e.Live.Day, a.Prompt, now)
	switch {
	case c.Of.Harm() && a.Kettle != coach.KettleReady: // its deed says what it waits for
		return soon{rest: count}
	case c.Of.Harm():
		return soon{lead: "now", rest: count}
	case c.Of == coach.ToRelease || c.Of == coach.MayBeBelow:
		return soon{lead: "at once", rest: count}
	case a.Rank == coach.Harm: // a bath too cool to begin with
		return soon{lead: "warm the bath first"}
	case a.Held:
		if limit := a.LimitAt(now); !limit.IsZero() {
			return soon{lead: "on hold", rest: runsOut(limit.Sub(now))}.because(a)
		}
		return soon{lead: "on hold"}
	case a.Stopped() && c.Of == coach.ToDue:
		return soon{lead: "again in " + draw.MinText(c.At.Sub(now).Minutes())}
	case a.Stopped():
		return soon{}
	case a.Kettle == coach.KettleFirst && c.Of == coach.NoCount:
		if limit := a.LimitAt(now); !limit.IsZero() {
			if late := a.DueAt.Sub(limit); late >= time.Minute { // its kettle takes longer
				return soon{rest: draw.MinText(late.Minutes()) + " late by then"}.because(a)
			}
			return soon{rest: runsOut(limit.Sub(now))}.because(a)
		}
		return soon{}
	case a.Act == shed.Wait && !a.Boil:
		return soon{}
	case a.Rank == coach.Resting && a.Act == shed.LoadNext && a.Doubt != "": // its title says why
		return soon{}
	case a.Rank == coach.Resting:
		return soon{lead: "not needed now"}
	case a.Behind && !s.e.Live.Day.Kettle.BoiledAt.IsZero(): // for another bath, and nothing is on
		return soon{lead: "once the kettle is poured"}
	case a.Behind:
		return soon{lead: "once the kettle is free"}
	case a.BoilOn && !c.At.After(now):
		if k := s.keys.kettle.Help().Key; k != "" {
			return soon{lead: "should be boiling: " + k}
		}
		return soon{lead: "should be boiling"} // on a page where the key is another
	case a.BoilOn:
		return soon{lead: "boils in " + draw.MinText(c.At.Sub(now).Minutes())}
	case c.Of == coach.ToDue && s.overMidnight(c.At):
		return soon{lead: "at " + s.then(c.At)}
	case c.Of == coach.ToDue && a.After && a.Act == shed.FillTub:
		return soon{lead: "in " + draw.MinText(c.At.Sub(now).Minutes()), rest: s.afterYour()}
	case c.Of == coach.ToDue:
		return soon{lead: "in " + draw.MinText(c.At.Sub(now).Minutes())}
	case a.Act == shed.FinishDay:
		return atNow
	}
	limit := a.LimitAt(now)
	left := limit.Sub(now)
	switch {
	case limit.IsZero() && (a.Boil || a.Pours), !limit.IsZero() && left < 2*time.Minute:
		return atNow
	case limit.IsZero():
		return soon{lead: whenYouCan, may: true}
	case left < soonLimit:
		return soon{rest: runsOut(left), may: true}.because(a)
	}
	if a.Pours {
		return soon{lead: "now", rest: runsOut(left)}.because(a)
	}
	return soon{lead: whenYouCan, rest: runsOut(left), may: true}.because(a)
}

const whenYouCan = "when you can"

var atNow = soon{lead: "now"}

// soonLimit: what may wait longer is done when the person can.
const soonLimit = 5 * time.Minute

// spare is how long an act to come may wait once it is due, or by how much it
// will be past its limit as the timetable has it.
func (s *Screen) spare(a coach.NextAct) soon {
	limit := a.LimitAt(s.e.Now)
	late, past := a.Late, pastLimit(a)
	if !past && !limit.IsZero() { // its kettle boils too late
		late = a.DueAt.Sub(limit)
	}
	switch {
	case a.Rank != coach.Coming || a.Count.Of != coach.ToDue, limit.IsZero() && !past:
		return soon{}
	case late >= time.Minute:
		min := draw.MinText(late.Minutes()) + " past "
		w := soon{rest: "will be " + min + "its limit", short: min + "limit"}
		if a.Away != "" && !a.After { // who comes when it is due is not late
			w = soon{rest: "else " + w.short, short: "else " + w.short}
		}
		return w.because(a)
	case limit.Sub(a.DueAt) < time.Minute:
		return soon{rest: "no time to spare"}.because(a)
	}
	return soon{rest: draw.MinText(limit.Sub(a.DueAt).Minutes()) + " to spare"}.because(a)
}

// pastLimit says that an act will be past its limit as the timetable has it.
func pastLimit(a coach.NextAct) bool { return a.Late > 0 && a.Act == shed.Lift }

// whenSpare is how soon an act wants hands and how long it may wait then, in full and in as
// few words as there are.
func (s *Screen) whenSpare(a coach.NextAct) (full, brief string) {
	soon, spare := s.soonOf(a), s.spare(a)
	if full, brief = soon.String(), soon.brief().String(); spare.rest != "" {
		full, brief = full+" · "+spare.String(), brief+" · "+spare.brief().String()
	}
	return full, brief
}

// aside says that a lane tells of a tub that it is on hold, and of the limit that runs on, zero
// for none: what the hold would not stop, a bath that cools or a soak that is too long, comes first.
func (s *Screen) aside(g coach.Glance) (limit time.Time, ok bool) {
	a := s.actOf(g.Prompt)
	return a.LimitAt(s.e.Now), g.Held && (a.Count.Of == coach.NoCount || a.Count.Of == coach.ToDue || a.Count.Of == coach.SinceWet)
}

// leftText is the tub's count in a lane: the time left, or over, or what the tub
// waits for.
func (s *Screen) leftText(g coach.Glance, w int) string {
	c := s.actOf(g.Prompt).Count
	left := c.At.Sub(s.e.Now).Abs()
	text, tight := shortDuration(left), durationIn(left, "m")
	if limit, aside := s.aside(g); aside {
		left, sign := limit.Sub(s.e.Now), ""
		if left < 0 {
			left, sign = -left, "+"
		}
		if limit.IsZero() {
			return "on hold"
		}
		return draw.FirstFit(w, sign+shortDuration(left)+", held", sign+durationIn(left, "m")+" held", "on hold")
	}
	if c.Of <= coach.ToRelease && s.overMidnight(c.At) {
		return draw.FirstFit(w, "until "+s.then(c.At), s.then(c.At), s.e.ClockText(c.At))
	}
	switch c.Of {
	case coach.NoCount:
		if g.Phase == shed.Idle {
			return ""
		}
		return g.Phase.Shown()
	case coach.ToDue:
		return text
	case coach.ToRelease:
		return text
	case coach.MayBeBelow:
		return "0 min"
	case coach.SinceBelow:
		return draw.FirstFit(w, text+" cool", tight+" cool", "+"+text)
	case coach.SinceLongest:
		return draw.FirstFit(w, text+" past", tight+" past", "+"+text)
	case coach.SinceSoak, coach.SinceWet:
		return draw.FirstFit(w, text+" over", tight+" over", "+"+text)
	}
	return text
}

// leftUnit is the unit under the large figure.
func leftUnit(d time.Duration, what string) string {
	if d < inHours {
		return "min " + what
	}
	return "h:min " + what
}

// figuresOf writes a duration for the large figure: "9:30" below ten minutes,
// "25" whole minutes, "2:40" hours from inHours on.
func figuresOf(d time.Duration) string {
	switch {
	case d < 10*time.Minute:
		d = d.Truncate(time.Second)
		return fmt.Sprintf("%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
	case d < inHours:
		return fmt.Sprintf("%d", int(d.Minutes()))
	}
	return fmt.Sprintf("%d:%02d", int(d.Hours()), int(d.Minutes())%60)
}

// runsOut is a limit that runs out: "within 12 min".
func runsOut(left time.Duration) string {
	if left < time.Minute {
		return "within a minute"
	}
	return "within " + draw.MinText(left.Minutes())
}
