package washday

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
)

// ask is one short question in the band: a reading, a top-up, a note, a cover.
// What was typed stays until it is accepted or left with Esc.
type ask struct {
	tub    int // which it is about; -1: the day
	title  string
	hint   string
	fields []askField
	at     int
	picks  []string // instead of fields: choose by digit
	says   []string // instead of both: only to be read
	enter  string   // what Enter does; "": it saves
	// accept takes the typed texts (or the picked index); a refusal stays open.
	accept func(texts []string, pick int) error
	leads  tea.Cmd // where a pick leads, set by accept
	again  string  // the text that was refused as unlikely: the same once more insists
	wrong  string
	// turn says something else about the question, at Tab; nil: Tab goes to the next field.
	turn func()
	// leaveFrom: Esc was pressed on something that was typed; from then on once more drops it.
	leaveFrom time.Time
}

// typed says that somebody has written more than a figure or two: that is not
// dropped by one key.
func (a *ask) typed() bool {
	for _, f := range a.fields {
		if text := f.line.Text(); len(text) > 6 && text != f.offered {
			return true
		}
	}
	return false
}

type askField struct {
	label string
	unit  string
	line  draw.TextLine
	// offered is what was filled in.
	offered string
	// check says what is wrong with the text before the next field is gone to.
	check func(text string) error
}

func (a *ask) typing() bool { return len(a.fields) > 0 }

func newField(label, unit, value string) askField {
	return askField{label: label, unit: unit, line: draw.NewTextLine(value), offered: value}
}

// words is the field as it is shown; a figure typed with its unit has no second one.
func (f *askField) words(here bool) string {
	mark, value := "  ", f.line.Text()
	if here {
		mark, value = "> ", f.line.Shown()
	}
	text := mark + f.label + " " + value
	if !strings.ContainsFunc(f.line.Text(), unicode.IsLetter) {
		text += " " + f.unit
	}
	return text
}

// goTo goes to a field, where the first key typed replaces what stands there.
func (a *ask) goTo(at int) {
	if at >= 0 && at < len(a.fields) {
		a.at, a.fields[at].line.Fresh = at, true
	}
}

// next goes to the next field, if this one holds what it may.
func (a *ask) next() {
	if a.at+1 >= len(a.fields) {
		return
	}
	f := &a.fields[a.at]
	if a.wrong = ""; f.check != nil {
		if err := f.check(f.line.Text()); err != nil {
			a.wrong = err.Error()
			a.goTo(a.at)
			return
		}
	}
	a.goTo(a.at + 1)
}

// lines is the question as text for the band.
func (a *ask) lines() []string {
	out := []string{a.title}
	for i := range a.fields {
		out = append(out, a.fields[i].words(i == a.at))
	}
	if len(a.picks) > 0 {
		picks := make([]string, len(a.picks))
		for i, p := range a.picks {
			picks[i] = fmt.Sprintf("%d %s", i+1, p)
		}
		out = append(out, strings.Join(picks, " · "))
	}
	out = append(out, a.says...)
	if a.wrong != "" {
		return append(out, a.wrong)
	}
	return append(out, a.hint)
}

// askedTub is the name of the tub a question is about, for large letters; "" if
// there are none for it.
func (s *Screen) askedTub() string {
	if s.ask.tub < 0 {
		return ""
	}
	if name := s.glances[s.ask.tub].Name; paint.Has(name) {
		return name
	}
	return ""
}

// askKey gives a key to the question.
func (s *Screen) askKey(msg tea.KeyMsg) tea.Cmd {
	a := s.ask
	if len(a.says) > 0 { // read: the key does what it always does
		s.ask = nil
		if msg.Type == tea.KeyEsc || msg.Type == tea.KeyEnter {
			return nil
		}
		return s.question(msg)
	}
	if s.e.Heard(msg, a.typing() && !a.fields[a.at].line.Fresh) {
		return nil
	}
	switch msg.Type {
	case tea.KeyEsc:
		if now := s.e.Now; a.typed() && (a.leaveFrom.IsZero() || now.Before(a.leaveFrom)) {
			a.leaveFrom, a.wrong = now.Add(s.e.Real(base.ReadFirst)), "Press Esc again to drop what you typed; Enter keeps it"
			return nil
		}
		s.ask = nil
		return nil
	case tea.KeyEnter:
		if len(a.picks) > 0 {
			return nil
		}
		if a.at < len(a.fields)-1 {
			a.next()
			return nil
		}
		s.answer(-1)
		return nil
	case tea.KeyTab:
		if a.turn != nil {
			a.turn()
			return nil
		}
		a.next()
		return nil
	case tea.KeyUp, tea.KeyShiftTab:
		a.goTo(a.at - 1)
		return nil
	case tea.KeyDown:
		a.next()
		return nil
	}
	if len(a.picks) > 0 {
		if n, ok := base.TubDigit(msg.String()); ok && n < len(a.picks) {
			s.answer(n)
			return a.leads
		}
		return nil
	}
	a.leaveFrom, a.wrong = time.Time{}, ""
	return a.fields[a.at].line.Key(msg)
}

