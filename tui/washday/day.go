package washday

import (
	"fmt"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
)

// Screen is the running day: what next, the lanes of all tubs, the curve.
type Screen struct {
	e     *base.Env
	keys  dayKeys
	rooms dayRooms
	far   bool // the view from the door
	large bool // the curve instead of the lanes

	// chosen is the tub the person picked, -1 to follow the most pressing.
	chosen     int
	lent       time.Time // not picked, but kept till then after a deed there; zero: picked
	deaf       time.Time // figures and Enter are not heard till then
	typingOn   bool      // while deaf: letters are not heard either
	ignored    string    // the letter that was not heard; pressed again it is
	held       int       // the tub of the digit that was not heard, from 1; 0: none
	digitAt    time.Time // the last digit: a second one makes a figure of it
	answered   time.Time // the last question, against a key that bounced
	said       string    // what the last key was answered, but for why not
	focus      int       // the tub the band speaks of, -1: the whole day
	focusAt    time.Time
	movedAt    time.Time // when the band went from movedFrom to focus by itself; zero: a hand chose
	movedFrom  string
	turned     offer // what the band said till it came to say another deed by itself
	turnedAt   time.Time
	kettleFor  time.Time // when the kettle's key came to mean another tub by itself
	actedAt    int       // the tub of it
	wasAt      time.Time // when the hand was there; zero: nowhere
	acting     time.Time // of the last deed of this hand, against double presses
	acted      string    // that deed: "North is lifted"
	kettleAt   time.Time // of the last that told of the kettle
	pending    pending
	tookBackAt time.Time // when a deed was taken back last
	stands     offer     // what the band says
	standsAt   time.Time // since then
	left       offer     // what it said before it changed by itself, with no deed told of since
	leftAt     time.Time
	keyAt      time.Time
	leaving    base.Twice // a rehearsal
	ask        *ask
	chart      drawn
	lanesDrawn []laneDrawn
	rest       drawn
	ran        bool            // the day, when it was last looked at
	glances    []coach.Glance  // of the last message, so that a frame asks once
	prompts    []coach.Prompt  // the hands' acts among those of next
	next       []coach.NextAct // in the order of the timetable
	glanceAt   time.Time
	kettle     kettleTold
	told       told
}

const settleFor = 950 * time.Millisecond // after the band moved by itself, Enter waits

// New is the screen of the running day.
func New(e *base.Env) base.Screen {
	s := &Screen{e: e, keys: newDayKeys(), chosen: -1, focus: -1}
	s.look(forPlan)
	s.ran = e.Live.Day.Running()
	return s
}

func (s *Screen) Init() tea.Cmd { return nil }

// Title is empty: the day has a head of its own.
func (s *Screen) Title() string { return "" }

func (s *Screen) Typing() bool { return s.ask != nil && s.ask.typing() }

func (s *Screen) SetSize(w, h int) {
	tubs, flat, say := len(s.e.Live.Day.Tubs), 0, len(s.underHead(w))
	for _, g := range s.glances {
		if flatLane(g) {
			flat++
		}
	}
	s.rooms = dayLayout(w, h, tubs, flat, say, 0)
	for _, called := range []bool{true, false} { // of many tubs their axis of time, of an alarm its letters
		if s.rooms = dayLayout(w, h, tubs, flat, say, s.leastBand(called)); s.rooms.axis || w < 60 || s.ringing() {
			break
		}
	}
	if s.large {
		s.rooms = s.rooms.curveOnly()
	}
	s.chart = s.drawnCurve()
	s.keepLanes()
}

func (s *Screen) Keys() []key.Binding { return s.keys.all() }

// forPlan is how long a hand waits for the plan of what it has changed, so that the
// band does not go to a tub and back; a tick never waits.
const forPlan = 100 * time.Millisecond

// look takes the day in at now: once for each message, whatever is drawn. It waits for
// the plan of it so long at most, and says whether that came.
func (s *Screen) look(within time.Duration) (planned bool) {
	d := s.e.Live.Day
	s.glances, s.glanceAt = coach.Glances(d, s.e.Now), s.e.Now
	planned = s.e.Live.Timetable(s.e.Now, within)
	s.next = coach.NextOf(d, s.e.Now, s.e.Live.Plan, s.glances)
	s.prompts = s.prompts[:0]
	for _, a := range s.next {
		if !a.Boil {
			s.prompts = append(s.prompts, a.Prompt)
		}
	}
	s.refocus()
	s.kettle = s.canTellKettle()
	s.watchBand()
	if s.outlived() {
		if s.leftAt.Before(s.pending.from) { // whoever was asked has looked: what stands is what their next press is for
			s.left = offer{}
		}
		s.withdraw()
	}
	if s.rooms.w > 0 { // what is said has another length
		s.SetSize(s.rooms.w, s.rooms.h)
	}
	s.told = s.tell()
	return planned
}

