package washday

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// dayKeys are the keys of the running day.
type dayKeys struct {
	do, part, hear, reading, cover, topUp, longer, shorter, hold, skip, repeat, note, undo, end, far, helps, change, curve, tray, spun, soaked, kettle, away, alarms, prove, off, help, leave, up, down key.Binding
}

func newDayKeys() (k dayKeys) {
	for _, x := range []struct {
		is         *key.Binding
		key, words string
	}{
		{&k.part, ".", "just the first part; at a fill waiting for its kettle: from the tap alone"},
		{&k.reading, "r", "reading"},
		{&k.cover, "c", "cover"},
		{&k.topUp, "t", "top up"},
		{&k.shorter, "-", "shorter"},
		{&k.hold, "h", "hold"},
		{&k.skip, "s", "skip step"},
		{&k.repeat, "b", "repeat bath"},
		{&k.note, "n", "note"},
		{&k.undo, "u", "undo"},
		{&k.end, "e", "end the day"},
		{&k.far, "f", "big view"},
		{&k.helps, "w", "keep warm"},
		{&k.change, "d", "today's weights, water, taps, basket, timetable"},
		{&k.curve, "v", "curve"},
		{&k.alarms, "l", "alarm list"},
		{&k.prove, "p", "sound check"},
		{&k.off, "m", "say how long tubside was off"},
		{&k.tray, "y", "choose the tray on the rack"},
		{&k.spun, "g", "after spinning: weigh the batch"},
		{&k.soaked, "g", "between presoak and wash: weigh it if you dried it"},
		{&k.kettle, "o", "kettle on, then boiled"},
		{&k.away, "i", "break: away for a while, and back"},
	} {
		*x.is = base.Bind(x.key, x.words)
	}
	k.do = base.Bind("Enter", "done", "enter")
	k.hear = base.Bind("Space", "alarm heard", " ", "a")
	k.longer = base.Bind("+", "longer", "+", "=")
	k.help = base.Bind("?", "help", "?", "f1")
	k.leave = base.Bind("Esc", "back", "esc", "q")
	k.up = base.Bind("Up", "tub above", "up", "k")
	k.down = base.Bind("Down", "tub below", "down", "j")
	return k
}

func (k dayKeys) all() (all []key.Binding) {
	k.leave.SetHelp("Esc, q", k.leave.Help().Desc)
	digits := base.Bind("1-9, 0", "choose a tub", "1")
	for _, b := range []*key.Binding{&k.do, &k.part, &k.hear, &digits, &k.reading, &k.cover, &k.topUp, &k.longer, &k.shorter, &k.hold, &k.skip, &k.repeat, &k.note, &k.undo, &k.end, &k.far, &k.helps, &k.change, &k.curve, &k.tray, &k.spun, &k.soaked, &k.kettle, &k.away, &k.alarms, &k.prove, &k.up, &k.down, &k.help, &k.leave} {
		all = append(all, *b)
	}
	return all
}

// tells says with which key a deed is told, in a sentence about the tub in focus.
func (k dayKeys) tells(d coach.Deed) string {
	b, does := k.repeat, ""
	switch d {
	case coach.Refill:
		does = "empties it"
	case coach.WashAgain:
		does = "washes it again"
	case coach.TakeTemp:
		b, does = k.reading, "takes a reading"
	case coach.TakeBack:
		b, does = k.undo, "undoes it"
	case coach.TellCover:
		b, does = k.cover, "records it"
	case coach.EnterRaw:
		b, does = k.change, "corrects its weight"
	case coach.TurnKettle:
		b, does = k.kettle, "turns it here, once you choose the tub"
	case coach.SoakOn:
		b, does = k.longer, "soaks longer"
	case coach.NoDeed:
	}
	return b.Help().Key + " " + does
}

// narrowFoot: below this width the foot has no room for a movement's parts.
const narrowFoot = 60

// moreUnder ends what stands short, with the key of the rest.
func moreUnder(width int) string {
	if width < narrowFoot {
		return " (?)"
	}
	return " (more: ?)"
}

