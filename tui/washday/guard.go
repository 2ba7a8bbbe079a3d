package washday

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// pending is a deed that wants the same key again.
type pending struct {
	key    string
	cmd    session.Command
	from   time.Time // earlier, the question has not been read
	until  time.Time
	said   string    // the question
	deedAt time.Time // of the last deed when it was asked
}

// deafFor is how long figures and Enter are not heard after a key that should
// have opened a question and did not, and after each figure of the answer. Not
// longer: who reads why and acts on it must be heard.
const deafFor = 2 * time.Second

// oneFigure is how soon a second digit comes that makes a figure with the first.
const oneFigure = time.Second

// afterAnswer is how long an Enter may be one too many for the question before.
const afterAnswer = time.Second

// oneTooMany is how long after a deed or an answer an Enter may be one too many for it. It is asked
// about where it would tell of the kettle, for which the person has gone to no tub.
const oneTooMany = 3 * time.Second

func (s *Screen) deafen() { s.deaf = s.e.Now.Add(s.e.Real(deafFor)) }

// question gives a key to the tubs. One that asks for something, and has opened no
// question, whatever was against it, makes deaf to the answer: what is typed to
// a question nobody asked is no choice and no deed.
func (s *Screen) question(msg tea.KeyMsg) tea.Cmd {
	k := s.keys
	if s.unheard(msg) {
		return nil
	}
	cmd := s.key(msg)
	answered := key.Matches(msg, k.reading, k.cover, k.topUp, k.note, k.tray, k.spun)
	if !answered && !key.Matches(msg, k.helps) {
		return cmd
	}
	if s.deaf = (time.Time{}); s.ask != nil || cmd != nil {
		return cmd
	}
	if answered {
		s.deafen()
		s.typingOn = key.Matches(msg, k.note)
	}
	if s.e.Say == "" {
		err := fmt.Errorf("nothing to enter here")
		if d := &s.e.Live.Day; s.focus >= 0 && s.focus < len(d.Tubs) && key.Matches(msg, k.reading, k.cover, k.topUp) {
			err = d.HasBath(s.focus)
		}
		s.e.Refuse(err)
	}
	return nil
}

// unheard says that a key was meant for a question that was refused, or comes too
// soon after the answer. Behind a figure a letter is part of the answer, a unit or
// a word, unless it is pressed again or can be no unit; Esc is heard, and ends it. Space always
// silences.
func (s *Screen) unheard(msg tea.KeyMsg) bool {
	now, name := s.e.Now, msg.String()
	within := func(since time.Time, d time.Duration) bool { return now.Sub(since) < s.e.Real(d) }
	k, enter, last := s.keys, key.Matches(msg, s.keys.do), s.ignored
	if held := s.held; held > 0 { // no unit begins with r: it was a tub, and its key
		s.held = 0
		there, ofDay := held <= len(s.glances), key.Matches(msg, k.change, k.undo, k.end, k.curve, k.away, k.help)
		if ofTub := key.Matches(msg, k.reading, k.repeat, k.hold, k.skip, k.tray, k.helps, k.longer, k.shorter, k.note) || s.pending.cmd != nil && name == s.pending.key && !enter; within(s.digitAt, deafFor) && (ofDay || ofTub && there) {
			if s.deaf = (time.Time{}); there {
				s.choose(held - 1)
			}
			return false
		}
	}
	figure := len(msg.Runes) == 1 && strings.ContainsRune("0123456789.,/", msg.Runes[0])
	if s.pending.cmd != nil && name == s.pending.key { // the answer to what stands there
		figure = false
	}
	s.ignored = ""
	if enter && within(s.answered, afterAnswer) {
		s.e.Refuse(fmt.Errorf("%s; that Enter came too soon", s.said))
		return true
	}
	if figure && within(s.answered, settleFor/2) {
		return true
	}
	second := figure && within(s.digitAt, oneFigure)
	if name == "." && !now.Before(s.deaf) { // behind a digit it asks: "2 .", or "2.5"
		return false
	}
	if figure {
		s.digitAt = now
	}
	if !second && !now.Before(s.deaf) {
		return false
	}
	switch {
	case msg.Type == tea.KeyEsc:
		s.deaf = time.Time{}
		return true
	case name == " ":
		if s.typingOn { // between a figure and its unit
			s.deafen()
		}
		return false
	case figure, s.typingOn && (enter || draw.IsText(msg)):
		if name == last && !figure {
			return enter
		}
		if n, digit := base.TubDigit(name); digit && !second && n < len(s.glances) {
			s.held = n + 1
		}
		s.typingOn, s.ignored = true, name
		s.deafen()
	case !enter:
		return false
	}
	s.e.Refuse(fmt.Errorf("key ignored, it looked like part of a number. Wait a moment, then press again"))
	return true
}

