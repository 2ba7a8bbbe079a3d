package washday

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// View draws the day exactly as large as the window.
func (s *Screen) View() string {
	if s.far && s.ask == nil { // a question is answered near by
		return s.farView()
	}
	r := s.rooms
	rule := s.rule()
	lines := make([]string, 0, r.h)
	lines = append(lines, s.head())
	lines = append(lines, s.underHead(r.w)...)
	if last := &lines[len(lines)-1]; *last == rule && s.bandRings() && s.grounds() && !s.e.Theme.ASCII { // half a line of its ground above the band
		edge := &s.e.Theme.MediumEdge
		if s.glances[s.focus].Alarm.Priority == session.HighPriority {
			edge = &s.e.Theme.AlarmEdge
		}
		*last = edge.Render(strings.Repeat("▄", r.w))
	}
	lines = append(lines, s.band()...)
	lines = append(lines, rule)
	lines = append(lines, s.lanes()...)
	if r.curve.Height > 0 {
		lines = append(lines, s.drawnCurve().lines...)
	}
	order := s.order(r.order.Height)
	if !r.aside {
		lines = append(lines, order...)
	}
	lines = append(lines, s.rest.lines...)
	for len(lines) < r.bottom() {
		lines = append(lines, strings.Repeat(" ", r.lanesW))
	}
	lines = lines[:r.bottom()]
	if r.aside {
		order = append(order, make([]string, r.order.Height-len(order))...)
		for i, l := range order {
			at := r.order.Top + i
			lines[at] = draw.Fit(lines[at], r.lanesW) + s.e.Theme.Rule.Render("│") + draw.Fit(l, r.orderW)
		}
	}
	if r.footRule > 0 {
		lines = append(lines, rule)
	}
	lines = append(lines, s.footLine())
	return strings.Join(lines, "\n")
}

// underHead is an alarm that rings and that the band does not speak of, always,
// and the sentence for the person; else a low alarm, or what waits while a chosen
// tub is looked at. It takes as many lines as it has words for.
func (s *Screen) underHead(w int) []string {
	t := s.e.Theme
	alarm := s.otherAlarm(w)
	switch {
	case s.e.Say != "":
		return append(alarm, base.SayLines(s.e, w)...)
	case len(alarm) > 0:
		return alarm
	}
	if text := s.lowAlarm(); text != "" {
		return draw.Told(t.Warn, text, w)
	}
	if lines := s.waits(w); len(lines) > 0 {
		return lines
	}
	if text, why, _ := s.saved(); ansi.StringWidthWc(text+why) >= w { // the head has no room for why
		return draw.Told(t.Warn, text+why, w)
	}
	return base.SayLines(s.e, w)
}

// otherAlarm is an alarm that rings while the band speaks of another tub, or
// asks a question; beside a sentence, or where it would take more than two lines, it is brief.
func (s *Screen) otherAlarm(w int) []string {
	d := s.e.Live.Day
	a, ok := d.Pressing()
	if !ok || !a.Unanswered() || a.Tub == s.focus && s.ask == nil {
		return nil
	}
	mark := s.e.Theme.Mark(theme.MarkAlarm)
	text := fmt.Sprintf("%s ALARM %s (Space: heard)", mark, base.AlarmPhrase(d, a, s.e.Now))
	if s.e.Say != "" || s.ask != nil || s.far || len(draw.Told(s.e.Theme.Alarm, text, w)) > 2 {
		if text = fmt.Sprintf("%s ALARM %s (Space: heard)", mark, base.AlarmName(d, a)); ansi.StringWidthWc(text) > w-2 {
			text = fmt.Sprintf("%s ALARM %s", mark, base.AlarmName(d, a))
		}
	}
	return draw.Told(base.AlarmStyle(&s.e.Theme, a), text, w)
}

