package base

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	_ "fleece.example/tubside/tui/early"
	"fleece.example/tubside/tui/keep"
)

// The least window the screens can be read in.
const (
	LeastWidth  = 40
	LeastHeight = 12
)

// Screen is one full-window part of the face. A screen draws exactly within
// the size it was last given.
type Screen interface {
	// Init is called when the screen comes on top for the first time.
	Init() tea.Cmd
	// Update handles a message and returns the screen itself, changed.
	Update(tea.Msg) (Screen, tea.Cmd)
	View() string
	SetSize(w, h int)
	// Title names the screen in the top line; "" for a screen with its own.
	Title() string
	// Keys are listed in the help.
	Keys() []key.Binding
	// Typing says that letters are text now, so no key has another meaning.
	Typing() bool
}

// Placed is a screen of which only a part may be in sight. Place draws it and keeps
// what is in sight and where, after each message; View draws a copy and keeps nothing.
type Placed interface{ Place() string }

// Stiller is a screen that can say that its last picture is as good as one of now.
type Stiller interface{ Still() bool }

// Env is what all screens share. It is changed only in Update.
type Env struct {
	Deps
	Now    time.Time // of this message
	Keeper *keep.Keeper
	Live   *Live // the running day, as this message sees it
	Kit    shed.Kit
	Record record // what the store says besides

	Say      string    // a sentence for the person, shown until the next key
	Bad      bool      // the sentence is a refusal
	tone     tone      // what kind of sentence it is
	SayUntil time.Time // it goes then, if no key comes

	AwayGuess *Guess // how long the program was off is not known: the screen of an open day asks
	ByClock   *Guess // how long it was off went by the clock alone
	hold      *hold  // keys wait for what is being read; nil: they do not

	Doors Doors

	// What screens keep while they are closed.
	Planned planning
	Room    Humidity
	// Measured is what days are compared by, of those that were compared (compare.Fill).
	Measured map[shed.DayID]string
}

// Doors open screens that stand in rooms above whoever goes there.
type Doors struct{ Home, Day func(*Env) Screen }

// Real is a stretch of real time on the clock of the screens.
func (e *Env) Real(d time.Duration) time.Duration {
	if e.Pace > 1 {
		return time.Duration(float64(d) * e.Pace)
	}
	return d
}

// sayFor is how long a sentence stays without a key.
const sayFor = 20 * time.Second

// tone is what a sentence is to the person, which its colour says.
type tone uint8

const (
	done   tone = iota // it is as they wanted it
	noted              // nothing was done, or something else comes first
	warned             // it needs them still
)

// Tell says what is done, until the next key.
func (e *Env) Tell(format string, args ...any) { e.say(done, format, args) }

// Note is Tell of what is neither done nor wrong.
func (e *Env) Note(format string, args ...any) { e.say(noted, format, args) }

// Warn is Tell of what needs the person still, though no key was refused.
func (e *Env) Warn(format string, args ...any) { e.say(warned, format, args) }

// Question is Warn of what the same key answers: it goes when the answer would
// come too late.
func (e *Env) Question(format string, args ...any) {
	e.say(warned, format, args)
	e.SayUntil = e.Now.Add(e.Real(AgainWithin))
}

func (e *Env) say(as tone, format string, args []any) {
	e.Say, e.Bad, e.tone, e.SayUntil = fmt.Sprintf(e.Kit.Units.Spell(format), args...), false, as, e.Now.Add(e.Real(sayFor))
}

// Refuse shows what is wrong until the next key.
// Its words may come from outside, such as a folder's name: no terminal codes.
func (e *Env) Refuse(err error) {
	e.Say, e.Bad, e.SayUntil = measure.CleanText(err.Error(), mostSaid), true, e.Now.Add(e.Real(sayFor))
}

// mostSaid is how many characters of a sentence are kept.
const mostSaid = 400

// ClockAxis writes the times of day on an axis: midnight as the day that begins, on one of weeks as its
// date, and only over midnight or on more than half a day am and pm.
func (e *Env) ClockAxis(from, to time.Time) func(time.Time) string {
	from, to = from.In(e.Zone()), to.In(e.Zone())
	day, clock := "Mon", e.ClockMark
	if to.Sub(from) > 6*24*time.Hour {
		day = "2 Jan"
	}
	if from.YearDay() != to.YearDay() || to.Sub(from) > 12*time.Hour {
		clock = e.Kit.Units.ClockShort
	}
	return func(at time.Time) string {
		if at = at.In(e.Zone()); at.Hour() == 0 && at.Minute() == 0 {
			return e.Kit.Units.Moment(at, day)
		}
		return clock(at)
	}
}

// ClockMark is a time of day as it stands on an axis, which has no room for am and pm.
func (e *Env) ClockMark(t time.Time) string {
	text, _, _ := strings.Cut(e.ClockText(t), " ")
	return text
}