// oldDeed is the age from which taking a deed back is asked about.
const oldDeed = 5 * time.Minute

// undo takes the last deed back; one that is not of just now is asked about, and one from
// before the last that was taken back: the key is pressed twice by habit.
func (s *Screen) undo() {
	d := s.e.Live.Day
	if coach.CanUndo(d) == "" && d.MayDrop() && s.e.Rehearsal == nil {
		s.e.Refuse(fmt.Errorf("nothing to undo; nothing has gone in, so e discards the day"))
		return
	}
	question := ""
	if age := s.e.Now.Sub(d.UndoneAt()); coach.CanUndo(d) != "" && (age > oldDeed || d.UndoneAt().Before(s.tookBackAt)) {
		question = fmt.Sprintf("undo %s, %s ago? Press u again", coach.CanUndo(d), draw.MinText(age.Minutes()))
	}
	stays, told := []shed.Action(nil), d.Told() // stays is of the same press
	for _, r := range told[:max(0, len(told)-1)] {
		if act, _ := session.ActOf(r.Event); act != shed.Wait && r.At.Equal(told[len(told)-1].At) {
			stays = append(stays, act)
		}
	}
	done := "undone: " + coach.CanUndo(d)
	if len(stays) > 0 {
		done += "; it stays " + doneWords(stays)
	}
	if s.again("u", session.Undo{}, question, done) {
		s.tookBackAt, s.wasAt = s.e.Now, time.Time{} // the hand is nowhere
	}
}

func (s *Screen) endQuestion() string {
	if left := base.AtTheEnd(s.e.Live.Day); left != "" {
		return "end the day early? " + left + ". Press e again"
	}
	return "finish the day? Press e again"
}

// stay keeps the band at a tub for a moment after a deed that moves others up,
// so that the same key again takes it back there and not elsewhere.
func (s *Screen) stay(tub int) {
	if s.chosen < 0 || !s.lent.IsZero() {
		s.chosen, s.lent = tub, s.e.Now.Add(s.e.Real(base.AgainWithin))
	}
}

// atOnce does what a key says at a tub, unless the band has only just gone there by itself:
// then it asks, unless the person is sure. The same key again is for the same tub.
func (s *Screen) atOnce(k string, tub int, cmd session.Command, done string, sure bool) {
	name := s.glances[tub].Name
	question := s.movedQuestion(k, name, done)
	if sure {
		question = ""
	}
	if s.again(k, cmd, question, name+": "+done) {
		s.stay(tub)
	}
}

// stillThere is how long after a deed the hand may be at its tub: long enough to lay the lid on
// and to read a thermometer.
const stillThere = time.Minute

// whose is the tub that a key means. Where the band has gone on by itself from the tub of the last
// deed, and that tub can take the key, it is that one if the band's cannot; if both can
// it asks, and the same key again is for the band's: then it is sure.
func (s *Screen) whose(msg tea.KeyMsg) (tub int, sure, ok bool) {
	was, is, k := s.actedAt, s.focus, msg.String()
	switch {
	case s.chosen >= 0, was == is, was >= len(s.glances), s.wasAt.IsZero(), s.e.Now.Sub(s.wasAt) >= s.e.Real(stillThere), !s.takes(msg, was):
		return is, false, true
	case !s.takes(msg, is):
		s.stay(was)
		s.focus = was
		return was, true, true
	}
	question := fmt.Sprintf("%s. %s again for %s, %d %[2]s for %[5]s", s.acted, k, s.glances[is].Name, (was+1)%10, s.glances[was].Name)
	ok = s.confirmed(k, session.TakeReading{Tub: is}, question)
	return is, ok, ok
}

