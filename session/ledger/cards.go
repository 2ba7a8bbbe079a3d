package ledger

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// Card is a batch of an earlier wash as it was written down then; what is not on the card is
// zero.
type Card struct {
	Line   int               // of the file that it is from; 0: entered by hand
	Heads  map[string]string // the columns of that file by what they hold: "raw_oz" for "raw"
	On     time.Time         // the day it was washed, at noon
	Fleece shed.Fleece       // one of the ledger by its mark, or by its names
	Batch  shed.Batch
	Method string // its name
	DryG   float64
	DryAt  time.Time // zero: not said
	Scale  shed.Scale
	RH     float64
	Out    session.Outcome
	Note   string
	// Of the record that a table is from: the number of the day, the code, and the code that
	// the batch had before it was washed again.
	Day, Code, Again string
}

// add puts the card's batch into a day of cards, or begins one by plan.
func (c Card) add(d session.Day, plan shed.Plan) (session.Day, []session.Recorded, error) {
	c.Batch.FleeceID = c.Fleece.ID
	if i := slices.IndexFunc(plan.Kit.Tubs, func(t shed.Tub) bool { return strings.EqualFold(t.Name, c.Batch.Card.Tub) }); i >= 0 {
		c.Batch.Card.TubID = plan.Kit.Tubs[i].ID
	}
	return session.Do(d, session.EnterCard{Plan: plan, Fleece: c.Fleece, Batch: c.Batch}, c.On)
}

// tell says what became of the batch, which is in the day.
func (c *Card) tell(d session.Day, batch string, sure bool) (session.Day, []session.Recorded, error) {
	var all []session.Recorded
	for _, cmd := range []session.Command{
		session.Weigh{Batch: batch, DryG: c.DryG, Scale: c.Scale, RH: c.RH, Sure: sure, RoomSure: true},
		session.Judge{Batch: batch, Out: c.Out}, session.AddNote{Tub: -1, Text: c.Note},
	} {
		at := c.On
		switch x := cmd.(type) {
		case session.Weigh:
			if at = cmpTime(c.DryAt, c.On); c.DryG == 0 {
				continue
			}
		case session.Judge:
			if x.Out == (session.Outcome{}) {
				continue
			}
		case session.AddNote:
			if x.Text == "" {
				continue
			}
		}
		var recs []session.Recorded
		var err error
		if d, recs, err = session.Do(d, cmd, at); err != nil {
			return d, nil, err
		}
		all = append(all, recs...)
	}
	return d, all, nil
}

// Enter puts a card into a day of cards, or begins one by plan, which has kit, method and when
// it is entered. Sure insists on an unlikely weight.
func (c Card) Enter(d session.Day, plan shed.Plan, sure bool) (session.Day, []session.Recorded, error) {
	with, recs, err := c.add(d, plan)
	if err != nil {
		return d, nil, err
	}
	told, more, err := c.tell(with, with.Plan.Batches[len(with.Plan.Batches)-1].ID, sure)
	if err != nil {
		return d, nil, err
	}
	return told, append(recs, more...), nil
}

// cmpTime is the first moment that is known.
func cmpTime(a, b time.Time) time.Time {
	if a.IsZero() {
		return b
	}
	return a
}

// Shelf is what a record has that cards are held to.
type Shelf struct {
	Fleeces             []shed.Fleece
	Days                []Summary
	Methods             []shed.Method
	Kit                 shed.Kit
	Zone                *time.Location
	LastDay, LastFleece uint64 // the highest numbers given
}

// Plan is what a day of cards begins with.
func (s Shelf) Plan(method string, now time.Time) shed.Plan {
	p := shed.Plan{Kit: s.Kit, EnteredAt: now.Round(0).UTC().Truncate(time.Second), Method: shed.Method{Name: method}}
	for _, m := range append([]shed.Method{shed.BuiltInMethod()}, s.Methods...) {
		if strings.EqualFold(m.Name, method) {
			p.Method = m
		}
	}
	return p
}

// find is the fleece of the ledger that a card names: by its mark, else the same animal of
// the same farm and year, each as far as the card says it.
//
// Errors: several that it may be.
func (s Shelf) find(f shed.Fleece) (out shed.Fleece, ok bool, err error) {
	var all []shed.Fleece
	for _, o := range s.Fleeces {
		same := strings.EqualFold(o.Animal, f.Animal) && (f.Farm == "" || strings.EqualFold(o.Farm, f.Farm)) && (f.Year == 0 || o.Year == f.Year)
		if same && o.ID == f.ID {
			return o, true, nil
		}
		if same {
			all = append(all, o)
		}
	}
	switch len(all) {
	case 0:
		return f, false, nil
	case 1:
		return all[0], true, nil
	}
	return f, false, fmt.Errorf("there are %d fleeces %s: give the farm, the year, or its mark, such as %s", len(all), f.Animal, all[0].ID)
}