// ClockText is a time of day as the person's clock shows it.
func (e *Env) ClockText(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return e.Kit.Units.Clock(t.In(e.Zone()))
}

// ClockOn is ClockText beside a day: of another it has that one before it.
func (e *Env) ClockOn(t, day time.Time) string {
	return e.Kit.Units.ClockOn(t.In(e.Zone()), day.In(e.Zone()))
}

// Zone is where the times that are shown are told.
func (e *Env) Zone() *time.Location {
	if e.Local == nil {
		return time.Local
	}
	return e.Local
}

// PushMsg and those behind it move between screens.
type (
	PushMsg    struct{ S Screen } // on top of the stack
	PopMsg     struct{}           // back to the one below
	ReplaceMsg struct{ S Screen } // instead of the top one
	RootMsg    struct{ S Screen } // instead of the whole stack
	TickMsg    struct{ Gen int }  // time has passed, for the chain of ticks Gen
)

// Push puts a screen on top.
func Push(s Screen) tea.Cmd { return func() tea.Msg { return PushMsg{s} } }

// Pop goes back to the screen below.
func Pop() tea.Cmd { return func() tea.Msg { return PopMsg{} } }

// Replace puts a screen where the top one was.
func Replace(s Screen) tea.Cmd { return func() tea.Msg { return ReplaceMsg{s} } }

// Root puts a screen where all of them were.
func Root(s Screen) tea.Cmd { return func() tea.Msg { return RootMsg{s} } }

// LeavesUnsaved says what is not on the disk yet because the disk does not take it.
func (e *Env) LeavesUnsaved() []string {
	waiting, err := e.Keeper.Saved()
	if err == nil || waiting == 0 {
		return nil
	}
	return []string{Counted(waiting, "event is", "events are") + " not saved: quitting writes another file, which the next start takes in"}
}

// UnsavedText says that the disk takes nothing, and why; "" if all is well.
func (e *Env) UnsavedText() (text, why string) {
	waiting, err := e.Keeper.Saved()
	if err == nil {
		return "", ""
	}
	return fmt.Sprintf("NOT SAVED (%d)", waiting), measure.CleanText(err.Error(), mostSaid)
}

// HearMoved says what happened to the file of the record, and where that is now.
func (e *Env) HearMoved() {
	if e.Told == nil {
		return
	}
	if told, where := e.Told(); told != "" {
		e.Where = where
		e.Refuse(errors.New(told))
	}
}

// planning is what the plan of a day to come has so far; leaving its screen loses
// nothing.
type planning struct {
	Plan     shed.Plan // its kit is that of Env
	WaterDay string    // the day on which the taps were looked over last
	// Begin is when it is to begin, ReadyBy when it is to be done; zero: now, and no matter.
	Begin, ReadyBy time.Time
	kept           ledger.Draft // as the store has it
	failedAt       time.Time    // when it could not be saved last
}

// draftAgain is after how long a plan is saved once more that could not be.
const draftAgain = 5 * time.Second

// TakeDraft goes on with the plan that was being made when the program was left.
func (e *Env) TakeDraft() {
	d, err := e.Ledger.Draft()
	if err != nil || len(d.Plan.Batches) == 0 {
		return
	}
	trial := d.Plan
	if trial.Kit = e.Kit; trial.Clean().Validate() != nil {
		return
	}
	e.Planned.Plan, e.Planned.kept = d.Plan, d
	if d.Begin.After(e.Now) {
		e.Planned.Begin = d.Begin
	}
	if d.ReadyBy.After(e.Now) {
		e.Planned.ReadyBy = d.ReadyBy
	}
}

// KeepDraft keeps the plan as it is being made, if the store does not have it so.
func (e *Env) KeepDraft() {
	if e.Rehearsal != nil {
		return
	}
	var d ledger.Draft
	if now := e.Planned; len(now.Plan.Batches) > 0 {
		d = ledger.Draft{Plan: shed.Plan{Method: now.Plan.Method, Fleeces: now.Plan.Fleeces, Batches: now.Plan.Batches, Break: now.Plan.Break}, Begin: now.Begin, ReadyBy: now.ReadyBy}
	}
	if reflect.DeepEqual(d, e.Planned.kept) || e.Now.Before(e.Planned.failedAt.Add(e.Real(draftAgain))) {
		return
	}
	if err := e.Keep(func() error { return e.Ledger.SaveDraft(d) }); err != nil {
		e.Planned.failedAt = e.Now
		e.Refuse(fmt.Errorf("the plan couldn't be saved: %w", err))
		return
	}
	e.Planned.kept = d
}

// Humidity is that of the room, as it was typed last with a dry weight.
type Humidity struct {
	Part float64 // 0 to 1
	At   time.Time
}