// takes says that a key would do something at a tub.
func (s *Screen) takes(msg tea.KeyMsg, tub int) bool {
	d, k := s.e.Live.Day, s.keys
	would := func(c session.Command) bool {
		_, err := session.Decide(d, c, s.e.Now)
		return err == nil
	}
	switch {
	case key.Matches(msg, k.reading, k.cover, k.topUp):
		return d.HasBath(tub) == nil
	case key.Matches(msg, k.helps):
		_, err := coach.HelpAt(d, tub, s.e.Now)
		return err == nil
	case key.Matches(msg, k.longer):
		return would(session.AdjustSoak{Tub: tub, ByMin: 5})
	case key.Matches(msg, k.shorter):
		return would(session.AdjustSoak{Tub: tub, ByMin: -5})
	case key.Matches(msg, k.hold):
		return would(session.Hold{Tub: tub}) || s.glances[tub].Held
	case key.Matches(msg, k.spun) && d.BetweenBaths(tub):
		return true
	case key.Matches(msg, k.spun, k.tray):
		_, ok := s.beforeRack(tub)
		return ok
	}
	return false // asked about by name, or of the whole day
}

// again runs a command at once if question is empty or the same key was
// pressed a moment ago for the same deed; else it asks the question.
func (s *Screen) again(k string, cmd session.Command, question, done string) bool {
	if _, err := session.Decide(s.e.Live.Day, cmd, s.e.Now); err != nil { // not asked about what would be refused
		s.e.Refuse(err)
		return false
	}
	return s.confirmed(k, cmd, question) && s.run(cmd, done)
}

// confirmed says whether a deed needs no question or was asked about a moment ago;
// else it asks.
func (s *Screen) confirmed(k string, cmd session.Command, question string) bool {
	asked := s.asked(k, cmd)
	s.withdraw()
	if question != "" && !asked {
		s.e.Question("%s", question)
		from := s.e.Now.Add(s.e.Real(base.ReadFirst))
		if settled := s.focusAt.Add(s.e.Real(settleFor)); settled.After(from) {
			from = settled
		}
		until := s.e.SayUntil
		if _, end := cmd.(session.EndDay); end && k == "enter" { // the band goes on asking
			until = until.Add(oldDeed)
		}
		s.pending = pending{k, cmd, from, until, s.e.Say, s.e.Live.Day.UndoneAt()}
		return false
	}
	return true
}

// withdraw takes a question back, and its sentence with it.
func (s *Screen) withdraw() {
	if s.pending.cmd != nil && s.e.Say == s.pending.said {
		s.e.Say = ""
	}
	s.pending = pending{}
}

// outlived says that nobody waits for the answer any more: it has lapsed, or
// something has been done meanwhile, by whomever.
func (s *Screen) outlived() bool {
	return s.pending.cmd != nil && (!s.e.Now.Before(s.pending.until) || !s.pending.deedAt.Equal(s.e.Live.Day.UndoneAt()))
}

// asked says that this very deed, at this tub, was asked about just now with
// the same key.
func (s *Screen) asked(k string, cmd session.Command) bool {
	p := s.pending
	return p.key == k && !s.e.Now.Before(p.from) && s.e.Now.Before(p.until) && reflect.DeepEqual(p.cmd, cmd)
}

// An offer is what an Enter would tell of.
type offer struct {
	tub   int
	act   shed.Action
	batch string // the one to begin with
	then  string // the acts behind it
	title string
	now   bool // hands can do it now, so somebody may be at it
	boil  bool // it is the kettle that goes on
}

