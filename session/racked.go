package session

import (
	"fmt"
	"slices"
)

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
		return nil, fmt.Errorf("the rack has no tray \"%s\": choose one of the kit's", clean(c.Tray, 20))
	}
	spots, ok := rack.findOn(t.ID, b)
	switch {
	case ok:
	case t.Layers > 0 && b.locksLayers() > 0:
		return nil, fmt.Errorf("the tray %s is too full for the %d layers of %s (%s are taken): choose another, or bag what is dry", t.Name, b.Layers, b.ID, rack.Use(t.ID))
	case t.Layers > 0:
		return nil, fmt.Errorf("the tray %s has no place free for %s (%s are taken): choose another, or bag what is dry", t.Name, b.ID, rack.Use(t.ID))
	default:
		return nil, fmt.Errorf("the tray %s has room for %d, and %s are taken: choose another, or bag what is dry", t.Name, t.Places, rack.Use(t.ID))
	}
	e.lieOn(t, spots)
	return []Event{e}, nil
}

// decideMove lays a batch elsewhere, weeks after its day too.
func decideMove(d Day, c MoveOnRack) ([]Event, error) {
	b, err := d.toWeigh(c.Batch)
	if err != nil {
		return nil, err
	}
	fate := d.Fate[b.ID]
	switch {
	case fate.RackedAt.IsZero():
		return nil, fmt.Errorf("%s is not on the rack yet", b.ID)
	case fate.DryG > 0:
		return nil, fmt.Errorf("%s is bagged: it lies on no tray", b.ID)
	}
	t, ok := d.Plan.Kit.Tray(c.Tray)
	if !ok {
		return nil, fmt.Errorf("this day's rack has no tray \"%s\": choose one of those it had", clean(c.Tray, 20))
	}
	if t.ID == fate.Tray {
		return nil, fmt.Errorf("%s lies on %s already", b.ID, t.Name)
	}
	here := d
	here.Plan.OnRack = cleanLying(c.OnRack)
	rack := here.Rack()
	spots, ok := rack.findOn(t.ID, b)
	if !ok {
		return nil, fmt.Errorf("the tray %s has no room for %s (%s are taken): choose another, or bag what is dry", t.Name, b.ID, rack.Use(t.ID))
	}
	e := BatchMoved{Batch: b.ID, Tray: t.ID}
	if t.Layers > 0 {
		e.Spots = spots
	}
	return []Event{e}, nil
}

// lieOn puts the batch there. Which place it is on a tray without layers is left
// to the person.
func (e *FibreRacked) lieOn(t Tray, spots []Spot) {
	e.Tray = t.ID
	if t.Layers > 0 {
		e.Spots = spots
	}
}

// WouldLie is where Enter racks a batch: "tower, layers 1-3"; "" where the
// rack is full or nobody has said what trays there are.
func (d Day) WouldLie(b Batch) string {
	if t, spots, ok := d.Rack().Find(b); ok {
		return t.spotsText(spots, b.Form)
	}
	return ""
}

// rackPlace is where a batch is to lie, for a sentence.
func (d Day) rackPlace(b Batch) string {
	switch lies := d.WouldLie(b); {
	case lies != "":
		return "the tray " + lies
	case len(d.Plan.Kit.Trays) > 0:
		return "the rack (no tray has room for it)"
	}
	return "the rack"
}

// cleanSpots keeps what can be: a record from elsewhere may hold anything.
func cleanSpots(spots []Spot) []Spot {
	var out []Spot
	for _, s := range spots {
		if len(out) < maxBatchLayers && s.Place >= 1 && s.Place <= mostPlaces && s.From >= 1 && s.From <= s.To && s.To <= maxTrayLayers {
			out = append(out, s)
		}
	}
	return out
}

// HasOnRack says that the day knows these to lie on the rack from earlier days.
func (d Day) HasOnRack(onRack []Lying) bool {
	return slices.EqualFunc(cleanLying(onRack), d.Plan.OnRack, func(a, b Lying) bool {
		return a.Tray == b.Tray && a.Day == b.Day && a.Batch == b.Batch && slices.Equal(a.Spots, b.Spots)
	})
}

func cleanLying(all []Lying) []Lying {
	all = slices.Clone(all)
	for i, l := range all {
		all[i].Tray, all[i].Batch, all[i].Spots = clean(l.Tray, maxName), clean(l.Batch, maxName), cleanSpots(l.Spots)
	}
	return all
}

// RackAfter is what earlier days have on the rack once another day says what of
// it lies there; changed is false if the day knows it so.
func (d Day) RackAfter(other DaySummary) (onRack []Lying, changed bool) {
	onRack = slices.DeleteFunc(slices.Clone(d.Plan.OnRack), func(l Lying) bool { return l.Day == other.ID })
	onRack = append(onRack, StillDrying([]DaySummary{other})...)
	return onRack, !d.HasOnRack(onRack)
}

// OnTrays is what the day's own batches have on trays: racked and not weighed dry.
func (d Day) OnTrays() []Lying {
	var out []Lying
	for _, b := range d.Plan.Batches {
		if f := d.Fate[b.ID]; f.Tray != "" && f.DryG == 0 {
			out = append(out, Lying{Tray: f.Tray, Batch: b.ID})
		}
	}
	return out
}

// MissesTray finds something that lies on a tray of k which the next kit has no
// more.
func (k Kit) MissesTray(next Kit, lying []Lying) (l Lying, tray Tray, found bool) {
	for _, l := range lying {
		was, known := k.Tray(l.Tray)
		if _, still := next.Tray(l.Tray); known && !still {
			return l, was, true
		}
	}
	return Lying{}, Tray{}, false
}