// there are the batches of a card's fleece on its day that the record has, and which of them
// is the card's own: -1 for none.
func (s *Shelf) there(c Card, taken map[shed.Earlier]bool) (all []BookedBatch, same int) {
	same = -1
	for _, d := range s.Days {
		if d.StartedAt.Sub(c.On).Abs() > 24*time.Hour || d.StartedAt.In(s.Zone).Format(time.DateOnly) != c.On.In(s.Zone).Format(time.DateOnly) {
			continue
		}
		for _, r := range d.Rows {
			if r.FleeceID != c.Fleece.ID || taken[shed.Earlier{Day: d.ID, Batch: r.ID}] {
				continue
			}
			if same < 0 && sameG(r.RawG, c.Batch.RawG) && sameG(r.DryG, c.DryG) {
				same = len(all)
			}
			all = append(all, BookedBatch{Day: d.ID, BatchRow: r})
		}
	}
	return all, same
}

// sameG says that two weights are one: a table has them to 0.01 g.
func sameG(a, b float64) bool { return a-b < 0.011 && b-a < 0.011 }

// Ask asks about a card of whose fleece the record has a batch on that day already, but for one
// more of a day that is being entered, and about one of more than is left of its fleece, or of a
// day before that was shorn.
func (s Shelf) Ask(c Card, more bool) error {
	early := s.askShorn(c)
	if err := s.ask(c, nil); err != nil && !more {
		return shed.Together(early, err)
	}
	left := StockOf([]shed.Fleece{c.Fleece}, s.Days).WholeG(c.Fleece)
	return shed.Together(early, s.askLeft(c, left))
}

// askShorn asks about a card of a day before its fleece was shorn.
func (s *Shelf) askShorn(c Card) error {
	u, f, on := s.Kit.Units, c.Fleece, c.On.In(s.Zone)
	shorn := f.ShornOn()
	day, err := u.ParseDay(shorn, on)
	if err != nil { // its year alone is known
		day = time.Date(f.Year, 1, 1, 0, 0, 0, 0, s.Zone)
	}
	if shorn == "" || err != nil && f.Year == 0 || !on.Before(day) {
		return nil
	}
	return shed.Unlikelyf("%s is before %s was shorn, %s. Is the day right?", u.Moment(on, "2 Jan 2006"), f.Title(), shorn)
}

// askLeft asks about a card of more than is left of its fleece, g.
func (s *Shelf) askLeft(c Card, leftG float64) error {
	if u := s.Kit.Units; c.Batch.Raw() && c.Batch.RawG > leftG+0.5 {
		return shed.Unlikelyf("%s %s, and only %s of it is not washed: %s is more", c.Fleece.Title(), c.Fleece.WeighsText(u.Mass), u.Mass(max(0, leftG)), u.Mass(c.Batch.RawG))
	}
	return nil
}

func (s *Shelf) ask(c Card, taken map[shed.Earlier]bool) error {
	all, _ := s.there(c, taken)
	if len(all) == 0 {
		return nil
	}
	u, b := s.Kit.Units, all[0]
	dry := "not weighed dry"
	if b.DryG > 0 {
		dry = u.Mass(b.DryG) + " dry"
	}
	return shed.Unlikelyf("%s has a batch on %s already, %s: %s raw, %s. Is this another one?", c.Fleece.Title(), u.Moment(c.On.In(s.Zone), "2 Jan 2006"), b.ID, u.Mass(b.RawG), dry)
}

// CardError is what keeps a card from being taken in.
type CardError struct {
	Line   int
	Column string
	Err    error
}

func (e CardError) Error() string { return fmt.Sprintf("line %d, %s: %v", e.Line, e.Column, e.Err) }

func (e CardError) Unwrap() error { return e.Err }

// CardDay is a day of cards, to be kept.
type CardDay struct {
	ID     shed.DayID
	Events []session.Recorded
	Day    session.Day
}

// Taken is what cards come to.
type Taken struct {
	Fleeces []shed.Fleece // new ones
	Days    []CardDay     // in the order of time
	Here    int           // cards that the record has already
	Bad     []CardError
}

