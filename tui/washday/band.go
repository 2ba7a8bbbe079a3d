package washday

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// band is what next: the tub, the deed, how, and how soon in large figures.
func (s *Screen) band() []string {
	h, w := s.rooms.band.Height, s.rooms.w
	if h == 0 {
		return nil
	}
	t := &s.e.Theme
	text, figures, unit := s.bandText()
	ringing := s.bandRings()
	plain := t.Text
	if ringing {
		plain = s.alarmStyle()
	}
	if lines := s.calledBand(text, plain, ringing); lines != nil {
		return lines
	}
	size, figW := s.figureBeside(text, figures, unit)
	text = wrapBand(text, w-figW, h)
	lines := make([]string, h)
	var fig []string
	if figW > 0 {
		fig = append(paint.Figures(figures, size, t.ASCII), unit)
		if size == 1 && h > 6 { // a line of air above
			fig = append([]string{""}, fig...)
		}
	}
	for i := range lines {
		left := ""
		style := plain
		if i < len(text) {
			left = text[i].s
			if !ringing {
				style = text[i].style
			}
		}
		right := ""
		if i < len(fig) {
			right = fig[i]
		}
		big := s.bigStyle()
		lines[i] = style.Render(draw.Fit(left, w-figW))
		if figW > 0 {
			lines[i] += big.Render(draw.Fit(rightward(right, figW-1), figW))
		}
	}
	return lines
}

// rightward sets a text to the right of w cells: the last digit of a figure that counts keeps
// its place, however many stand before it.
func rightward(text string, w int) string {
	return strings.Repeat(" ", max(0, w-ansi.StringWidthWc(text))) + text
}

// alarmStyle flashes an unanswered alarm: reverse in one second, plain in the
// next, so at half a hertz; fits of epilepsy begin far above that, and the eye
// catches it across the shed.
func (s *Screen) alarmStyle() theme.Style {
	if s.grounds() {
		return base.AlarmStyle(&s.e.Theme, s.glances[s.focus].Alarm)
	}
	return s.e.Theme.Warn
}

// bigStyle is how what is read from the door looks.
func (s *Screen) bigStyle() theme.Style {
	if s.bandRings() {
		return s.alarmStyle()
	}
	return s.e.Theme.Big
}

// figureBeside is the size of the large figure and the width it takes: words
// come before size, and the words that have to stand before any figure. An alarm
// keeps a large one as long as those have room.
func (s *Screen) figureBeside(text []bandLine, figures, unit string) (size, figW int) {
	h, w := s.rooms.band.Height, s.rooms.w
	if figures == "" {
		return 0, 0
	}
	must, most := text, w/2
	if s.ask != nil { // its tub in letters
		most = 3 * w / 5
	}
	if s.bandRings() {
		must = kept(text)
	}
	for size = s.rooms.figureSize; size >= 0; size-- {
		if s.ask != nil && size == 0 && s.e.Theme.ASCII {
			break // no larger than the words
		}
		figW = max(paint.FiguresWidth(figures, size), ansi.StringWidthWc(unit)) + 3
		if figW <= most && (wrappedHeight(must, w-figW) <= h || size == 0 && wrappedHeight(kept(text), w-figW) <= h) {
			return size, figW
		}
	}
	return 0, 0
}

// kept is the lines of the band that have to stand.
func kept(text []bandLine) (out []bandLine) {
	for _, l := range text {
		if l.keep {
			out = append(out, l)
		}
	}
	return out
}

// leastBand is how many lines the band has to have: a question's, and in a low
// window those of what next; in a higher one those that have to stand, in a high one under
// their call in large letters.
func (s *Screen) leastBand(called bool) int {
	text, _, _ := s.bandText()
	for _, l := range s.settings() {
		if rows := len(l.letters(s.rooms.w, false)); l.size > 0 && s.rooms.h >= highFrom {
			return rows + wrappedHeight(must(text), s.rooms.w)
		} else if called && l.size == 0 && s.rooms.h >= calledFrom {
			return rows + wrappedHeight(kept(text), s.rooms.w)
		}
	}
	if s.ask == nil && s.rooms.h >= 16 {
		return wrappedHeight(kept(text), s.rooms.w)
	}
	return wrappedHeight(must(text), s.rooms.w)
}