// foot is the keys in the order of their use, as many as fit.
func (s *Screen) foot() []base.FootItem {
	k := s.keys
	var order []key.Binding
	p, asked := s.Prompt()
	onKettle, kettle := k.kettle, false
	if c, ok := s.kettleKey(); ok { // only when there is something to tell
		kettle = true
		onKettle.SetHelp("o", c)
	}
	_, kettleFirst := s.boilFirst()
	if kettleFirst {
		kettle = false // it is Enter's
	}
	if s.ringing() {
		switch w := s.rooms.w; {
		case w < narrowFoot && kettle: // the line of the alarm says it
			k.hear.SetHelp("Space", "")
		case w < 100:
			k.hear.SetHelp("Space", "heard")
		}
		order = append(order, k.hear)
	}
	held := s.focus >= 0 && s.focus < len(s.glances) && s.glances[s.focus].Held
	if held {
		k.hold.SetHelp("h", "resume")
	}
	switch {
	case held && p.Act != shed.Lift && !kettleFirst: // a lift goes through a hold, nothing else does
		order = append(order, k.hold)
	case p.Act != shed.Wait || kettleFirst || !s.e.Live.Day.Running(): // at an empty tub there is nothing to tell
		order = append(order, s.doKey())
	}
	if kettle {
		order = append(order, onKettle)
	}
	refill := !kettleFirst && coach.Speaks(p.Details, coach.Refill)
	if refill {
		b := k.repeat
		b.SetHelp("b", "refill")
		order = append(order, b)
	}
	if s.focus >= 0 && s.focus < len(s.glances) {
		if _, ok := s.beforeRack(s.focus); ok { // before it lies there
			spun := k.spun
			spun.SetHelp("g", "weigh spin-dried")
			order = append(order, spun, k.tray)
		}
	}
	if asked && !kettleFirst && p.Act == shed.FillTub && p.Kettle != coach.KettleReady && s.rooms.w >= narrowFoot {
		part := k.part
		part.SetHelp(".", s.tapWords(p.Tub))
		order = append(order, part)
	}
	if asked && !kettleFirst && len(p.Then) > 0 && s.rooms.w >= narrowFoot {
		part := k.part
		part.SetHelp(".", doneWords([]shed.Action{p.Act})+" only")
		order = append(order, part)
	}
	more, away := []key.Binding{k.change, k.away}, k.away
	more[0].SetHelp("d", "today")
	more[1].SetHelp("i", "break")
	if till, ok := s.e.Live.Day.Away(s.e.Now); ok {
		what := s.e.Live.Day.Plan.SayAway(shed.Span{From: s.e.Now})
		if away.SetHelp("i", what+" over"); s.breakText() == "" {
			away.SetHelp("i", "back ("+what+" till "+s.e.ClockText(till)+")")
		}
		order, more = append(order, away), more[:1]
	}
	if s.e.Live.Day.Running() && s.focus < 0 {
		order = append(append(order, k.undo, k.note, k.far), append(more, k.end)...)
	} else if s.e.Live.Day.Running() {
		if t := s.e.Live.Day.Tubs[s.focus]; t.Phase == shed.Draining && t.Step().Kind.Facts().Waxy { // now it is felt whether the wax is out
			k.repeat.SetHelp("b", "rewash")
			if s.rooms.w < narrowFoot {
				k.repeat.SetHelp("b", "again")
			}
			order = append(append(order, k.repeat, k.undo, k.hold, k.note, k.far), append(more, k.curve, k.skip, k.end)...)
		} else {
			order = append(order, k.reading, k.cover, k.topUp, k.longer, k.shorter, k.undo, k.helps, k.hold, k.note, k.far)
			order = append(append(order, more...), k.curve, k.skip)
			if !refill {
				order = append(order, k.repeat)
			}
			order = append(order, k.end)
		}
	} else {
		order = append(order, k.note, k.undo)
	}
	resumes := false // hold stands before the deed it keeps from, and not again behind it
	order = slices.DeleteFunc(order, func(b key.Binding) bool {
		again := resumes && b.Help().Key == k.hold.Help().Key
		resumes = resumes || b.Help().Key == k.hold.Help().Key
		return again
	})
	order = base.Without(append(order, k.leave), s.idleKeys())
	items := base.FootItems(s.rooms.w, order, k.help)
	lacks := func(k string) bool {
		return !slices.ContainsFunc(items, func(it base.FootItem) bool { return it.Key == k })
	}
	if i := slices.IndexFunc(order, func(b key.Binding) bool { return b.Help().Key == "Enter" }); i >= 0 && (lacks("Enter") || kettle && lacks("o") || order[i+1].Help().Key == "b" && lacks("b")) {
		order[i].SetHelp("Enter", "done") // no room for all that it tells of: the band names it
		order[len(order)-1].SetHelp("Esc", "")
		items = base.FootItems(s.rooms.w, order, k.help)
	}
	return items
}