// offered is the offer that stands in the band: the kettle's, or a tub's.
func (s *Screen) offered(p coach.Prompt) offer {
	if boil, ok := s.boilFirst(); ok {
		return offer{boil.Tub, shed.Wait, boil.Batch, "", s.boilOrder(boil), boil.Rank == coach.Now, true}
	}
	o := offerOf(p)
	// Who reads that a lift is due in a moment goes there.
	o.now = o.now || p.Act == shed.Lift && p.Rank == coach.Coming && !p.Held && p.DueAt.Sub(s.e.Now) < measure.Lasting(s.e.Live.Day.Plan.HandsMin()[shed.Lift])
	return o
}

func offerOf(p coach.Prompt) offer {
	doable := p.Rank <= coach.Now && !p.Held && p.Act != shed.Wait && p.Act != shed.FinishDay
	return offer{p.Tub, p.Act, p.Batch, fmt.Sprint(p.Then), p.Title, doable, false}
}

func (o offer) same(as offer) bool {
	return o.tub == as.tub && o.act == as.act && o.batch == as.batch && o.then == as.then && o.boil == as.boil
}

// watchBand notes what the band said when it changes by itself. Whoever was told to
// empty a tub does so, comes back minutes later and presses Enter, whatever the band
// has come to say meanwhile, and whatever else they silence or tell of first.
func (s *Screen) watchBand() {
	p, ok := s.Prompt()
	is := s.offered(p)
	if !ok {
		is, s.left = offer{tub: -1, title: "nothing"}, offer{}
	}
	switch {
	case s.stands.title == "": // a hand was at the keys, and saw it
		s.stands, s.standsAt = is, s.e.Now
	case is.same(s.stands):
		s.stands = is
	default:
		s.turnedAt = s.e.Now
		read := s.e.Now.Sub(s.standsAt) >= s.e.Real(settleFor) // else no hand went for it
		if read {
			s.turned = s.stands
		}
		if s.stands.now {
			s.focusAt = s.e.Now // Enter means more or less than a moment ago
		}
		if read && s.stands.now {
			s.left, s.leftAt = s.stands, s.e.Now
		} else if is.same(s.left) {
			s.left = offer{}
		}
		s.stands, s.standsAt = is, s.e.Now
	}
	if o := s.left; o.title != "" && !s.stillToDo(o) {
		s.left = offer{}
	}
}

// stillToDo says that an offer could still be what a hand has just done.
func (s *Screen) stillToDo(o offer) bool {
	d := s.e.Live.Day
	if o.tub < 0 || o.tub >= len(s.glances) {
		return false
	}
	if o.boil {
		_, on := d.KettleOn()
		return !on
	}
	return d.NextAction(o.tub) == o.act
}

// changedQuestion asks about a deed that the band did not say when a hand last told of
// one; "" where it did.
func (s *Screen) changedQuestion(p coach.Prompt, all bool) string {
	was, is := s.left, offerOf(p)
	turned := s.e.Now.Sub(s.turnedAt) < s.e.Real(movedFor)
	if turned {
		was = s.turned
	}
	if all {
		is = s.offered(p)
	}
	k, title, acts := "Enter", is.title, append([]shed.Action{p.Act}, p.Then...)
	if !all {
		k, title, acts = ".", doneWords(acts[:1]), acts[:1]
	}
	here := s.glances[is.tub].Name
	if x := s.aloud(); x != s && s.keyAt.Before(s.glances[x.focus].Alarm.RungAt) { // the large letters are that one's
		return fmt.Sprintf("%s has an alarm, %d goes there. %s again if %s is %s", s.glances[x.focus].Name, (x.focus+1)%10, k, here, doneWords(acts))
	}
	grown := was.title != "" && was.tub == is.tub && was.act == is.act && was.batch == is.batch
	switch {
	case !is.boil && s.justMoved():
		return s.movedQuestion(k, here, title)
	case !is.boil && s.chosen < 0 && s.kettleAt.Add(s.e.Real(movedFor)).After(s.e.Now):
		return fmt.Sprintf("kettle noted. %s again if %s is %s", k, here, doneWords(acts))
	case !turned && s.digitAt.After(s.focusAt) && s.e.Now.Sub(s.digitAt) > s.e.Real(oneFigure), !turned && was.title == "", was.same(is),
		grown && (!all || len(p.Then) == 0): // the first of what was said, or all that was
		return ""
	case turned && is.boil:
		return "the screen has just changed. Enter again if the kettle is on"
	case turned:
		return fmt.Sprintf("the screen has just changed. %s again if %s is %s", k, here, doneWords(acts))
	case was.boil && !is.boil:
		return fmt.Sprintf("the screen said %s. %s again for %s, %s; o for the kettle", was.title, k, here, title)
	case was.tub != is.tub && !is.boil:
		return fmt.Sprintf("the screen has moved from %s to %s. %s again for %[2]s, %[4]s; %[5]d for %[1]s", s.glances[was.tub].Name, here, k, title, (was.tub+1)%10)
	case was.tub != is.tub || is.boil:
		return fmt.Sprintf("the screen said %s, %s. %s again if the kettle is on; %d for %[1]s", s.glances[was.tub].Name, was.title, k, (was.tub+1)%10)
	case grown && len(p.Then) > 0:
		return fmt.Sprintf("the screen said only %s. Enter again for %s, . for just the first", was.title, title)
	}
	return fmt.Sprintf("the screen said %s. %s again for %s", was.title, k, title)
}