// wrapBand breaks the band's lines at words. Where not all have room the spare
// one goes first, then the last of the details: each whole, never the deed or the
// caution.
func wrapBand(text []bandLine, w, h int) []bandLine {
	text = slices.Clone(text)
	for wrappedHeight(text, w) > h {
		worst := -1
		for i, l := range text {
			if !l.keep && (worst < 0 || !text[worst].spare) {
				worst = i
			}
		}
		if worst < 0 {
			break
		}
		for i := worst; i > 0 && !text[worst].spare; i-- { // two that fit one line go on it first
			both := text[i-1].s + " · " + strings.TrimSpace(text[i].s)
			if !text[i-1].keep && !text[i].keep && text[i-1].style.Of == text[i].style.Of && ansi.StringWidthWc(both) < w {
				text[i-1].s, text[i-1].brief, worst = both, "", i
				break
			}
		}
		text = slices.Delete(text, worst, worst+1)
	}
	for i := len(text) - 1; i >= 0 && wrappedHeight(text, w) > h; i-- {
		if text[i].brief != "" {
			text[i].s = text[i].brief
		}
	}
	if len(text) > 1 && text[0].brief != "" && wrappedHeight(text, w) > h { // the tub stands before its deed
		text[1].s = text[0].s + "  " + strings.TrimSpace(text[1].s)
		text = text[1:]
	}
	var out []bandLine
	for _, l := range text {
		for j, p := range brokenLine(strings.TrimSpace(l.s), w) {
			lead := " "
			if j > 0 {
				lead = "   "
			}
			out = append(out, bandLine{s: lead + p, style: l.style})
		}
	}
	if len(out) > h { // what has to stand does not
		out = out[:h]
		out[h-1].s = draw.Cell(draw.Fit(out[h-1].s, w)+" ", w, draw.CutSign)
	}
	return out
}

// brokenLine breaks a line of the band at words: after a lead of one cell, what
// is broken off after one of three.
func brokenLine(text string, w int) []string {
	if ansi.StringWidthWc(text) < w {
		return []string{text}
	}
	first := draw.Wrapped(text, max(10, w-2))[0]
	rest := strings.TrimPrefix(strings.Join(strings.Fields(text), " "), first)
	return append([]string{first}, draw.Wrapped(strings.TrimSpace(rest), max(8, w-4))...)
}

// wrappedHeight is how many lines the band's text takes when nothing is cut.
func wrappedHeight(text []bandLine, w int) int {
	n := 0
	for _, l := range text {
		n += len(brokenLine(strings.TrimSpace(l.s), w))
	}
	return n
}

type bandLine struct {
	_     [0]func() // nobody compares two: no code for it
	s     string
	style theme.Style
	keep  bool   // never left out
	brief string // says it where what has to stand finds no room; "": no shorter way
	spare bool   // left out first where there is no room
}

