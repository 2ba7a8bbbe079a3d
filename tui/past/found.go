package past

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// foundScreen takes how racked batches came out, of a day or of a fleece, a key for each finding.
type foundScreen struct {
	base.Frame
	grid    base.Grid
	batches []foundBatch
	several bool // days
	was     *lived
	wasOf   *base.Live // the day that was is of
	// deaf is until when it takes nothing: a screen that comes by itself is seen first.
	deaf time.Time
}

// foundKeys are a letter for each finding, in their order: none that weighs or moves a batch, on the screens
// from which this one comes by itself.
const foundKeys = "cxtfsolabze"

// found is that of the i-th letter.
func found(i int) session.Found { return session.Found(1) << i }

// foundBatch is a batch with its day.
type foundBatch struct {
	_  [0]func() // nobody compares two: no code for it
	id string
	l  *base.Live
}

var (
	keyFound = base.Bind("h", "how it came out") // opens the screen
	keyWords = base.Bind("n", "in words")
	keyAgain = base.Bind("w", "rewash")
	keyPlace = base.Bind("p", "its place")
	keyUsed  = base.Bind("g", "part used or sold")
	keyLay   = base.Bind("r", "lay on the rack")
)

// seenAfter is how long a screen that comes by itself takes nothing.
const seenAfter = time.Second

// askFound opens it for days, or for those of their batches that are of a fleece, at a batch or the first.
func askFound(e *base.Env, days []*base.Live, fleece string, at shed.Earlier) tea.Cmd {
	s, err := newFound(e, days, fleece, at)
	if err != nil {
		e.Refuse(err)
		return nil
	}
	return base.Push(s)
}

// withDays goes on with days of the record, ready to be gone on with.
func withDays(from base.Screen, e *base.Env, ids []shed.DayID, then func([]*base.Live) tea.Cmd) tea.Cmd {
	j, live := e.Journal, e.Live
	days := make([]*base.Live, len(ids))
	if ids[0] == live.ID && len(ids) == 1 {
		days[0] = live
		return then(days)
	}
	return base.LeadSaved(from, e, func() (none struct{}, err error) {
		for i, id := range ids {
			if days[i] = live; id != live.ID && err == nil {
				days[i] = &base.Live{Keeper: live.Keeper, ID: id}
				days[i].Day, err = j.Day(id)
			}
		}
		return none, err
	}, func(_ struct{}, err error) tea.Cmd {
		if err != nil {
			e.Refuse(fmt.Errorf("the day couldn't be read: %w", err))
			return nil
		}
		return then(days)
	})
}

// afterBagging asks how a batch came out that has just got its dry weight, where nobody
// has said so yet.
func afterBagging(e *base.Env, l *base.Live, batch string) tea.Cmd {
	s, err := newFound(e, []*base.Live{l}, "", shed.Earlier{Day: l.ID, Batch: batch})
	if err != nil || l.Day.Fate[batch].Out != (session.Outcome{}) {
		return base.Pop()
	}
	s.deaf = e.Now.Add(e.Real(seenAfter))
	return base.Replace(s)
}

func newFound(e *base.Env, days []*base.Live, fleece string, first shed.Earlier) (*foundScreen, error) {
	s := &foundScreen{}
	keys := []key.Binding{keyLay}
	for i := range foundKeys {
		keys = append(keys, base.Bind(foundKeys[i:i+1], found(i).String()))
	}
	s.Frame = base.Frame{E: e, Own: append(keys, keyWords, keyPlace, keyUsed, keyAgain, base.KeyBack, base.KeyHelp, base.KeyMove), Idle: func() []string {
		idle := s.grid.Idle()
		if s.chosen().l.Day.Fate[s.chosen().id].DryG <= 0 {
			idle = append(idle, "g")
		}
		if !s.wet() {
			return append(idle, "r")
		}
		for i := range foundKeys {
			if found(i) != session.ThrownAway {
				idle = append(idle, foundKeys[i:i+1])
			}
		}
		return idle
	}}
	at := 0
	for _, l := range days {
		for _, b := range l.Day.Plan.Batches {
			if !l.Day.CameOut(b.ID) || fleece != "" && b.FleeceID != fleece {
				continue
			}
			if s.batches = append(s.batches, foundBatch{id: b.ID, l: l}); first == (shed.Earlier{Day: l.ID, Batch: b.ID}) {
				at = len(s.batches) - 1
			}
			s.several = s.several || l != s.batches[0].l
		}
	}
	s.grid.Cols = []base.Column{{Title: "batch"}, {Title: "fleece", Name: true}, {Title: "came out", Name: true}}
	if s.several { // of one fleece
		s.grid.Cols = []base.Column{{Title: "batch"}, {Title: "day"}, {Title: "code", Spare: 1}, {Title: "came out", Name: true}}
	}
	if len(s.batches) == 0 {
		return nil, errors.New("no batch of this day is on the rack: how it came out is seen there")
	}
	s.fill()
	s.grid.At = at
	return s, nil
}