func (s *Screen) answer(pick int) {
	a := s.ask
	texts := make([]string, len(a.fields))
	for i, f := range a.fields {
		texts[i] = f.line.Text()
	}
	if err := a.accept(texts, pick); err != nil {
		a.wrong, a.again = base.RefusedText(err, s.keys.do), ""
		if base.Unlikely(err) {
			a.again = strings.Join(texts, "\x00")
		}
		a.goTo(a.at)
		return
	}
	s.ask, s.answered = nil, s.e.Now
}

// insists says that the same unlikely answer was given twice.
func (a *ask) insists(texts []string) bool {
	return a.again != "" && a.again == strings.Join(texts, "\x00")
}

// hasBath says whether there is water to do something with; if not it says so.
func (s *Screen) hasBath(tub int) bool {
	err := s.e.Live.Day.HasBath(tub)
	if err != nil {
		s.e.Refuse(err)
	}
	return err == nil
}

func (s *Screen) askReading(tub int) {
	g, u := s.glances[tub], s.e.Live.Day.Plan.Kit.Units
	if !s.hasBath(tub) {
		return
	}
	a := &ask{
		tub: tub, title: fmt.Sprintf("%s: WHAT DOES THE THERMOMETER SAY?", g.Name),
		hint:   "in the middle of the bath; expected " + s.tempText(g),
		fields: []askField{newField("reading", u.TempUnit(), "")},
	}
	a.accept = func(texts []string, _ int) error {
		c, err := u.ParseTempC(texts[0])
		if err != nil {
			return err
		}
		if err := s.e.Live.Do(session.TakeReading{Tub: tub, TempC: c, Sure: a.insists(texts)}, s.e.Now); err != nil {
			return err
		}
		s.e.Tell("%s", s.readText(tub, c)+s.contradicts(tub))
		return nil
	}
	s.ask = a
}

// contradicts names the reading before the last one where that has made it doubtful.
func (s *Screen) contradicts(tub int) string {
	d := s.e.Live.Day
	if r := d.Tubs[tub].Bath.Readings; len(r) > 1 && r[len(r)-2].Doubtful {
		return fmt.Sprintf("; %s before it no longer counts", d.Plan.Kit.Units.TempRead(r[len(r)-2].TempC))
	}
	return ""
}

// readText says what was read, and that the wash is not as it was meant.
func (s *Screen) readText(tub int, tempC float64) string {
	d := s.e.Live.Day
	name, u := s.glances[tub].Name, d.Plan.Kit.Units
	cool, hot, aimC, coldL := coach.OffAim(d, tub, tempC, s.e.Now)
	switch {
	case cool:
		return fmt.Sprintf("%s: %s, cool for a wash. w shows what would warm it", name, u.TempRead(tempC))
	case hot && coldL > 0:
		return fmt.Sprintf("%s: %s, hotter than planned: read it again. If it is, %s of cold water at the side brings it to %s", name, u.TempRead(tempC), u.Pour(coldL, d.Plan.Kit.JugL), u.Temp(aimC))
	case hot:
		return fmt.Sprintf("%s: %s, hotter than planned: read it again. If it is, handle the fleece as little as you can", name, u.TempRead(tempC))
	}
	if text, _ := coach.Misfilled(d, tub, d.Heat(tub)); text != "" {
		return fmt.Sprintf("%s: %s noted; %s. Read once more in 5 min", name, u.TempRead(tempC), text)
	}
	return fmt.Sprintf("%s: %s noted, forecast updated", name, u.TempRead(tempC))
}

func (s *Screen) askCover(tub int) {
	g := s.glances[tub]
	if !s.hasBath(tub) {
		return
	}
	covers := []cooling.Cover{cooling.Open, cooling.Lid, cooling.Film, cooling.LidAndFilm}
	a := &ask{tub: tub, title: g.Name + ": WHAT COVERS IT NOW?", hint: "now " + g.Cover.String() + "; press its number"}
	for _, c := range covers {
		a.picks = append(a.picks, c.String())
	}
	a.accept = func(_ []string, pick int) error {
		if err := s.e.Live.Do(session.SetCover{Tub: tub, Cover: covers[pick]}, s.e.Now); err != nil {
			return err
		}
		s.e.Tell("%s: %s", g.Name, covers[pick])
		return nil
	}
	s.ask = a
}

// topUpL is offered for a top-up, litres: about what a jug holds.
const topUpL = 0.5