// movedFor is how long after the band has gone to another tub or deed by itself a key may still be
// meant for the one before: a habit's second press, or a look that came late.
const movedFor = 2500 * time.Millisecond

func (s *Screen) justMoved() bool { return s.e.Now.Sub(s.movedAt) < s.e.Real(movedFor) }

// movedQuestion asks whether a key is for the tub that the band has just gone to; "" where it
// has not.
func (s *Screen) movedQuestion(k, here, does string) string {
	if !s.justMoved() {
		return ""
	}
	why := fmt.Sprintf("the screen has moved from %s to %s", s.movedFrom, here)
	if s.movedAt.Sub(s.acting) < s.e.Real(settleFor) {
		why = s.acted
	}
	return fmt.Sprintf("%s. %s again for %s, %s", why, k, here, does)
}

// unsettled says that the band has just gone to another tub by itself, and that
// a key pressed now may have been meant for the one before.
func (s *Screen) unsettled() bool {
	if s.e.Now.Sub(s.focusAt) >= s.e.Real(settleFor) {
		return false
	}
	s.e.Refuse(fmt.Errorf("the screen has just changed: look, then press again"))
	return true
}

// tapWords are what a tub is filled with that does not wait for its kettle.
func (s *Screen) tapWords(tub int) string {
	if s.e.Live.Day.HasBoiledL(tub, s.e.Now) > 0 {
		return "with what has boiled"
	}
	return "from the tap alone"
}

// tapQuestion is tapWords, with what speaks against it.
func (s *Screen) tapQuestion(tub int) string {
	d := &s.e.Live.Day
	if cool := coach.CoolStart(d.Plan.Kit.Units, d.Tubs[tub].Step(), d.FillFromTap(tub, s.e.Now)); cool != "" {
		return s.tapWords(tub) + ", to begin at " + cool
	}
	return s.tapWords(tub)
}

// offeredTap says that the question that stands has offered to fill from the tap alone.
func (s *Screen) offeredTap(tub int) bool {
	c, ok := s.pending.cmd.(session.DoNext)
	return ok && c.Act == shed.FillTub && c.Tub == tub && !s.e.Now.Before(s.pending.from) && s.e.Now.Before(s.pending.until)
}

// hasBoiled says that kettle water for the bath of a tub has boiled and waits.
func (s *Screen) hasBoiled(tub int) bool {
	d := s.e.Live.Day
	k, on := d.KettleOn()
	return on && k.IsFor(&d.Tubs[tub]) && !k.BoiledAt.IsZero()
}

// run carries a command out and says so, or says why not.
func (s *Screen) run(cmd session.Command, done string) bool {
	if err := s.e.Live.Do(cmd, s.e.Now); err != nil {
		s.e.Refuse(err)
		return false
	}
	if done != "" {
		s.e.Tell("%s", done)
	}
	return true
}
