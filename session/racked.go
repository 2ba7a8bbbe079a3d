package session

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// SoaksTill is when a batch that waits for its tub has soaked in the bin; zero for
// any other batch.
func (d *Day) SoaksTill(b *shed.Batch) time.Time {
	if !d.Plan.InBin(b) {
		return time.Time{}
	}
	for _, n := range d.Plan.NightsOf(d.StartedAt) {
		if slices.Contains(n.Batches, b.ID) {
			return n.Until
		}
	}
	return time.Time{}
}

// Rack is the rack as it stands: with the batches of this day and those that
// lay there before.
func (d *Day) Rack() shed.RackRoom {
	lying := d.Plan.Lying()
	for _, b := range d.Plan.Batches {
		if f := d.Fate[b.ID]; f.OnTray() {
			lying = append(lying, shed.Lying{Tray: f.Tray, Batch: b.ID, Spots: f.Spots})
		}
	}
	return shed.NewRackRoom(d.Plan.Kit, lying)
}

// decideRack takes the tray that was named, or the first with room. A rack that
// is full does not keep wet fleece in its basket.
func decideRack(d Day, c DoNext) ([]Event, error) {
	e := FibreRacked{Tub: c.Tub}
	b, _ := d.Batch(d.Tubs[c.Tub].Batch)
	rack := d.Rack()
	if c.Tray == "" {
		if t, spots, ok := rack.Find(b); ok {
			e.lieOn(t, spots)
		}
		return []Event{e}, nil
	}
	t, ok := d.Plan.Kit.Tray(c.Tray)
	if !ok {
		return nil, fmt.Errorf("the rack has no tray \"%s\": choose one of the kit's", measure.CleanText(c.Tray, 20))
	}
	spots, ok := rack.FindOn(t.ID, b)
	switch {
	case ok:
	case t.Layers > 0 && b.LocksLayers() > 0:
		return nil, fmt.Errorf("tray %s is too full for the %d layers of %s (%s are taken): choose another, or bag what is dry", t.Name, b.Layers, b.ID, rack.Use(t.ID))
	case t.Layers > 0:
		return nil, fmt.Errorf("tray %s has no place free for %s (%s are taken): choose another, or bag what is dry", t.Name, b.ID, rack.Use(t.ID))
	default:
		return nil, fmt.Errorf("tray %s has room for %d, and %s are taken: choose another, or bag what is dry", t.Name, t.Places, rack.Use(t.ID))
	}
	e.lieOn(t, spots)
	return []Event{e}, nil
}

// decideMove lays a batch elsewhere, weeks after its day too; one that its day left wet comes on to the rack.
func decideMove(d Day, c MoveOnRack) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	fate := d.Fate[b.ID]
	switch {
	case d.LiesWet(b.ID) && c.Tray == "":
		return []Event{BatchMoved{Batch: b.ID}}, nil
	case fate.RackedAt.IsZero() && !d.LiesWet(b.ID):
		return nil, fmt.Errorf("%s is not on the rack yet", b.ID)
	case fate.DryG > 0:
		return nil, fmt.Errorf("%s is bagged: it's on no tray", b.ID)
	}
	var out []Event
	if k := d.Plan.Kit; len(k.Trays) == 0 && len(c.Trays) > 0 {
		k.Trays = c.Trays
		if k = k.Clean(); k.Validate() == nil {
			d.Plan.Kit, out = k, append(out, KitChanged{k})
		}
	}
	t, ok := d.Plan.Kit.Tray(c.Tray)
	if !ok {
		return nil, fmt.Errorf("this day's rack has no tray \"%s\": choose one of those it had", measure.CleanText(c.Tray, 20))
	}
	if t.ID == fate.Tray {
		return nil, fmt.Errorf("%s is on %s already", b.ID, t.Name)
	}
	here := d
	here.Plan.OnRack = shed.CleanLying(c.OnRack)
	rack := here.Rack()
	spots, ok := rack.FindOn(t.ID, &b)
	if !ok {
		return nil, fmt.Errorf("tray %s has no room for %s (%s are taken): choose another, or bag what is dry", t.Name, b.ID, rack.Use(t.ID))
	}
	e := BatchMoved{Batch: b.ID, Tray: t.ID}
	if t.Layers > 0 {
		e.Spots = spots
	}
	return append(out, e), nil
}

// lieOn puts the batch there. Which place it is on a tray without layers is left
// to the person.
func (e *FibreRacked) lieOn(t shed.Tray, spots []shed.Spot) {
	e.Tray = t.ID
	if t.Layers > 0 {
		e.Spots = spots
	}
}

// WouldLie is where Enter racks a batch: "tower, layers 1-3"; "" where the
// rack is full or nobody has said what trays there are.
func (d *Day) WouldLie(b *shed.Batch) string {
	if t, spots, ok := d.Rack().Find(b); ok {
		return t.SpotsText(spots, b.Form)
	}
	return ""
}

// RackPlace is where a batch is to lie, for a sentence.
func (d Day) RackPlace(b *shed.Batch) string {
	switch lies := d.WouldLie(b); {
	case lies != "":
		return "tray " + lies
	case len(d.Plan.Kit.Trays) > 0:
		return "the rack (no tray has room for it)"
	}
	return "the rack"
}

// HasOnRack says that the day knows these to lie on the rack from earlier days.
func (d Day) HasOnRack(onRack []shed.Lying) bool {
	return slices.EqualFunc(shed.CleanLying(onRack), d.Plan.OnRack, func(a, b shed.Lying) bool {
		return a.Tray == b.Tray && a.Day == b.Day && a.Batch == b.Batch && slices.Equal(a.Spots, b.Spots)
	})
}

// OnTrays is what the day's own batches have on trays: racked and not weighed dry.
func (d Day) OnTrays() []shed.Lying {
	var out []shed.Lying
	for _, b := range d.Plan.Batches {
		if f := d.Fate[b.ID]; f.OnTray() {
			out = append(out, shed.Lying{Tray: f.Tray, Batch: b.ID})
		}
	}
	return out
}

// MissesTray finds something that lies on a tray of k which the next kit has no
// more.
func MissesTray(k shed.Kit, next shed.Kit, lying []shed.Lying) (l shed.Lying, tray shed.Tray, found bool) {
	for _, l := range lying {
		was, known := k.Tray(l.Tray)
		if _, still := next.Tray(l.Tray); known && !still {
			return l, was, true
		}
	}
	return shed.Lying{}, shed.Tray{}, false
}