// waits is what comes first elsewhere while a chosen tub is looked at: what Esc goes to.
func (s *Screen) waits(w int) []string {
	if s.chosen < 0 || len(s.prompts) == 0 {
		return nil
	}
	p, who, what := s.prompts[0], "The kettle", ""
	c := *s
	c.chosen, c.focus = -1, p.Tub
	if s.next[0].Boil {
		c.kettle = c.canTellKettle()
	}
	if boil, ok := c.boilFirst(); ok && boil.Rank == coach.Now && (p.Tub != s.focus || s.rooms.h >= calledFrom) {
		what = s.boilOrder(boil)
	} else if p.Tub == s.focus || p.Tub < 0 || p.Rank > coach.Now {
		return nil
	} else if who, what = s.glances[p.Tub].Name, p.Title; s.whenText(s.actOf(p)) != "" {
		what += ", " + s.whenText(s.actOf(p))
	}
	text := who + " comes first: " + what
	if s.ask == nil && !s.far { // else Esc leaves that
		text += ". Esc goes there"
	}
	return draw.Told(s.e.Theme.Warn, text, w)
}

func (s *Screen) rule() string {
	return s.e.Theme.Rule.Render(strings.Repeat(s.e.Theme.Mark(theme.MarkRule), s.rooms.w))
}

// head says which day it is, the water it has, and whether it is safe.
func (s *Screen) head() string {
	e, k := s.e, s.e.Live.Day.Plan.Kit
	dot := " · "
	if e.Theme.ASCII {
		dot = " - "
	}
	right, why, style := s.saved()
	if ansi.StringWidthWc(right+why+" ") < s.rooms.w-len(" Wash day ") {
		right += why
	}
	right = style.Render(right)
	if words, bad := e.SoundWords(); bad {
		right += e.Theme.Warn.Render(dot + words + ": " + s.keys.prove.Help().Key)
	} else if words != "" {
		right += e.Theme.Good.Render(dot + words)
	}
	if e.AwayGuess != nil {
		right += e.Theme.Warn.Render(dot + "TIMES A GUESS: m")
	}
	right += " "
	left := " Wash day"
	if e.Rehearsal != nil {
		left = draw.FirstFit(s.rooms.w-ansi.StringWidthWc(right)-2, " REHEARSAL, an invented day", " REHEARSAL")
	}
	for _, more := range []string{
		e.Kit.Units.Moment(e.Now.In(e.Zone()), "Mon 2 Jan 15:04"),
		"room " + k.Units.Temp(k.RoomC),
		"hot tap " + k.Units.Temp(k.HotTapC),
	} {
		if ansi.StringWidthWc(left+dot+more)+2+ansi.StringWidthWc(right) <= s.rooms.w {
			left += dot + more
		}
	}
	gap := s.rooms.w - ansi.StringWidthWc(left) - ansi.StringWidthWc(right)
	if gap < 0 { // what is not saved matters more than the date
		return draw.Fit(" "+strings.TrimSpace(right), s.rooms.w)
	}
	return e.Theme.Title.Render(left) + strings.Repeat(" ", gap) + right
}

// saved says whether all that happened is on the disk.
func (s *Screen) saved() (text, why string, style theme.Style) {
	t := &s.e.Theme
	if text, why = s.e.UnsavedText(); text != "" {
		return text, ": " + why, t.Warn
	}
	if waiting := s.e.Saving(); waiting > 0 {
		return fmt.Sprintf("saving %d", waiting), "", t.Faint
	}
	return "saved", "", t.Good
}

// lowAlarm is what an unanswered low alarm asks for, besides what is next.
func (s *Screen) lowAlarm() string {
	d := s.e.Live.Day
	_, boils := s.boilFirst()
	for _, a := range d.Alarms {
		if a.Aside() && a.Kind != session.SoakDone && a.Unanswered() { // the band has the lift
			answer := "Space: heard"
			switch {
			case a.Kind != session.KettleNow, s.ask != nil: // there o is a letter
			case boils:
				continue // and the boil
			default:
				answer = "o: it is on"
			}
			return fmt.Sprintf("%s %s (%s)", s.e.Theme.Mark(theme.MarkAlarm), base.AlarmPhrase(d, a, s.e.Now), answer)
		}
	}
	return ""
}

// ringing says that there is an unanswered alarm.
func (s *Screen) ringing() bool {
	a, ok := s.e.Live.Day.Pressing()
	return ok && a.Unanswered()
}

// grounds says that an unanswered alarm has its ground in this second.
func (s *Screen) grounds() bool { return s.e.Theme.Steady || s.e.Now.Unix()%2 == 0 }

