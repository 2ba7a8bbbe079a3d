package past

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

var keyOldWash = base.Bind("a", "old wash")

// oldWash takes a batch of an earlier wash from its card; l is the day of cards that it goes
// into, one of no number begins another.
func oldWash(e *base.Env, l *base.Live, c ledger.Card) *form.FormScreen {
	const another = "" // fleece
	u, zone := e.Kit.Units, e.Zone()
	c.Batch.RawG, c.DryG, c.Note, c.Out, c.Batch.Card = math.NaN(), 0, "", session.Outcome{}, shed.Card{}
	shelf := func() ledger.Shelf {
		return ledger.Shelf{Fleeces: e.Record.Fleeces, Days: e.Record.Days, Methods: e.Record.Methods, Kit: e.Kit, Zone: zone}
	}
	fleece, made := c.Fleece.ID, shed.Fleece{RawG: math.NaN()}
	var fleeces []form.Choice[string]
	for _, f := range e.Record.Fleeces {
		title := f.Title()
		if f.Year > 0 {
			title += fmt.Sprintf(", %d", f.Year)
		}
		fleeces = append(fleeces, form.Choice[string]{Value: f.ID, Words: title})
	}
	if fleece == "" && len(fleeces) > 0 {
		fleece = fleeces[0].Value
	}
	fleeces = append(fleeces, form.Choice[string]{Value: another, Words: "a new fleece"})
	methods := []form.Choice[string]{{Value: "", Words: "not known"}, {Value: shed.BuiltInMethod().Name, Words: shed.BuiltInMethod().Name}}
	for _, m := range e.Record.Methods {
		methods = append(methods, form.Choice[string]{Value: m.Name, Words: m.Name})
	}
	day := ""
	if l.ID != 0 {
		day = u.Moment(c.On.In(zone), "2 Jan 2006")
	}
	first := &form.Page{Title: "From its card", About: "Its yield counts; nothing is known of its baths, times and alarms.", Fields: []*form.Field{
		form.CheckedField("Day it was washed", "such as "+u.Moment(e.Now.AddDate(-1, 0, 0).In(zone), "2 Jan 2006"), day, func(text string) (err error) {
			if c.On, err = u.ParseDay(measure.CleanText(text, 40), e.Now.In(zone)); err == nil {
				err = ledger.CheckOn(c.On, e.Now)
			}
			return err
		}).AsDay(u, e.Now.In(zone)),
		form.ChoiceField("Fleece", "one animal's fleece; its batches are counted together", &fleece, false, fleeces...),
	}}
	if l.ID != 0 {
		first.Fields = first.Fields[1:]
	}
	pages := []*form.Page{first}
	for _, p := range ahead.FleecePages(e, &made) {
		p.Title, p.Hide = "New fleece: "+p.Title, func() bool { return fleece != another }
		pages = append(pages, p)
	}
	pages[len(pages)-1].Leave = func() error { // kept, whatever becomes of the card
		saved, err := ahead.SaveFleece(e, made)
		if err == nil {
			made = saved
		}
		return err
	}
	found := c.Out.Found.String()
	last := &form.Page{Title: "The batch", Fields: []*form.Field{
		form.NumberField(u, form.Weight, "Raw weight", "of this batch, unwashed", &c.Batch.RawG, form.KitCheck(shed.Kit.AskBatchG)),
		form.NumberField(u, form.Weight.OrNone(), "Clean weight", "dry, after the wash; none if it was not written down", &c.DryG, nil),
		form.WordsField("Mark", "what the card or the bag calls the batch; may be left empty", &c.Batch.Card.Mark, shed.MaxName, ""),
		form.ChoiceField("Method", "", &c.Method, false, methods...),
		form.CheckedField("How it came out", "such as clean, soft; or still waxy, tips stuck, felted, stained, lofty, harsh, brittle; may be left empty", found, func(text string) error {
			return c.Out.Found.UnmarshalText([]byte(strings.TrimSpace(measure.CleanText(text, shed.MaxNote))))
		}),
		form.WordsField("Note", "may be left empty", &c.Note, shed.MaxNote, ""),
	}}
	at := func() ledger.Card {
		c := c
		c.Fleece = made
		if i := slices.IndexFunc(e.Record.Fleeces, func(f shed.Fleece) bool { return f.ID == fleece }); i >= 0 {
			c.Fleece = e.Record.Fleeces[i]
		}
		return c
	}
	last.Leave = func() error {
		asked := shelf().Ask(at(), l.ID != 0)
		_, _, err := at().Enter(l.Day, shelf().Plan(c.Method, e.Now), false)
		if err != nil && !base.Unlikely(err) {
			return err
		}
		return shed.Together(asked, err)
	}
	f := form.NewForm(e, "An old wash", append(pages, last), func() (tea.Cmd, error) {
		into := *l
		err := e.Keep(func() (err error) {
			into.ID, into.Day, err = e.Keeper.Enter(l.ID, l.Day, at(), shelf().Plan(c.Method, e.Now))
			return err
		})
		if err != nil {
			return nil, err
		}
		e.Record.PutDay(ledger.Summarise(into.ID, into.Day))
		b := into.Day.Plan.Batches[len(into.Day.Plan.Batches)-1]
		e.Tell("%s of %s is saved. Another batch of that day; Esc if there is none", b.ID, u.Moment(c.On.In(zone), "2 Jan 2006"))
		return base.Replace(oldWash(e, &into, at())), nil
	})
	f.Below = func(w, room int) []string {
		if !(c.Batch.RawG > 0) || !(c.DryG <= c.Batch.RawG) {
			return nil
		}
		return shareRows(&e.Theme, []string{""}, [][]share{batchShares(&e.Theme, c.Batch.RawG, c.DryG)}, -1, w, room)
	}
	return f
}

// errDayRuns keeps cards from a day that runs: its journal comes first.
var errDayRuns = errors.New("a day is running: enter old washes once it has ended")

// addOldWash opens the form for a day of its own.
func (s *pastScreen) addOldWash() tea.Cmd {
	e := s.E
	if e.Live.Day.Running() {
		e.Refuse(errDayRuns)
		return nil
	}
	saved := func() (struct{}, error) { return struct{}{}, nil }
	return base.LeadSaved(s, e, saved, func(struct{}, error) tea.Cmd { // the one before is off its fleece
		return e.WithRecord(s, func() tea.Cmd {
			return base.Push(oldWash(e, &base.Live{Keeper: e.Keeper}, ledger.Card{Batch: shed.Batch{Form: shed.FormUnsaid}}))
		})
	})
}