// bandText is the band's words, most important first, with the large figure
// and what it counts.
func (s *Screen) bandText() (lines []bandLine, figures, unit string) {
	e, t := s.e, s.e.Theme
	if s.ask != nil {
		for i, l := range s.ask.lines() {
			style := t.Text
			if i == 0 {
				style = t.Next
			}
			// Of what is only to be read the best, first, and the hint stand.
			lines = append(lines, bandLine{s: " " + l, style: style, keep: i < 2 || i > len(s.ask.says)})
		}
		return lines, s.askedTub(), ""
	}
	if !e.Live.Day.Running() {
		lines = []bandLine{
			{s: " THE DAY HAS ENDED", style: t.Next, keep: true},
			{s: " Enter to look back; enter dry weights there, now or later", style: t.Text, keep: true},
			{s: " u reopens the day", style: t.Faint},
		}
		return lines, "", ""
	}
	p, ok := s.Prompt()
	if !ok {
		return []bandLine{{s: " Nothing to do", style: t.Next}, {s: " no tub needs you", style: t.Text}}, "", ""
	}
	away := s.breakText()
	if away != "" {
		lines = append(lines, bandLine{s: " " + strings.ToUpper(away[:1]) + away[1:], style: t.Title, keep: true})
	}
	if boil, ok := s.boilFirst(); ok {
		lines = append(lines, s.boilText(boil, p)...)
		figures, unit = s.countdown(p)
		return lines, figures, unit
	}
	word, wordStyle := s.bandWord(p)
	head := word
	if p.Tub >= 0 {
		g := s.glances[p.Tub]
		head = fmt.Sprintf("%s  %d %s", word, p.Tub+1, g.Name)
		if g.Batch != "" { // as much of what it is as fits beside the figure
			room := s.rooms.w - 2
			if s.rooms.figureSize > 0 {
				room -= 30
			} else if s.rooms.figureSize == 0 {
				room -= 18
			}
			for _, about := range []string{
				fmt.Sprintf("   %s %s, %s, %s (%d of %d)", g.Batch, g.Fleece, g.Form, g.StepName, g.StepNo, g.StepCount),
				fmt.Sprintf("  %s %s, %s %d/%d", g.Batch, g.Fleece, g.StepName, g.StepNo, g.StepCount),
				fmt.Sprintf("  %s, %s %d/%d", g.Batch, g.StepName, g.StepNo, g.StepCount),
				"  " + g.Batch,
			} {
				if ansi.StringWidthWc(head+about) <= room {
					head += about
					break
				}
			}
		}
	}
	briefHead := ""
	if p.Tub >= 0 {
		briefHead = fmt.Sprintf("%s  %d", word, p.Tub+1)
	}
	lines = append(lines, bandLine{s: " " + head, style: wordStyle, keep: true, brief: briefHead})
	for i, o := range s.orders(p) {
		style := t.Next
		if i > 0 {
			style = t.Text
		}
		lines = append(lines, bandLine{s: " " + o.text, style: style, keep: true, brief: o.brief}) // which tub and deed matter more
	}
	if p.Held {
		lines = append(lines, bandLine{s: " h resumes it" + s.coolsOn(p.Tub), style: t.Warn, keep: true, brief: "h resumes it"})
	}
	if p.Tub >= 0 {
		if alarm, has := s.glances[p.Tub].Alarm, s.glances[p.Tub].HasAlarm; has && alarm.Kind != session.BelowRelease {
			if do := coach.WhatToDo(e.Live.Day, alarm, e.Now); !do.Own {
				says := do.Say(s.keys.tells)
				if do.Or != coach.NoDeed { // the line above says the rest
					says = "or " + s.keys.tells(do.Or)
				} else if do.Brief != "" {
					says = do.Brief
				}
				lines = append(lines, bandLine{s: " " + says, style: t.Warn, keep: true})
			}
		}
	}
	for _, d := range p.Details {
		says := d.Say(s.keys.tells)
		if until, in := e.Live.Day.Away(e.Now); in && away != "" && says == e.Live.Day.Plan.SayOver(shed.Span{To: until}) {
			continue // said above, with the time
		}
		if d.Of == coach.OfLabel {
			if b, ok := e.Live.Day.Batch(s.glances[p.Tub].Batch); ok {
				says = "tag: " + tagText(e, b)
			}
		}
		// How much of what is filled stands as the deed does.
		lines = append(lines, bandLine{s: " " + says, style: t.Text, keep: d.Must && !p.Held, brief: d.Brief})
	}
	switch c := p.Caution; {
	case p.Warned: // read once today: what it is about, and the words under ?
		lines = append(lines, bandLine{s: " Caution: " + c.Brief + moreUnder(s.rooms.w), style: t.Caution, keep: !p.Held, brief: "Caution: " + c.Brief})
	case c.Text != "":
		lines = append(lines, bandLine{s: " Caution: " + c.Text, style: t.Caution, keep: !p.Held, brief: "Caution: " + c.Brief})
	}
	if state := s.stateLine(p, true); state != "" {
		lines = append(lines, bandLine{s: " " + state, style: t.Faint, spare: true})
	}
	figures, unit = s.countdown(p)
	return lines, figures, unit
}

// orders are the deeds in few words, the first thing the person moves for at the
// head: what is to be done, and when if the large figure does not say.
func (s *Screen) orders(p coach.Prompt) []order {
	a, head := s.actOf(p), headline(p)
	noFigure := s.rooms.figureSize < 0 && !s.far
	when := s.soonOf(a)
	switch {
	case p.Held && when.rest != "":
		when.lead = "" // the head says it
	case !when.may && (!noFigure || when == atNow || p.Held):
		when = soon{}
	case !when.may && when.rest != "" && liftsNow(p):
		when.lead = ""
	}
	cells := s.rooms.w - 2
	first, other := s.before(p)
	if !other && s.rooms.figureSize >= 0 {
		cells -= 30 // the large figure
	}
	do := when.behind(head, cells)
	_, leads := s.boilFirst()
	switch {
	case !other, !leads && first.Refill && first.Tub == p.Tub && p.Kettle == coach.KettleBoils: // its own deed says it
		return []order{do}
	case first.Boil:
		boil := s.boilOrder(first)
		if !leads {
			return []order{do, s.soonOf(first).behind("first "+boil, cells)}
		}
		then := "then " + p.Act.Shown()
		if first.Tub != p.Tub || p.Kettle == coach.KettleReady {
			then = "then " + s.glances[p.Tub].Name + ": " + p.Title
		}
		if when := s.whenText(a); when != "" {
			then += ", " + when
		}
		return []order{{text: capitals(boil)}, {text: then}}
	}
	what := first.Title
	if s.rooms.w < narrowFoot && first.Kettle != coach.KettleReady { // how it waits is for its own band
		what = first.Act.Shown()
	}
	before := s.soonOf(first).behind(fmt.Sprintf("first %s: %s", s.glances[first.Tub].Name, what), cells)
	before.brief = "first " + s.glances[first.Tub].Name
	return []order{do, before}
}