// idleKeys are the labels of the keys that do nothing at the tub in focus as it stands.
func (s *Screen) idleKeys() (out []string) {
	d, tub := s.e.Live.Day, s.focus
	drop := func(nothing bool, keys ...key.Binding) {
		for _, b := range keys {
			if nothing {
				out = append(out, b.Help().Key)
			}
		}
	}
	k := s.keys
	drop(coach.CanUndo(d) == "", k.undo)
	if tub < 0 || tub >= len(s.glances) {
		return out
	}
	refused := func(c session.Command) bool {
		_, err := session.Decide(d, c, s.e.Now)
		return err != nil
	}
	g, bath := s.glances[tub], d.Tubs[tub].Bath.Step
	water := g.HasTemp && g.Phase != shed.Draining
	drop(!water, k.reading, k.cover, k.topUp)
	drop(!water || !bath.HasRelease(), k.helps)
	drop(len(d.Plan.Kit.Trays) == 0, k.tray)
	drop(refused(session.AdjustSoak{Tub: tub, ByMin: 5}), k.longer)
	drop(refused(session.AdjustSoak{Tub: tub, ByMin: -5}), k.shorter)
	drop(!g.Held && refused(session.Hold{Tub: tub}), k.hold)
	drop(refused(session.SkipStep{Tub: tub}), k.skip)
	drop(refused(session.RepeatStep{Tub: tub}), k.repeat)
	drop(s.curveTub() < 0, k.curve)
	return out
}

// doKey is Enter, with what it tells of now.
func (s *Screen) doKey() key.Binding {
	do := s.keys.do
	p, asked := s.Prompt()
	boil, kettle := s.boilFirst()
	switch {
	case !s.e.Live.Day.Running():
		do.SetHelp("Enter", "look back")
	case kettle && boil.Rank != coach.Now && boil.DueAt.Sub(s.e.Now) > kettleNear:
		do.SetHelp("Enter", "too early")
	case kettle:
		do.SetHelp("Enter", "kettle on")
		if boil.Refill && s.rooms.w >= narrowFoot {
			told, _ := s.kettleKey()
			do.SetHelp("Enter", told)
		}
	case asked:
		do.SetHelp("Enter", doneWords(append([]shed.Action{p.Act}, p.Then...)))
		if a := s.calledAct(p); s.aloud() != s || p.Tub >= 0 && (a.Boil || a.Tub != p.Tub) { // the letters are of another
			do.SetHelp("Enter", s.glances[s.focus].Name+": "+do.Help().Desc)
		}
	}
	return do
}

// doneWords say of acts that they are done: "filled and in".
func doneWords(acts []shed.Action) string {
	words := map[shed.Action]string{
		shed.LoadNext: "begun", shed.FillTub: "filled", shed.SinkIn: "in", shed.Lift: "lifted", shed.DrainTub: "emptied",
		shed.SpinFibre: "spun", shed.RackFibre: "on the rack", shed.FinishDay: "finish",
	}
	out := make([]string, len(acts))
	for i, a := range acts {
		out[i] = words[a]
	}
	if last := len(out) - 1; last > 0 {
		return strings.Join(out[:last], ", ") + " and " + out[last]
	}
	return out[0]
}

// footAt is the key a click in the foot presses.
func (s *Screen) footAt(x int) (tea.KeyMsg, bool) {
	for _, it := range s.foot() {
		if x >= it.X && x < it.X+it.W {
			return it.Msg, true
		}
	}
	return tea.KeyMsg{}, false
}