// Take makes days of cards: those of one date, and of one day of the record that they are
// from, are one. Wrong is what is known to be wrong with them; with Bad ones nothing should be
// kept. Sure insists on what is unlikely.
func (s Shelf) Take(cards []Card, wrong []CardError, now time.Time, sure bool) (out Taken) {
	t := taking{Shelf: s, sure: sure, out: &out, told: map[CardError]bool{}, left: map[string]float64{}, was: map[string]shed.Earlier{}, here: map[shed.Earlier]bool{}}
	for _, x := range Book(s.Fleeces, s.Days) {
		t.left[x.Fleece.ID] = x.LeftG
	}
	out.Bad = slices.Clone(wrong)
	for _, w := range wrong {
		t.told[CardError{Line: w.Line, Column: w.Column}] = true
	}
	cards = slices.Clone(cards)
	sort.SliceStable(cards, func(i, j int) bool { return cards[i].On.Before(cards[j].On) })
	again(cards)
	var groups [][]Card
	for _, c := range t.unknown(t.fleeces(cards)) {
		t.ask(c)
		i := slices.IndexFunc(groups, func(g []Card) bool {
			return g[0].On.Equal(c.On) && g[0].Day == c.Day && strings.EqualFold(g[0].Method, c.Method)
		})
		if i < 0 {
			i, groups = len(groups), append(groups, nil)
		}
		groups[i] = append(groups[i], c)
	}
	for _, g := range groups {
		t.day(g, now)
	}
	sort.SliceStable(out.Bad, func(i, j int) bool { return out.Bad[i].Line < out.Bad[j].Line })
	return out
}

// again gives cards of batches that were washed again, the oldest first, what the line of the
// wash before says: what they weighed raw, and which of their washes were then.
func again(cards []Card) {
	was := map[string]Card{} // by code, with all washes till then
	for i := range cards {
		c := &cards[i]
		all := c.Batch.Card.Washes
		if c.Again == "" { // it begins with the first step
			c.Batch.FromStep = ""
		}
		if o, ok := was[c.Again]; ok && c.Again != "" {
			if c.Batch.RawG == 0 {
				c.Batch.RawG, c.Batch.RawScale = o.Batch.RawG, o.Batch.RawScale
			}
			c.Batch.Washed = o.Batch.Card.Washes
			if all > 0 { // tables of before counted those of the day alone
				c.Batch.Card.Washes = max(0, all-c.Batch.Washed)
				c.Batch.Card.Washes = c.Batch.CardWashes()
			}
			all = c.Batch.CardWashes() + c.Batch.Washed
		}
		if c.Code != "" {
			o := *c
			o.Batch.Card.Washes = max(1, all)
			was[c.Code] = o
		}
	}
}

// taking is Take at work.
type taking struct {
	Shelf
	sure bool
	out  *Taken
	told map[CardError]bool      // lines and columns of which something is told; true: they were not read
	left map[string]float64      // raw grams to wash, by fleece
	was  map[string]shed.Earlier // by the code in the record that they are from
	here map[shed.Earlier]bool   // batches of the record that a card was found to be
}

// bad tells what is wrong with a card by the column of its file; what a fleece weighs comes
// from its batches where no column has it. Of a cell it tells one thing, and nothing that
// follows from a raw weight which was not read.
func (t *taking) bad(c Card, column string, err error) {
	if column == "fleece_raw" && c.Heads[column] == "" {
		column = "raw"
	}
	at := cell(c, column)
	if _, told := t.told[at]; told || t.told[cell(c, "raw")] && (column == "dry" || column == "fleece_raw") {
		return
	}
	t.told[at] = false
	at.Err = err
	t.out.Bad = append(t.out.Bad, at)
}

// cell is where a card has something, with nothing told of it.
func cell(c Card, column string) CardError {
	return CardError{Line: c.Line, Column: cmp.Or(c.Heads[column], column)}
}

// fleeces gives each card its fleece of the ledger, or a new one; cards without are left out.
func (t *taking) fleeces(cards []Card) (out []Card) {
	untold := map[string]bool{} // nobody wrote what the whole weighed: as much as its batches
	for _, c := range cards {
		f, ok, err := t.find(c.Fleece)
		if err != nil {
			t.bad(c, "animal", err)
		}
		if !ok {
			t.LastFleece++
			f.ID = fmt.Sprintf("f%d", t.LastFleece)
			untold[f.ID] = f.RawG == 0
			if err == nil {
				t.Fleeces = append(t.Fleeces, f)
			}
			t.left[f.ID] = f.ToWashG()
			t.out.Fleeces = append(t.out.Fleeces, f)
		}
		if untold[f.ID] && c.Batch.Raw() && c.Again == "" {
			t.left[f.ID] += c.Batch.RawG
		}
		c.Fleece = f
		out = append(out, c)
	}
	for i := range t.out.Fleeces {
		f := &t.out.Fleeces[i]
		if untold[f.ID] {
			f.RawG = t.left[f.ID]
		}
		for j := range out {
			if out[j].Fleece.ID == f.ID {
				out[j].Fleece = *f
			}
		}
		err := f.Validate()
		if kit := t.Kit; untold[f.ID] && f.RawG > shed.BatchG.Max && kit.CheckFleeceG(f.RawG) != nil {
			err = fmt.Errorf("the batches of %s come to %s, too much for one fleece: tell its years apart by clip_year", f.Title(), kit.Units.Mass(f.RawG))
		}
		at := slices.IndexFunc(out, func(c Card) bool { return c.Fleece.ID == f.ID })
		switch {
		case err == nil && !untold[f.ID] && out[at].Code == "": // of an export it was asked before
			t.doubt(out[at], "fleece_raw", t.Kit.AskFleeceG(f.RawG))
		case err != nil:
			t.bad(out[at], "fleece_raw", err)
			var kept []Card
			for _, c := range out {
				if c.Fleece.ID != f.ID {
					kept = append(kept, c)
				}
			}
			out = kept
		}
	}
	return out
}