// bandRings says that the band speaks of a tub whose alarm is unanswered, be it one of several.
func (s *Screen) bandRings() bool {
	return s.ask == nil && s.focus >= 0 && s.focus < len(s.glances) && s.glances[s.focus].HasAlarm && s.glances[s.focus].Alarm.Unanswered()
}

// stateLine is what is known of a tub: temperature, release, cover; with the
// last reading, or the wish for one, if there is room for it.
func (s *Screen) stateLine(p coach.Prompt, full bool) string {
	return strings.Join(s.stateParts(p, full), ", ")
}

func (s *Screen) stateParts(p coach.Prompt, full bool) []string {
	if p.Tub < 0 {
		return nil
	}
	g := s.glances[p.Tub]
	var parts []string
	if g.HasTemp {
		parts = append(parts, s.tempText(g))
		if full && !g.LastReading.At.IsZero() {
			u := s.e.Live.Day.Plan.Kit.Units
			parts = append(parts, fmt.Sprintf("read %s %s ago", u.TempRead(g.LastReading.TempC), draw.MinText(s.e.Now.Sub(g.LastReading.At).Minutes())))
		}
	}
	if rel := s.releaseText(g); rel != "" && (full || g.Prompt.Count.Of != coach.SinceBelow) {
		parts = append(parts, rel)
	}
	if g.Phase == shed.Soaking {
		parts = append(parts, g.Cover.String())
	}
	if full && g.Kind.Facts().Release && g.HasTemp && g.LastReading.At.IsZero() && g.Phase != shed.Draining {
		parts = append(parts, "no reading yet: press r")
	}
	return parts
}

// tempText is the estimate as one: "about 63 °C", or its interval when wide.
func (s *Screen) tempText(g coach.Glance) string {
	u := s.e.Live.Day.Plan.Kit.Units
	if !g.HasTemp {
		return "-"
	}
	if g.HighC-g.LowC > 3 {
		if g.Kind.Facts().ByBatch && g.LastReading.At.IsZero() {
			return "about " + u.Temp(g.TempC) // of a presoak nothing hangs on it
		}
		return u.TempWhole(g.LowC) + "-" + u.Temp(g.HighC)
	}
	return "about " + u.Temp(g.TempC)
}

// releaseText says when a wash comes down to its release temperature.
func (s *Screen) releaseText(g coach.Glance) string {
	if g.ReleaseC == 0 || g.Release.Likely.IsZero() || g.Phase == shed.Draining { // waste water
		return ""
	}
	u := s.e.Live.Day.Plan.Kit.Units
	early := g.Release.Early.Sub(s.e.Now).Minutes()
	if c := g.Prompt.Count; c.Of == coach.SinceBelow {
		return fmt.Sprintf("below %s for %s", u.Temp(g.ReleaseC), draw.MinText(s.e.Now.Sub(c.At).Minutes()))
	}
	if g.Release.Likely.Sub(s.e.Now).Minutes() <= 0 {
		if g.Phase != shed.Soaking { // nothing sets in it
			return "too cool to begin"
		}
		return "below " + u.Temp(g.ReleaseC) + " now"
	}
	// The far end says nothing that anyone can go by.
	if early < 1 {
		return "may be below " + u.Temp(g.ReleaseC)
	}
	return fmt.Sprintf("at least %s above %s", draw.MinText(math.Floor(early)), u.Temp(g.ReleaseC))
}

