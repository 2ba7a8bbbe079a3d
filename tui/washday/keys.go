package washday

import (
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
	Do, Part, Hear, Reading, Cover, TopUp, Longer, Shorter, Hold, Skip, Repeat, Note, Undo, End, Far, Helps, Curve, Tray, Spun, Soaked, Kettle, Alarms, Prove, Off, Help, Leave, Up, Down key.Binding
}

func newDayKeys() dayKeys {
	bind := func(help, text string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(help, text))
	}
	return dayKeys{
		Do:      bind("Enter", "done", "enter"),
		Part:    bind(".", "only the first part of it; at a fill that waits for its kettle: from the tap alone", "."),
		Hear:    bind("Space", "alarm heard", " ", "a"),
		Reading: bind("r", "reading", "r"),
		Cover:   bind("c", "cover", "c"),
		TopUp:   bind("t", "top up", "t"),
		Longer:  bind("+", "longer", "+", "="),
		Shorter: bind("-", "shorter", "-"),
		Hold:    bind("h", "hold", "h"),
		Skip:    bind("s", "skip step", "s"),
		Repeat:  bind("b", "bath again", "b"),
		Note:    bind("n", "note", "n"),
		Undo:    bind("u", "undo", "u"),
		End:     bind("e", "end the day", "e"),
		Far:     bind("f", "far view", "f"),
		Helps:   bind("w", "what helps", "w"),
		Curve:   bind("v", "curve", "v"),
		Alarms:  bind("l", "list of alarms", "l"),
		Prove:   bind("p", "prove the sound", "p"),
		Off:     bind("m", "say how long tubside was off", "m"),
		Tray:    bind("y", "other tray", "y"),
		Spun:    bind("g", "after spinning: weigh it", "g"),
		Soaked:  bind("g", "between presoak and wash: weigh it, if it was dried", "g"),
		Kettle:  bind("o", "kettle on, then boiled", "o"),
		Help:    bind("?", "help", "?", "f1"),
		Leave:   bind("Esc", "back", "esc", "q"),
		Up:      bind("Up", "tub above", "up", "k"),
		Down:    bind("Down", "tub below", "down", "j"),
	}
}

func (k dayKeys) all() []key.Binding {
	k.Leave.SetHelp("Esc, q", k.Leave.Help().Desc)
	digits := key.NewBinding(key.WithKeys("1"), key.WithHelp("1-9, 0", "choose a tub"))
	return []key.Binding{k.Do, k.Part, k.Hear, digits, k.Reading, k.Cover, k.TopUp, k.Longer, k.Shorter, k.Hold, k.Skip, k.Repeat, k.Note, k.Undo, k.End, k.Far, k.Helps, k.Curve, k.Tray, k.Spun, k.Soaked, k.Kettle, k.Alarms, k.Prove, k.Up, k.Down, k.Help, k.Leave}
}

// tells says with which key a deed is told, in a sentence about the tub in focus.
func (k dayKeys) tells(d coach.Deed) string {
	b, does := k.Repeat, ""
	switch d {
	case coach.Refill:
		does = "empties it"
	case coach.WashAgain:
		does = "fills this bath once more"
	case coach.TakeTemp:
		b, does = k.Reading, "takes a reading"
	case coach.TakeBack:
		b, does = k.Undo, "takes it back"
	case coach.NoDeed:
	}
	return b.Help().Key + " " + does
}

// narrowFoot: below this width the foot has no room for a movement's parts.
const narrowFoot = 60