// unknown are the cards that the record does not have yet.
func (t *taking) unknown(cards []Card) (out []Card) {
	for _, c := range cards {
		all, same := t.there(c, t.here)
		if same < 0 {
			out = append(out, c)
			continue
		}
		at := shed.Earlier{Day: all[same].Day, Batch: all[same].ID}
		t.here[at] = true
		t.out.Here++
		if c.Code != "" {
			t.was[c.Code] = at
		}
	}
	return out
}

// ask asks about a card as Shelf.Ask does; one that was not read may be in the record already.
func (t *taking) ask(c Card) {
	if t.told[cell(c, "washed_on")] || t.told[cell(c, "dry")] {
		return
	}
	err := t.Shelf.ask(c, t.here)
	if c.Again == "" {
		err = shed.Together(err, t.askLeft(c, t.left[c.Fleece.ID]))
		t.left[c.Fleece.ID] -= c.Batch.RawG
	}
	t.doubt(c, "raw", err)
	t.doubt(c, "washed_on", t.askShorn(c))
}

// doubt tells of what is unlikely, unless it was insisted on.
func (t *taking) doubt(c Card, column string, err error) {
	if err != nil && !t.sure {
		t.bad(c, column, err)
	}
}

// day makes a day of the cards of one.
func (t *taking) day(cards []Card, now time.Time) {
	t.LastDay++
	out := CardDay{ID: shed.DayID(t.LastDay)}
	plan := t.Plan(cards[0].Method, now)
	plan.GoBy(cards[0].On.In(t.Zone))
	marks := make([]string, len(cards))
	keep := func(d session.Day, recs []session.Recorded, err error, c Card, column string) bool {
		if err != nil {
			t.bad(c, column, err)
			return false
		}
		out.Day, out.Events = d, append(out.Events, recs...)
		return true
	}
	for i, c := range cards {
		if c.Again != "" {
			was, ok := t.was[c.Again]
			if !ok || was.Day >= out.ID {
				t.bad(c, "washed_again_from", fmt.Errorf("no earlier day of this file has the code %s: take in the line of that batch too, or leave this empty", c.Again))
				was = shed.Earlier{}
			}
			c.Batch.Again = was
		}
		d, recs, err := c.add(out.Day, plan)
		if keep(d, recs, err, c, "raw") {
			if marks[i] = d.Plan.Batches[len(d.Plan.Batches)-1].ID; c.Again == "" && c.Code == "" {
				t.doubt(c, "raw", t.Kit.AskBatchG(c.Batch.RawG))
			}
		}
		if c.Code != "" {
			t.was[c.Code] = shed.Earlier{Day: out.ID, Batch: marks[i]}
		}
	}
	byWeight := make([]int, len(cards)) // a journal is in the order of time
	for i := range cards {
		byWeight[i] = i
	}
	sort.SliceStable(byWeight, func(i, j int) bool {
		a, b := cards[byWeight[i]], cards[byWeight[j]]
		return cmpTime(a.DryAt, a.On).Before(cmpTime(b.DryAt, b.On))
	})
	for _, i := range byWeight {
		if c := cards[i]; marks[i] != "" {
			if c.RH != 0 {
				t.doubt(c, "humidity_percent", session.OddRoom(t.Kit.Units, c.RH))
			}
			d, recs, err := c.tell(out.Day, marks[i], t.sure)
			keep(d, recs, err, c, "dry")
		}
	}
	t.out.Days = append(t.out.Days, out)
}

// CheckOn checks the day of a card.
func CheckOn(on, now time.Time) error {
	if on.After(now) {
		return errors.New("that day is still to come")
	}
	if on.Year() < 1970 {
		return errors.New("it is before 1970")
	}
	return nil
}