// order lists what to do across the tubs, most pressing first, each whole.
func (s *Screen) order(h int) []string {
	w, t := s.rooms.orderW, s.e.Theme
	if h == 0 {
		return nil
	}
	var lines []string
	if problems := s.e.Live.Plan.Problems; len(problems) > 0 { // before anything else
		if lines = draw.Told(t.Warn, problems[0], w); len(lines) > h {
			lines = nil
		}
	}
	if len(lines)+2 > h { // the list goes whole
		return lines
	}
	head, shown := len(lines), 0
	lines = append(lines, "")
	name, deed := s.orderColumns()
	var kettle []string // its call has a line, whatever comes before it
	call := slices.IndexFunc(s.next, func(a coach.NextAct) bool {
		return a.Boil && (a.Rank == coach.Now || a.BoilOn && !a.DueAt.After(s.e.Now))
	})
	if call >= 0 {
		kettle = s.orderAct(call, s.next[call], name, deed)
	}
	for i, a := range s.next {
		act := s.orderAct(i, a, name, deed)
		need := len(act)
		if i < call {
			need += len(kettle)
		}
		if len(lines)+need > h {
			if i <= call && len(lines)+len(kettle) <= h {
				lines, shown = append(lines, kettle...), shown+1
			}
			break
		}
		lines, shown = append(lines, act...), shown+1
	}
	title := " in this order"
	more := len(s.next) - shown
	if more > 0 {
		title += fmt.Sprintf(", %d more", more)
	}
	if waiting := s.e.Live.Day.Waiting(); !s.e.Live.Day.Running() {
		title = ""
	} else if len(waiting) > 0 {
		names, wait := "", "; "+base.Counted(len(waiting), "batch waits", "batches wait")+" for a tub"
		for _, b := range waiting {
			names += " " + b.ID
		}
		title = draw.FirstFit(w, title+"; waiting for a tub:"+names, title+wait, fmt.Sprintf(" %d more%s", more, wait))
	}
	lines[head] = t.Faint.Render(draw.Fit(title, w))
	return lines
}

// orderColumns are the widths of the names and of the deeds in the order: as
// wide as leaves room for when.
func (s *Screen) orderColumns() (name, deed int) {
	w, when := s.rooms.orderW, 0
	for _, a := range s.next {
		name, deed = max(name, ansi.StringWidthWc(s.orderName(a))), max(deed, ansi.StringWidthWc(a.Title))
		_, brief := s.whenSpare(a)
		when = max(when, ansi.StringWidthWc(brief))
	}
	name = min(name, 14, w/5)
	return name, max(14, min(deed, w-name-9-when))
}

func (s *Screen) orderName(a coach.NextAct) string {
	if a.Tub < 0 {
		return "" // its deed names the day
	}
	return s.glances[a.Tub].Name
}

// orderAct is one act of the order; what is too long for its column, or for the
// line, goes on below.
func (s *Screen) orderAct(i int, a coach.NextAct, name, deed int) []string {
	t, w := &s.e.Theme, s.rooms.orderW
	style := t.Text
	if a.Rank == coach.Harm || a.Count.Of.Harm() || a.LateWash {
		style = t.Warn
	}
	lead := fmt.Sprintf(" %2d  ", i+1)
	if name > 0 {
		lead += draw.Short(s.orderName(a), name) + "  "
	}
	full, brief := s.whenSpare(a)
	text := a.Title + strings.Repeat(" ", max(0, deed-ansi.StringWidthWc(a.Title))) + "  "
	lines := []string{lead + text + draw.FirstFit(w-ansi.StringWidthWc(lead+text), full, brief)}
	if ansi.StringWidthWc(lines[0]) > w {
		if text = a.Title; brief != "" {
			text += ", " + brief
		}
		lines = draw.Hung(lead, text, w)
	}
	for j, l := range lines {
		lines[j] = style.Render(draw.Fit(l, w))
	}
	return lines
}

// footLine shows the keys, or how to answer a question.
func (s *Screen) footLine() string {
	t, w := &s.e.Theme, s.rooms.w
	switch a := s.ask; {
	case a == nil:
		return draw.Fit(base.FootText(t, s.foot()), w)
	case len(a.says) > 0:
		return t.Faint.Render(draw.Fit(" c cover   t top up   Esc back", w))
	case len(a.picks) > 0:
		return t.Faint.Render(draw.Fit(fmt.Sprintf(" 1-%d choose   Esc leaves it as it is", len(a.picks)), w))
	}
	if s.ask.at+1 < len(s.ask.fields) {
		return t.Faint.Render(draw.Fit(" Enter next field   Esc leaves it", w))
	}
	if s.ask.enter != "" {
		return t.Faint.Render(draw.Fit(" Enter "+s.ask.enter+"   Esc leaves it", w))
	}
	return t.Faint.Render(draw.Fit(" Enter saves   Esc leaves it", w))
}