// refocus decides which tub the band speaks of: the one a question is open for,
// else the one chosen by hand, which nothing but the hand lets go; else the first of
// the list.
func (s *Screen) refocus() {
	if s.ask != nil {
		return
	}
	if s.chosen >= len(s.glances) || !s.lent.IsZero() && !s.e.Now.Before(s.lent) {
		s.chosen, s.lent = -1, time.Time{}
	}
	to := -1
	if s.chosen >= 0 {
		to = s.chosen
	} else if len(s.prompts) > 0 {
		first := s.prompts[max(0, slices.IndexFunc(s.prompts, func(p coach.Prompt) bool { return p.Rank != coach.Resting }))] // what is set aside does not lead
		if to = first.Tub; first.Rank > coach.Now && s.next[0].Boil && s.next[0].Rank == coach.Now {
			to = s.next[0].Tub // nothing to do but to put the kettle on
		}
	}
	if to != s.focus {
		if s.movedAt = (time.Time{}); s.focus >= 0 && s.focus < len(s.glances) {
			s.movedAt, s.movedFrom = s.e.Now, s.glances[s.focus].Name
		}
		if s.focus, s.focusAt = to, s.e.Now; s.pending.key != "o" { // the kettle is at no tub
			s.withdraw()
		}
	}
}

// Prompt is what the band says.
func (s *Screen) Prompt() (coach.Prompt, bool) {
	for _, p := range s.prompts {
		if p.Tub == s.focus {
			return p, true
		}
	}
	if s.focus >= 0 && s.focus < len(s.glances) {
		return s.glances[s.focus].Prompt, true
	}
	return coach.Prompt{}, false
}

func (s *Screen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	var cmd tea.Cmd
	within := time.Duration(0)
	switch msg := msg.(type) {
	case tea.KeyMsg:
		within = forPlan
		if s.ask != nil || !key.Matches(msg, s.keys.leave) {
			s.leaving = base.Twice{}
		}
		if s.ask != nil {
			cmd = s.askKey(msg)
		} else {
			cmd = s.question(msg)
		}
		// An alarm is heard without a look at the band, unless it is the band's own.
		read := !key.Matches(msg, s.keys.hear) || s.focus >= 0 && s.focus < len(s.glances) && s.rings(s.focus)
		if read && s.pending.cmd == nil {
			if s.stands, s.keyAt = (offer{}), s.e.Now; s.e.Now.Sub(s.leftAt) > measure.Lasting(session.MostHandsMin) { // nobody is at that any more
				s.left = offer{}
			}
		}
	case tea.MouseMsg:
		within = forPlan
		if cmd = s.mouse(msg); msg.Action == tea.MouseActionPress && s.pending.cmd == nil {
			s.stands, s.keyAt = offer{}, s.e.Now
		}
	}
	if _, tick := msg.(base.TickMsg); !tick && s.e.Say != "" && !s.e.Bad && s.pending.cmd == nil {
		s.said = s.e.Say
	}
	if ran := s.ran; ran != s.e.Live.Day.Running() {
		if s.ran = !ran; ran && !s.e.Live.Day.EndedAt.IsZero() { // whoever ended it; one that was dropped is no more
			cmd = tea.Sequence(cmd, s.lookBack())
		}
	}
	touched, told := s.stands.title == "", s.kettle
	if !s.look(within) && touched { // nobody can read what the plan changes a moment later
		s.stands = offer{}
	}
	if !touched && told.ok && told.c.Tub != s.kettle.c.Tub {
		s.kettleFor = s.e.Now
	}
	return s, cmd
}

