package session

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// decideKit lets the kit be corrected in the middle of a day. Tubs may be
// added and renamed; one that the day began with keeps its place.
func decideKit(d Day, c ChangeKit, now time.Time) ([]Event, error) {
	k := c.Kit.CleanBeside(d.Plan.Kit.Tubs).Instead(d.Plan.Kit, now)
	if err := k.Validate(); err != nil {
		return nil, err
	}
	for i, t := range d.Plan.Kit.Tubs {
		if i >= len(k.Tubs) || k.Tubs[i].ID != t.ID {
			return nil, fmt.Errorf("%s is part of the running day: take it out of the kit when the day is over", t.Name)
		}
	}
	return []Event{KitChanged{k}}, nil
}

func decideAddBatch(d Day, c AddBatch) ([]Event, error) { return addedTo(d.Plan, c.Fleece, c.Batch) }

// addedTo puts one more batch at the end of a plan, with its fleece if the plan lacks it.
func addedTo(p shed.Plan, f shed.Fleece, b shed.Batch) ([]Event, error) {
	b = b.Clean()
	b.Layers = shed.LayersOf(b.Form, b.Layers)
	if i := slices.IndexFunc(p.Fleeces, func(o shed.Fleece) bool { return o.ID == b.FleeceID }); i >= 0 {
		f = p.Fleeces[i]
	} else {
		f = f.Clean()
		if f.ID != b.FleeceID {
			return nil, fmt.Errorf("the batch names a fleece \"%s\" that is not the one given", b.FleeceID)
		}
		p.Fleeces = append(p.Fleeces[:len(p.Fleeces):len(p.Fleeces)], f)
	}
	p.Batches = shed.LabelBatches(p.Fleeces, append(p.Batches[:len(p.Batches):len(p.Batches)], b), len(p.Batches))
	if err := p.Validate(); err != nil {
		return nil, err
	}
	b = p.Batches[len(p.Batches)-1]
	if b.Card.Mark == b.ID {
		b.Card.Mark = ""
	}
	return []Event{BatchAdded{Fleece: f, Batch: b}}, nil
}

func decideCard(d Day, c EnterCard) ([]Event, error) {
	switch {
	case d.StartedAt.IsZero():
		p := c.Plan.CleanTexts()
		p.Fleeces, p.Batches = nil, nil
		more, err := addedTo(p, c.Fleece, c.Batch)
		return append([]Event{DayStarted{Plan: p}, DayEnded{}}, more...), err
	case !d.Plan.FromCards():
		return nil, errors.New("this day wasn't entered from cards: an old wash is a day of its own")
	}
	return addedTo(d.Plan, c.Fleece, c.Batch)
}

func decideNamePart(d Day, c NamePart) ([]Event, error) {
	if d.StartedAt.IsZero() {
		return nil, fmt.Errorf("the day has not begun: name the part in the plan")
	}
	b, ok := d.Batch(c.Batch)
	if !ok {
		return nil, fmt.Errorf("there is no batch \"%s\" on this day", measure.CleanText(c.Batch, 20))
	}
	part := shed.CleanPart(c.Part)
	if part == b.Part {
		return nil, fmt.Errorf("it's that already: %s", b.What(b.ID))
	}
	return []Event{PartNamed{Batch: b.ID, Part: part}}, nil
}

func decideJudge(d Day, c Judge) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	switch f := d.Fate[b.ID]; {
	case !d.CameOut(b.ID):
		return nil, fmt.Errorf("%s is not on the rack yet: how it came out is seen there", b.ID)
	case c.Out.Found&^f.Out.Found&BagEmpty != 0 && f.DryG == 0:
		return nil, fmt.Errorf("%s is not bagged yet: weigh it dry first", b.ID)
	}
	note, err := noteText(c.Out.Note)
	if err != nil {
		return nil, err
	}
	place := strings.TrimSpace(measure.CleanText(c.Out.Place, shed.MaxNote))
	if n := utf8.RuneCountInString(place); n > shed.MaxName {
		return nil, fmt.Errorf("the place is too long: %d characters are kept, shorten it", shed.MaxName)
	}
	return []Event{BatchJudged{c.Batch, c.Out.Found, note, place, offTray(d, c)}}, c.Out.Found.check()
}

// offTray says that a batch was thrown away and is not after all, and that its tray has no place for it now.
func offTray(d Day, c Judge) bool {
	f := d.Fate[c.Batch]
	if f.Out.Found&^c.Out.Found&ThrownAway == 0 || f.Tray == "" {
		return false
	}
	d.Plan.OnRack = shed.CleanLying(c.OnRack)
	over := d.Rack().Over(f.Tray)
	f.Out.Found = c.Out.Found
	d.setFate(c.Batch, f)
	return d.Rack().Over(f.Tray) > over
}

// noteText is a note as it is kept. One that is too long is not cut behind its writer's back.
func noteText(typed string) (string, error) {
	text := strings.TrimSpace(measure.CleanText(typed, 2*shed.MaxNote))
	if n := utf8.RuneCountInString(text); n > shed.MaxNote {
		return "", fmt.Errorf("the note is too long: %d characters are kept, shorten it", shed.MaxNote)
	}
	return text, nil
}