func (s *foundScreen) Title() string { return "How it came out" }

func (s *foundScreen) fill() {
	rows := make([][]string, len(s.batches))
	for i, b := range s.batches {
		out := orDash(b.l.Day.Fate[b.id].Out.String())
		if b.l.Day.LiesWet(b.id) {
			out = "left wet at the " + b.l.Day.StoodAt(b.id)
		}
		rows[i] = []string{b.id, b.l.Day.FleeceOf(b.id).Title(), out}
		if s.several {
			code, _ := tag.Code(b.l.ID, b.id)
			rows[i] = []string{b.id, s.day(b), code, out}
		}
	}
	s.grid.SetRows(rows)
}

// day is that of a batch as its fleece's card has it.
func (s *foundScreen) day(b foundBatch) string {
	return shortDay(s.E, cmp.Or(b.l.Day.Fate[b.id].WashedAt(b.l.Day.EndedAt), b.l.Day.StartedAt))
}

// chosen is the batch that the keys are about.
func (s *foundScreen) chosen() foundBatch { return s.batches[s.grid.At] }

// named is what it is called in a sentence.
func (s *foundScreen) named() string {
	if b := s.chosen(); s.several {
		return b.id + " of " + s.day(b)
	}
	return s.chosen().id
}

// wet says that the chosen batch was left wet.
func (s *foundScreen) wet() bool {
	return len(s.batches) > 0 && s.chosen().l.Day.LiesWet(s.chosen().id)
}

// layWet lays a batch that was left wet on the rack.
func (s *foundScreen) layWet() tea.Cmd {
	id, l, e := s.chosen().id, s.chosen().l, s.E
	d := l.Day
	return e.WithRecord(s, func() tea.Cmd {
		if ledger.WashedAgain(e.Record.Days).Has(l.ID, id) {
			e.Refuse(fmt.Errorf("%s was washed on another day: lay it on the rack from there", id))
			return nil
		}
		if len(d.Plan.Kit.Trays)+len(e.Kit.Trays) > 0 {
			return askWhere(e, l, id, fmt.Sprintf("Lay %s on the rack, %s", id, d.FleeceOf(id).Title()), nil, s.fill)
		}
		if err := e.DoOn(l, session.MoveOnRack{Batch: id}); err != nil {
			e.Refuse(err)
			return nil
		}
		e.Tell("%s is on the rack", id)
		s.fill()
		return nil
	})
}

func (s *foundScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { return nil })
	if !ok {
		return s, cmd
	}
	if s.E.Now.Before(s.deaf) {
		return s, nil
	}
	if key.Matches(k, keyWords) {
		return s, s.inWords("How %s came out", "In your own words", "such as crisp at the tips, or second cuts; empty takes them out", func(o *session.Outcome) *string { return &o.Note })
	}
	if key.Matches(k, keyPlace) {
		return s, s.inWords("%s's place", "Where its bag is", "such as attic, blue box; empty takes it out", func(o *session.Outcome) *string { return &o.Place })
	}
	if b := s.chosen(); key.Matches(k, keyUsed) && b.l.Day.Fate[b.id].DryG > 0 {
		code, _ := tag.Code(b.l.ID, b.id)
		return s, ahead.AskUses(s, s.E, b.l.Day.FleeceOf(b.id).ID, code)
	}
	if key.Matches(k, keyAgain) {
		return s, ahead.WashAgain(s, s.E, s.chosen().l.ID, s.chosen().l.Day, s.chosen().id)
	}
	if key.Matches(k, keyLay) && s.wet() {
		return s, s.layWet()
	}
	for i := range foundKeys {
		if k.String() == foundKeys[i:i+1] && (found(i) == session.ThrownAway || !s.wet()) {
			c := s.judge()
			if c.Out.Found = c.Out.Found.Toggled(found(i)); found(i) == session.ThrownAway && c.Out.Found&session.ThrownAway == 0 {
				return s, s.E.WithRecord(s, func() tea.Cmd { return s.back(c) })
			}
			if err := s.E.DoOn(s.chosen().l, c); err != nil {
				s.E.Refuse(err)
			}
		}
	}
	s.fill()
	return s, nil
}