// key does what a key says.
func (s *Screen) key(msg tea.KeyMsg) tea.Cmd {
	e, k := s.e, s.keys
	if msg.Paste { // pasted text is no key
		return nil
	}
	n, digit := base.TubDigit(msg.String())
	switch {
	case digit:
		s.choose(n)
	case key.Matches(msg, k.far):
		s.far = !s.far
	case key.Matches(msg, k.curve):
		s.large = !s.large
		s.SetSize(s.rooms.w, s.rooms.h)
		switch {
		case s.large && s.rooms.curve.Height == 0:
			s.large = false
			e.Refuse(fmt.Errorf("the window is too short for the curve: make it taller"))
		case s.large && s.curveTub() < 0:
			e.Note("no bath to draw yet; v shows the tubs again")
		}
	case key.Matches(msg, k.change) && e.Live.Day.Running():
		s.askChange(s.focus)
	case key.Matches(msg, k.alarms):
		return base.Push(gear.NewAlarmList(e))
	case key.Matches(msg, k.off) && e.AwayGuess != nil:
		return base.Push(form.AskAway(e, e.AwayGuess.Seen, nil, e.SayAway))
	case key.Matches(msg, k.prove):
		return base.Push(gear.NewSoundCheck(e))
	case key.Matches(msg, k.help):
		return base.Push(base.NewHelp(e, s.Keys()))
	case key.Matches(msg, k.leave):
		return s.leave()
	case key.Matches(msg, k.up):
		s.step(-1)
	case key.Matches(msg, k.down):
		s.step(1)
	case !e.Live.Day.Running():
		if key.Matches(msg, k.do) {
			return s.lookBack()
		}
		if key.Matches(msg, k.undo) {
			s.run(session.Undo{}, "undone: "+coach.CanUndo(e.Live.Day))
		}
		if key.Matches(msg, k.note) {
			s.askNote(-1)
		}
	case key.Matches(msg, k.do):
		s.doNext(true)
	case key.Matches(msg, k.part):
		s.doNext(false)
	case key.Matches(msg, k.hear):
		if e.Keeper.HearUnsaved() && len(e.Live.Day.Alarms) == 0 {
			e.Warn("heard; still NOT SAVED")
			return nil
		}
		e.Hear()
	case key.Matches(msg, k.undo):
		s.undo()
	case key.Matches(msg, k.kettle):
		s.tellKettle(s.canTellKettle())
	case key.Matches(msg, k.away):
		s.askBreak()
	case key.Matches(msg, k.end):
		return s.end()
	default:
		return s.tubKey(msg)
	}
	return nil
}

// tubKey does what a key says to the tub in focus.
func (s *Screen) tubKey(msg tea.KeyMsg) tea.Cmd {
	k, tub := s.keys, s.focus
	if tub < 0 {
		if key.Matches(msg, k.note) {
			s.askNote(-1)
		}
		return nil
	}
	if key.Matches(msg, k.note) { // touches no tub: never refused, or its text would be keys
		s.askNote(tub)
		return nil
	}
	if s.unsettled() {
		return nil
	}
	tub, sure, ok := s.whose(msg)
	if !ok {
		return nil
	}
	name := s.glances[tub].Name
	by := 5.0
	if t := s.e.Live.Day.Tubs[tub]; t.Bath.SoakMin > 120 {
		by = 30
	}
	switch {
	case key.Matches(msg, k.reading):
		s.askReading(tub)
	case key.Matches(msg, k.cover):
		s.askCover(tub)
	case key.Matches(msg, k.topUp):
		s.askTopUp(tub)
	case key.Matches(msg, k.tray):
		return s.askTray(tub)
	case key.Matches(msg, k.spun) && s.e.Live.Day.BetweenBaths(tub):
		s.askSoaked(tub)
	case key.Matches(msg, k.spun):
		s.askSpun(tub)
	case key.Matches(msg, k.helps):
		s.showHelp(tub)
	case key.Matches(msg, k.longer):
		s.atOnce("+", tub, session.AdjustSoak{Tub: tub, ByMin: by}, fmt.Sprintf("soak %g minutes longer", by), sure)
	case key.Matches(msg, k.shorter):
		s.atOnce("-", tub, session.AdjustSoak{Tub: tub, ByMin: -by}, fmt.Sprintf("soak %g minutes shorter", by), sure)
	case key.Matches(msg, k.hold) && s.glances[tub].Held:
		s.atOnce("h", tub, session.Resume{Tub: tub}, "resumed", sure)
	case key.Matches(msg, k.hold):
		s.atOnce("h", tub, session.Hold{Tub: tub}, "on hold"+s.coolsOn(tub), sure)
	case key.Matches(msg, k.skip):
		s.askSkip(tub, name)
	case key.Matches(msg, k.repeat):
		s.askRepeat(tub, name)
	}
	return nil
}

// leave goes back to home, where the day goes on; a rehearsal ends, at the second
// press.
func (s *Screen) leave() tea.Cmd {
	switch {
	case s.far:
		s.far = false
		return nil
	case s.large:
		s.large = false
		s.SetSize(s.rooms.w, s.rooms.h)
		return nil
	case s.chosen >= 0:
		s.e.Note("back to what comes next")
		s.chosen = -1
		return nil
	}
	if s.e.Rehearsal != nil {
		return s.leaving.Out(s.e)
	}
	return base.Pop()
}

