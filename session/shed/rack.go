package shed

import (
	"fmt"
	"slices"
	"strings"

	"fleece.example/tubside/session/measure"
)

// Spot is a run of layers at one place of a tray. Both count from 1: places
// from the left, layers from below.
type Spot struct {
	Place int `json:"place"`
	From  int `json:"from"`
	To    int `json:"to"`
}

// Lying is a batch of an earlier day on the rack.
type Lying struct {
	Tray  string `json:"tray"`
	Day   DayID  `json:"day"`
	Batch string `json:"batch"`
	Spots []Spot `json:"spots,omitempty"` // none: it takes one place
}

// The most that a person would count; more is a slip.

// trayRoom is a tray with what lies on it.
type trayRoom struct {
	tray  Tray
	high  int      // layers at a place
	taken [][]bool // by place, by layer from below
	over  int      // batches beyond its places: from before it was made smaller
}

func newTrayRoom(t Tray) trayRoom {
	r := trayRoom{tray: t, high: max(1, min(t.Layers, maxTrayLayers)), taken: make([][]bool, max(0, min(t.Places, mostPlaces)))}
	for i := range r.taken {
		r.taken[i] = make([]bool, r.high)
	}
	return r
}

// lay marks spots as taken and says whether any of them is there: the tray may
// have been changed since.
func (r *trayRoom) lay(spots []Spot) bool {
	laid, twice := false, false
	for _, s := range spots {
		if s.Place < 1 || s.Place > len(r.taken) {
			continue
		}
		for l := max(1, s.From); l <= min(s.To, r.high); l++ {
			twice = twice || r.taken[s.Place-1][l-1]
			r.taken[s.Place-1][l-1], laid = true, true
		}
	}
	if twice { // an undo put a batch back where another lies now: nothing more goes on this tray
		r.over++
	}
	return laid
}

// free is how many layers are free at a place.
func (r *trayRoom) free(place int) int {
	n := 0
	for _, taken := range r.taken[place] {
		if !taken {
			n++
		}
	}
	return n
}

// wholePlace is the first place on which nothing lies, -1 if there is none.
func (r *trayRoom) wholePlace() int {
	if r.over > 0 {
		return -1
	}
	for p := range r.taken {
		if r.free(p) == r.high {
			return p
		}
	}
	return -1
}

// find looks for room for so many layers of locks, or for a batch that takes
// one place whole (0). Layers of a batch lie together where they can: at the
// fullest place that takes them all, else over as many as it needs.
func (r *trayRoom) find(layers int) (spots []Spot, ok bool) {
	if layers == 0 || r.tray.Layers == 0 {
		p := r.wholePlace()
		if p < 0 {
			return nil, false
		}
		return []Spot{{Place: p + 1, From: 1, To: r.high}}, true
	}
	total := 0
	for p := range r.taken {
		total += r.free(p)
	}
	if total < layers || r.over > 0 {
		return nil, false
	}
	free := r.clone() // finding room takes none
	for layers > 0 {
		at := free.bestPlace(layers)
		for l := 1; l <= r.high && layers > 0; l++ {
			if free.taken[at][l-1] {
				continue
			}
			free.taken[at][l-1] = true
			if n := len(spots); n > 0 && spots[n-1].Place == at+1 && spots[n-1].To == l-1 {
				spots[n-1].To = l
			} else {
				spots = append(spots, Spot{Place: at + 1, From: l, To: l})
			}
			layers--
		}
	}
	return spots, true
}

// bestPlace is the place with the fewest free layers that are enough, else the
// one with the most.
func (r *trayRoom) bestPlace(layers int) int {
	best, bestFree := -1, 0
	for p := range r.taken {
		f := r.free(p)
		better := best < 0
		switch {
		case better:
		case f >= layers && bestFree >= layers:
			better = f < bestFree
		default:
			better = f > bestFree
		}
		if better {
			best, bestFree = p, f
		}
	}
	return best
}

// RackRoom is the kit's rack with what lies on it.
type RackRoom struct {
	rooms []trayRoom
}

// NewRackRoom lays these batches on a kit's rack. Those of which nobody knows the
// spot take one place each.
func NewRackRoom(k Kit, lying []Lying) RackRoom {
	var r RackRoom
	for _, t := range k.Trays {
		room := newTrayRoom(t)
		placeless := 0
		for _, l := range lying {
			if l.Tray == t.ID && !room.lay(l.Spots) {
				placeless++
			}
		}
		for range placeless {
			if p := room.wholePlace(); p >= 0 {
				room.lay([]Spot{{Place: p + 1, From: 1, To: room.high}})
			} else {
				room.over++
			}
		}
		r.rooms = append(r.rooms, room)
	}
	return r
}

// Over is how many batches lie beyond a tray's room, or where another does.
func (r RackRoom) Over(id string) (n int) {
	for _, room := range r.rooms {
		if room.tray.ID == id {
			n += room.over
		}
	}
	return n
}

