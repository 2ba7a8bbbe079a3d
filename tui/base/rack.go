package base

import (
	"fmt"
	"slices"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// DoOn carries a command out on a day of the record, the running one or a past
// one.
func (e *Env) DoOn(l *Live, c session.Command) error {
	if err := l.Do(c, e.Now); err != nil {
		return err
	}
	e.Record.Changes++
	e.lookOverRack(l)
	return nil
}

// lookOverRack tells the running day what earlier days have on the rack, after
// a weight of theirs was written down or taken back.
func (e *Env) lookOverRack(of *Live) {
	running := e.Live
	if of == running || of.ID == running.ID || !running.Day.Running() {
		return
	}
	onRack, changed := ledger.RackAfter(running.Day, ledger.Summarise(of.ID, of.Day), ledger.WashedAgain(e.Record.Days))
	if !changed {
		return
	}
	if err := running.Do(session.LookOverRack{OnRack: onRack}, e.Now); err != nil {
		e.Refuse(err)
	}
}

// Lying is what lies on the rack by the record, but for the day given.
func (e *Env) Lying(but shed.DayID) ([]shed.Lying, error) {
	days, err := e.Record.Days, e.Record.NoDays
	if err != nil {
		return nil, err
	}
	lying := ledger.StillDrying(ledger.Recent(days))
	return slices.DeleteFunc(lying, func(l shed.Lying) bool { return l.Day == but }), nil
}

// TraysAreEmpty refuses a kit without a tray on which something lies.
func (e *Env) TraysAreEmpty(k shed.Kit) error {
	lying, err := e.Lying(e.Live.ID)
	if err != nil {
		return fmt.Errorf("what lies on the rack couldn't be read: %w", err)
	}
	if l, tray, found := session.MissesTray(e.Kit, k, append(lying, e.Live.Day.OnTrays()...)); found {
		return fmt.Errorf("%s lies on %s by the record: bag it or lay it elsewhere first, under Drying rack", l.Batch, tray.Name)
	}
	return nil
}

// DeleteDay takes a day out of the journal.
func (e *Env) DeleteDay(id shed.DayID) error {
	running := e.Live.ID
	err := e.Keep(func() error { return e.Keeper.Delete(id) })
	e.Look()
	if err != nil {
		return err
	}
	e.Record.Changes++
	if id != running {
		e.lookOverRack(&Live{ID: id}) // nothing of it lies there any more
	}
	return nil
}