// boilOrder names a boil.
func (s *Screen) boilOrder(boil coach.NextAct) string {
	whose := s.glances[boil.Tub].Name
	if boil.Batch != "" && boil.Batch != s.glances[boil.Tub].Batch { // the tub has another in it still
		whose = boil.Batch
	}
	does := "boil " + s.e.Live.Day.Plan.Kit.BoilText(boil.BoilL)
	switch {
	case boil.Again:
		does = "boil the kettle again"
	case boil.Refill:
		does += " more"
	}
	if does += " for " + whose; s.rooms.w < narrowFoot {
		return does
	}
	return does + "'s " + boil.BoilFor
}

// boilText is the band where the kettle comes before all else: Enter then tells of it.
func (s *Screen) boilText(boil coach.NextAct, p coach.Prompt) []bandLine {
	t, orders := &s.e.Theme, s.orders(p)
	word, style := "NEXT  the kettle", t.Faint
	if boil.Rank == coach.Now {
		word, style = "NOW  the kettle", t.Next
	}
	lines := []bandLine{
		{s: " " + word, style: style, keep: true},
		{s: " " + orders[0].text, style: t.Next, keep: true},
		{s: " " + boil.Details[0].Say(s.keys.tells), style: t.Text, keep: true, brief: boil.Details[0].Brief},
		{s: " Caution: dry hands at plug and kettle", style: t.Caution, keep: true},
		{s: " " + orders[1].text, style: t.Text},
	}
	if state := s.stateLine(p, true); state != "" {
		lines = append(lines, bandLine{s: " at " + s.glances[p.Tub].Name + ": " + state, style: t.Faint, spare: true})
	}
	return lines
}

// capitals is a deed in capitals, but for a unit that would be another.
func capitals(text string) string {
	return strings.ReplaceAll(strings.ToUpper(text), " ML ", " mL ")
}

// headline is the deed in capitals: an order only when it is one.
func headline(p coach.Prompt) string {
	title := capitals(p.Title)
	if slices.Contains(p.Then, shed.SinkIn) {
		title += " AND LOWER IN"
	}
	switch {
	case p.Held && p.Act == shed.LoadNext:
		return "SET ASIDE"
	case p.Held && p.Rank == coach.Resting:
		if p.Stopped() {
			return "ON HOLD, " + title
		}
		return "ON HOLD, THEN " + title
	case p.Act == shed.Lift && p.Rank == coach.Coming:
		return "SOAKING, THEN " + title
	case liftsNow(p):
		return title + " NOW"
	}
	return title
}

// liftsNow says that the deed is a lift at once.
func liftsNow(p coach.Prompt) bool {
	aside := p.Rank == coach.Coming || p.Held && p.Rank == coach.Resting
	return p.Act == shed.Lift && !aside && (p.Rank == coach.Harm || p.Count.Of.Harm())
}

// coolsOn says that the bath of a tub on hold cools meanwhile, where there is a warm one.
func (s *Screen) coolsOn(tub int) string {
	if g := s.glances[tub]; (g.Phase == shed.ToSink || g.Phase == shed.Soaking) && g.TempC > s.e.Live.Day.Plan.Kit.RoomC+2 {
		return "; its bath keeps cooling"
	} else if g.Phase == shed.Idle {
		return ": no batch starts in it meanwhile"
	}
	return ""
}

// bandWord is the one word over the band: how pressing it is.
func (s *Screen) bandWord(p coach.Prompt) (string, theme.Style) {
	t := &s.e.Theme
	if p.Tub >= 0 {
		if g := s.glances[p.Tub]; g.HasAlarm {
			word := t.Mark(theme.MarkAlarm) + " ALARM " + strings.ToUpper(g.Alarm.Kind.Shown())
			if g.Alarm.Kind == session.NearRelease && p.Count.Of == coach.MayBeBelow {
				word = t.Mark(theme.MarkAlarm) + " ALARM MAY BE TOO COOL"
			}
			if !g.Alarm.Unanswered() {
				return word + ", heard", t.Heard
			}
			return word, base.AlarmStyle(t, g.Alarm)
		}
	}
	switch {
	case p.Count.Of.Harm():
		return "LATE", t.Warn
	case p.Rank == coach.Harm && p.Act != shed.Lift:
		return "TOO COOL", t.Warn
	case p.Rank == coach.Harm:
		return "HURRY", t.Warn
	case p.Held:
		return "ON HOLD", t.Warn
	case p.Act == shed.Wait:
		return strings.ToUpper(idleText), t.Faint
	case p.Rank == coach.Coming: // whatever else is due now: Enter tells of this
		return "NEXT", t.Title
	}
	return "NOW", t.Title
}