// Find is the first tray with room for a batch, and its spots there; ok is
// false if there is none. Locks in layers look on trays with layers first, all
// else on the others: so that neither takes the other's room.
func (r RackRoom) Find(b *Batch) (t Tray, spots []Spot, ok bool) {
	for _, i := range r.order(b) {
		room := &r.rooms[i]
		if spots, ok := room.find(b.LocksLayers()); ok {
			return room.tray, spots, true
		}
	}
	return Tray{}, nil, false
}

// order is in which order the trays are tried for a batch.
func (r RackRoom) order(b *Batch) []int {
	var first, then []int
	for i, room := range r.rooms {
		if (room.tray.Layers > 0) == (b.LocksLayers() > 0) {
			first = append(first, i)
		} else {
			then = append(then, i)
		}
	}
	return append(first, then...)
}

// FindOn is Find for one tray.
func (r RackRoom) FindOn(id string, b *Batch) (spots []Spot, ok bool) {
	for i := range r.rooms {
		if room := &r.rooms[i]; room.tray.ID == id {
			return room.find(b.LocksLayers())
		}
	}
	return nil, false
}

func (r trayRoom) clone() trayRoom {
	r.taken = slices.Clone(r.taken)
	for i := range r.taken {
		r.taken[i] = slices.Clone(r.taken[i])
	}
	return r
}

// Use says how full a tray is: "2 of 3", "5 of 8 layers".
func (r RackRoom) Use(id string) string {
	for _, room := range r.rooms {
		if room.tray.ID != id {
			continue
		}
		used := 0
		for p := range room.taken {
			used += room.high - room.free(p)
		}
		if room.tray.Layers == 0 {
			return fmt.Sprintf("%d of %d", used+room.over, len(room.taken))
		}
		return fmt.Sprintf("%d of %d layers", used, len(room.taken)*room.high)
	}
	return ""
}

// Fits is how many of the batches find room, racked in this order.
func (r RackRoom) Fits(batches []Batch) int {
	n := 0
	rooms := make([]trayRoom, len(r.rooms))
	for i, room := range r.rooms {
		rooms[i] = room.clone()
	}
	for _, b := range batches {
		for _, i := range r.order(&b) {
			if spots, ok := rooms[i].find(b.LocksLayers()); ok {
				rooms[i].lay(spots)
				n++
				break
			}
		}
	}
	return n
}

// Tray finds a tray by its mark.
func (k *Kit) Tray(id string) (Tray, bool) {
	for _, t := range k.Trays {
		if t.ID == id && id != "" {
			return t, true
		}
	}
	return Tray{}, false
}

// Lies says where on the rack a batch of this form lies: "top", "tower, layers
// 2-4", "tower, place 2, layers 1-3"; "" where the tray is not known.
func (k *Kit) Lies(tray string, spots []Spot, f Form) string {
	t, ok := k.Tray(tray)
	if !ok {
		return ""
	}
	return t.SpotsText(spots, f)
}

// SpotsText says where on this tray a batch of a form lies: "tower, layers 2-4".
func (t Tray) SpotsText(spots []Spot, f Form) string {
	var parts []string
	place := 0
	for _, s := range spots {
		if t.Layers == 0 {
			break
		}
		if t.Places > 1 && s.Place != place {
			parts = append(parts, fmt.Sprintf("place %d", s.Place))
		}
		place = s.Place
		switch {
		case f != Locks:
		case s.From == s.To:
			parts = append(parts, fmt.Sprintf("layer %d", s.From))
		default:
			parts = append(parts, fmt.Sprintf("layers %d-%d", s.From, s.To))
		}
	}
	return strings.Join(append([]string{t.Name}, parts...), ", ")
}

// WouldLieOn is where on this tray a batch would lie, "" if it is full.
func (r RackRoom) WouldLieOn(id string, b *Batch) string {
	spots, ok := r.FindOn(id, b)
	if !ok {
		return ""
	}
	for _, room := range r.rooms {
		if room.tray.ID == id {
			return room.tray.SpotsText(spots, b.Form)
		}
	}
	return ""
}

// CleanSpots keeps what can be: a record from elsewhere may hold anything.
func CleanSpots(spots []Spot) []Spot {
	var out []Spot
	for _, s := range spots {
		if len(out) < maxBatchLayers && s.Place >= 1 && s.Place <= mostPlaces && s.From >= 1 && s.From <= s.To && s.To <= maxTrayLayers {
			out = append(out, s)
		}
	}
	return out
}

// CleanLying makes what lies on the rack safe to show, and keeps of its spots what can be.
func CleanLying(all []Lying) []Lying {
	all = slices.Clone(all)
	for i, l := range all {
		all[i].Tray, all[i].Batch, all[i].Spots = measure.CleanText(l.Tray, MaxName), measure.CleanText(l.Batch, MaxName), CleanSpots(l.Spots)
	}
	return all
}