func (s *Screen) askTopUp(tub int) {
	g, u := s.glances[tub], s.e.Live.Day.Plan.Kit.Units
	if !s.hasBath(tub) {
		return
	}
	whose := coach.WhoseKettle(&s.e.Live.Day, s.e.Now)
	volumeL, bailL, kettleC := topUpL, 0.0, s.e.Live.Day.Plan.Kit.KettleC()
	if math.IsNaN(kettleC) { // no kettle: from the tap
		kettleC = s.e.Live.Day.Plan.Kit.HotTapC
	}
	if h, err := coach.HelpAt(s.e.Live.Day, tub, s.e.Now); err == nil && h.HasRemedy {
		volumeL, bailL = h.Remedy.PourL, h.Remedy.BailL // what brings the bath back
	}
	if r := s.e.Live.Day.Tubs[tub].Bath.Readings; len(r) > 0 { // too hot, as was just read: cold water
		if _, hot, _, coldL := coach.OffAim(s.e.Live.Day, tub, r[len(r)-1].TempC, s.e.Now); hot && coldL > 0 && s.e.Now.Sub(r[len(r)-1].At) < offerCold {
			volumeL, bailL, kettleC, whose = coldL, 0, s.e.Live.Day.Plan.Kit.ColdTapC, ""
		}
	}
	bailed := newField("bailed out before", u.JugUnit(), u.JugField(bailL))
	a := &ask{
		tub: tub, title: g.Name + ": HOW MUCH WATER WENT IN?", hint: "pour beside the fleece, never onto it; boiling water scalds",
		fields: []askField{newField("water", u.JugUnit(), u.JugField(volumeL)), newField("at", u.TempUnit(), u.TempWhole(kettleC))},
	}
	a.fields[0].check = func(text string) error {
		l, err := u.ParseJugL(text)
		if err != nil {
			return err
		}
		return s.e.Live.Day.CheckTopUpL(tub, l)
	}
	a.fields[1].check = func(text string) error { _, err := u.ParseTempC(text); return err }
	a.accept = func(texts []string, _ int) error {
		l, err := u.ParseJugL(texts[0])
		if err != nil {
			a.at = 0
			return err
		}
		c, err := u.ParseTempC(texts[1])
		if err != nil {
			a.at = 1
			return err
		}
		cmd := session.TopUp{Tub: tub, VolumeL: l, TempC: c, Sure: a.insists(texts)}
		if len(texts) > 2 {
			if cmd.BailL, err = u.ParseJugL(texts[2]); err != nil {
				a.at = 2
				return err
			}
		}
		if err := s.e.Live.Do(cmd, s.e.Now); err != nil {
			if errors.Is(err, session.ErrTooFull) && len(a.fields) == 2 { // asked for only where it matters
				a.fields = append(a.fields, bailed)
				a.at = 2
			}
			return err
		}
		said := fmt.Sprintf("%s: %s at %s poured in", g.Name, u.Volume(l), u.Temp(c))
		if _, on := s.e.Live.Day.KettleOn(); whose != "" && !on {
			said += "; " + whose
		}
		s.e.Tell("%s", said)
		return nil
	}
	if whose != "" {
		a.hint = whose + "; " + a.hint
	}
	if bailL > 0.02 {
		a.fields = append(a.fields, bailed)
	}
	s.ask = a
}

// offerCold: so long after a reading that was too hot cold water is what is poured in.
const offerCold = 10 * time.Minute

// showHelp compares what can be done about a bath that cools.
func (s *Screen) showHelp(tub int) {
	h, err := coach.HelpAt(s.e.Live.Day, tub, s.e.Now)
	if err != nil {
		if lacks := (coach.Lacks{}); errors.As(err, &lacks) {
			err = errors.New(lacks.Say(s.keys.tells))
		}
		s.e.Refuse(err)
		return
	}
	var says []string
	for _, l := range h.Lines(&s.e.Live.Day.Plan, s.e.Now) {
		text := l.Say(s.keys.tells)
		if l.Best {
			text = "best: " + text
		}
		says = append(says, text)
	}
	hint := "c covers, t pours"
	if s.glances[tub].Phase == shed.Soaking { // there is fleece in it
		hint += "; Esc, then Enter lifts. Raise the basket before you pour"
	}
	s.ask = &ask{tub: tub, title: s.glances[tub].Name + ": WHAT HELPS", says: says, hint: hint}
}

// askNote takes a note about the tub chosen by hand or, if none is, about the day;
// Tab turns from the tub in focus to the day and back.
func (s *Screen) askNote(tub int) {
	a := &ask{tub: -1, fields: []askField{newField("note", "", "")}}
	about := func(to int) {
		a.tub, a.title, a.hint = to, "A NOTE ABOUT THE WHOLE DAY", "what you want to remember when you look back"
		if to >= 0 {
			a.title = s.glances[to].Name + ": A NOTE ABOUT THIS TUB"
		}
		switch {
		case tub >= 0 && to >= 0:
			a.hint += ". Tab: about the whole day"
		case tub >= 0:
			a.hint += ". Tab: about " + s.glances[tub].Name
		}
	}
	if about(-1); tub >= 0 {
		a.turn = func() {
			if a.tub >= 0 {
				about(-1)
			} else {
				about(tub)
			}
		}
		if s.chosen == tub {
			about(tub)
		}
	}
	a.accept = func(texts []string, _ int) error {
		if err := s.e.Live.Do(session.AddNote{Tub: a.tub, Text: texts[0]}, s.e.Now); err != nil {
			return err
		}
		who := "the day"
		if a.tub >= 0 {
			who = s.glances[a.tub].Name
		}
		s.e.Tell("noted for %s", who)
		return nil
	}
	s.ask = a
}