// foot is the keys in the order of their use, as many as fit.
func (s *Screen) foot() []base.FootItem {
	k := s.keys
	var order []key.Binding
	if s.ringing() {
		order = append(order, k.Hear)
	}
	p, asked := s.Prompt()
	onKettle, kettle := k.Kettle, false
	if c, ok := s.kettleKey(); ok { // only when there is something to tell
		kettle = true
		onKettle.SetHelp("o", c)
	}
	if _, ok := s.boilFirst(); ok {
		kettle = false // it is Enter's
	}
	order = append(order, s.doKey())
	if s.focus >= 0 && s.focus < len(s.glances) {
		if _, ok := s.beforeRack(s.focus); ok { // before it lies there
			spun := k.Spun
			spun.SetHelp("g", "weigh it spun")
			order = append(order, spun, k.Tray)
		}
	}
	_, boil := s.boilFirst()
	if asked && !boil && p.Act == shed.FillTub && p.Kettle != coach.KettleReady && s.rooms.w >= narrowFoot {
		part := k.Part
		part.SetHelp(".", "from the tap alone")
		order = append(order, part)
	}
	if asked && !boil && len(p.Then) > 0 && s.rooms.w >= narrowFoot {
		part := k.Part
		part.SetHelp(".", doneWords([]shed.Action{p.Act})+" only")
		order = append(order, part)
	}
	if kettle {
		order = append(order, onKettle)
	}
	if s.e.Live.Day.Running() && s.focus < 0 {
		order = append(order, k.Undo, k.Note, k.Far, k.End)
	} else if s.e.Live.Day.Running() {
		order = append(order, k.Reading, k.Cover, k.TopUp, k.Longer, k.Shorter, k.Undo, k.Helps, k.Hold, k.Note, k.Far, k.Curve, k.Skip, k.Repeat, k.End)
	} else {
		order = append(order, k.Note, k.Undo)
	}
	return base.FootItems(s.rooms.w, base.Without(append(order, k.Leave), s.idleKeys()), k.Help)
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
	drop(coach.CanUndo(d) == "", k.Undo)
	if tub < 0 || tub >= len(s.glances) {
		return out
	}
	refused := func(c session.Command) bool {
		_, err := session.Decide(d, c, s.e.Now)
		return err != nil
	}
	g, bath := s.glances[tub], d.Tubs[tub].Bath.Step
	water := g.HasTemp && g.Phase != shed.Draining
	drop(!water, k.Reading, k.Cover, k.TopUp)
	drop(!water || !bath.HasRelease(), k.Helps)
	drop(len(d.Plan.Kit.Trays) == 0, k.Tray)
	drop(refused(session.AdjustSoak{Tub: tub, ByMin: 5}), k.Longer)
	drop(refused(session.AdjustSoak{Tub: tub, ByMin: -5}), k.Shorter)
	drop(!g.Held && refused(session.Hold{Tub: tub}), k.Hold)
	drop(refused(session.SkipStep{Tub: tub}), k.Skip)
	drop(refused(session.RepeatStep{Tub: tub}), k.Repeat)
	drop(s.curveTub() < 0, k.Curve)
	return out
}

// doKey is Enter, with what it tells of now.
func (s *Screen) doKey() key.Binding {
	do := s.keys.Do
	p, asked := s.Prompt()
	boil, kettle := s.boilFirst()
	switch {
	case !s.e.Live.Day.Running():
		do.SetHelp("Enter", "look back")
	case kettle && boil.Rank != coach.Now && boil.DueAt.Sub(s.e.Now) > kettleNear:
		do.SetHelp("Enter", "not yet")
	case kettle:
		do.SetHelp("Enter", "kettle on")
	case asked:
		acts := append([]shed.Action{p.Act}, p.Then...)
		if s.rooms.w < narrowFoot { // the last of them
			acts = acts[len(acts)-1:]
		}
		do.SetHelp("Enter", doneWords(acts))
	}
	return do
}

// doneWords say of acts that they are done: "filled and in".
func doneWords(acts []shed.Action) string {
	words := map[shed.Action]string{
		shed.LoadNext: "begun", shed.FillTub: "filled", shed.SinkIn: "in", shed.Lift: "lifted", shed.DrainTub: "emptied",
		shed.SpinFibre: "spun", shed.RackFibre: "on the rack", shed.FinishDay: "finish", shed.Wait: "done",
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