// doNext does the obvious action of the tub in focus, with all that one press
// tells of, or only the first part of it.
func (s *Screen) doNext(all bool) {
	p, ok := s.Prompt()
	if !ok {
		return
	}
	if s.pending.cmd == nil && !s.justMoved() && (p.Tub < 0 || s.changedQuestion(p, all) == "") && s.unsettled() { // who is asked need not be refused
		return
	}
	finish := p.Act == shed.FinishDay || all && s.e.Live.Day.AllRacked() // nothing else is left, at whatever tub
	if p.Act == shed.Wait && !finish {
		s.e.Refuse(fmt.Errorf("nothing to do here yet"))
		return
	}
	if finish {
		s.again("enter", session.EndDay{}, "all on the rack. Enter again to finish the day", "the day is finished: weigh each batch once it's dry")
		return
	}
	if s.e.Now.Sub(s.acting) < s.e.Real(settleFor/2) {
		s.e.Refuse(s.twice())
		return
	}
	if boil, ok := s.boilFirst(); ok && all { // what the band says first
		if in := boil.DueAt.Sub(s.e.Now); boil.Rank != coach.Now && in > kettleNear {
			s.e.Refuse(fmt.Errorf("nothing to do yet, the kettle goes on in %s. For %s press %d first", draw.MinText(in.Minutes()), s.glances[p.Tub].Name, (p.Tub+1)%10))
			return
		}
		told := s.canTellKettle()
		question := s.changedQuestion(p, true)
		last := s.acting
		if s.answered.After(last) {
			last = s.answered
		}
		if question == "" && s.e.Now.Sub(last) < s.e.Real(oneTooMany) {
			question = "the kettle comes next. If it's on, press Enter again"
		}
		if told.c.Sure = true; s.confirmed("enter", told.c, question) {
			s.kettleFor = time.Time{} // Enter has asked
			s.tellKettle(told)
		}
		return
	}
	tapOnly := p.Act == shed.FillTub && p.Kettle != coach.KettleReady
	if !all && !tapOnly {
		if len(p.Then) == 0 {
			s.e.Refuse(fmt.Errorf("just one thing to do here: press Enter when it's done"))
			return
		}
		p.Then = nil
	}
	cmd := session.DoNext{Tub: p.Tub, Act: p.Act, Batch: p.Batch, Sooner: true, TapOnly: tapOnly && !all}
	name := s.glances[p.Tub].Name
	question := ""
	switch {
	case tapOnly && all:
		question = p.Doubt + ". Enter again if its water is in; . if filled " + s.tapQuestion(p.Tub)
	case tapOnly && !s.offeredTap(p.Tub):
		question = p.Doubt + ". Press . again if filled " + s.tapQuestion(p.Tub)
	case tapOnly:
	case p.Stopped(): // with what it asks for it may be warmer; a kettle that is on for another is not poured
		cmd.TapOnly = !s.hasBoiled(p.Tub)
		question = p.Doubt + ". If you filled it anyway, press Enter again, then r for a reading"
	case p.Doubt != "":
		question = p.Doubt + ". Enter again to go ahead"
	case !all && s.e.Now.Sub(s.digitAt) < s.e.Real(oneFigure): // it may be a figure's
		question = fmt.Sprintf("%s: %s only? Press . again", name, doneWords([]shed.Action{p.Act}))
	}
	if p.Act == shed.Lift && p.DueAt.Sub(s.e.Now) >= time.Minute && p.Rank == coach.Coming {
		question = fmt.Sprintf("%s has %s left. Enter again to lift it now", name, draw.MinText(p.DueAt.Sub(s.e.Now).Minutes()))
	}
	done := s.doneText(name, p)
	if question == "" {
		question = s.changedQuestion(p, all)
	}
	if question == "" && p.Act == shed.DrainTub && s.actedAt == p.Tub && s.e.Now.Sub(s.acting) < s.e.Real(movedFor) { // nobody empties a tub so soon after a lift
		question = fmt.Sprintf("%s. Enter again if %s too", s.acted, doneWords(append([]shed.Action{p.Act}, p.Then...)))
	}
	if p.Act == shed.RackFibre || slices.Contains(p.Then, shed.RackFibre) {
		d := s.e.Live.Day
		b, _ := d.Batch(d.Tubs[p.Tub].Batch)
		done = s.rackedText(p.Tub, d.WouldLie(b))
	}
	if _, err := session.Decide(s.e.Live.Day, cmd, s.e.Now); err != nil { // not asked about what would be refused
		s.e.Refuse(err)
		return
	}
	if !s.confirmed(map[bool]string{true: "enter", false: "."}[all], cmd, question) {
		return
	}
	if err := s.e.Live.DoTogether(cmd, p.Then, s.e.Now); err != nil {
		s.e.Refuse(err)
		return
	}
	s.e.Tell("%s", done)
	s.wasAt = s.e.Now
	s.acting, s.actedAt, s.acted = s.e.Now, p.Tub, name+" is "+doneWords(append([]shed.Action{p.Act}, p.Then...))
	s.chosen, s.left = -1, offer{} // done there: on to what is most pressing
}