// back has a batch that was not thrown away after all lie where it lay, if no other does by now.
func (s *foundScreen) back(c session.Judge) tea.Cmd {
	l, err := s.chosen().l, error(nil)
	lay, _ := l.Day.Plan.Kit.Tray(l.Day.Fate[c.Batch].Tray)
	if c.OnRack, err = s.E.Lying(l.ID); err == nil {
		err = s.E.DoOn(l, c)
	}
	switch {
	case err != nil:
		s.E.Refuse(err)
	case lay.ID != "" && l.Day.Fate[c.Batch].Tray == "":
		s.E.Warn("%s is not thrown away. Its place on %s is taken by now: y under Drying rack lays it on another tray", c.Batch, lay.Name)
	}
	s.fill()
	return nil
}

// judge is what has been said of the chosen batch, to go on from.
func (s *foundScreen) judge() session.Judge {
	b := s.chosen()
	return session.Judge{Batch: b.id, Out: b.l.Day.Fate[b.id].Out}
}

// inWords asks for what no key says.
func (s *foundScreen) inWords(title, label, why string, of func(*session.Outcome) *string) tea.Cmd {
	c, l := s.judge(), s.chosen().l
	p := &form.Page{Fields: []*form.Field{form.CheckedField(label, why, *of(&c.Out), func(text string) error {
		*of(&c.Out) = text
		return nil
	})}}
	return base.Push(form.NewForm(s.E, fmt.Sprintf(title, s.named()), []*form.Page{p}, func() (tea.Cmd, error) {
		if err := s.E.DoOn(l, c); err != nil {
			return nil, err
		}
		s.fill()
		return base.Pop(), nil
	}))
}

func (s *foundScreen) View() string { c := *s; return c.Place() }

func (s *foundScreen) Place() string {
	says := make([]string, 0, len(foundKeys)+5) // a narrow foot has not all of them
	for _, b := range base.Without(s.Own[:len(foundKeys)+5], s.Idle()) {
		says = append(says, b.Help().Key+" "+b.Help().Desc)
	}
	name, found := s.named(), s.judge().Out
	hint := draw.Told(s.E.Theme.Faint, strings.Join(says, ", "), s.W)
	how := draw.Told(s.E.Theme.Faint, "Choose all that fit; the same key again clears one.", s.W)
	if s.wet() {
		how = nil
		hint = draw.Told(s.E.Theme.Next, name+": r lays it on the rack, w washes it on another day, z throws it away", s.W)
	}
	var out []string // what the list has no room for
	if text := found.String(); text != "" {
		out = draw.Told(s.E.Theme.Text, name+": "+text, s.W)
	}
	if found.Place != "" {
		out = append(out, draw.Told(s.E.Theme.Text, name+"'s bag: "+found.Place, s.W)...)
	}
	body := s.grid.Lines(&s.E.Theme, 0, s.W, max(min(len(s.batches)+1, 3), s.Room()-len(hint)-len(how)-len(out)))
	body = append(body, draw.Whole(s.Room()-len(body), draw.Para{Lines: out, Rank: 0}, draw.Para{Lines: hint, Rank: 1}, draw.Para{Lines: how, Rank: 2})...)
	if b := s.chosen(); s.wasOf != b.l {
		s.was, s.wasOf = livedOf(b.l.Day), b.l
	}
	was := *s.was
	was.only = s.chosen().id
	return s.Draw(under(body, was.drawn(s.E, s.W, s.Room()-len(body)-1, 0)))
}
