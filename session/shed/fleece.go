package shed

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// Fleece is one animal's clip.
type Fleece struct {
	ID      string     `json:"id"` // given by the ledger
	Animal  string     `json:"animal"`
	Farm    string     `json:"farm"`
	Year    int        `json:"year"`
	Type    FleeceType `json:"type"`
	Wax     Level      `json:"wax"`
	Felting Level      `json:"felting"`
	RawG    float64    `json:"raw_g"` // whole fleece, grams as weighed when it was bought
	// SkirtedG is its raw weight after skirting; 0: not weighed again.
	SkirtedG float64 `json:"skirted_g,omitempty"`
	// Parts are what it was sorted into, if that was weighed; they need not be all of it.
	Parts    []FleecePart `json:"parts,omitempty"`
	StapleMM float64      `json:"staple_mm,omitempty"` // length of a lock, unstretched; 0: not measured
	Colour   string       `json:"colour,omitempty"`
	Notes    string       `json:"notes,omitempty"`
	// Breed and the day it was shorn are as they were typed; Paid is in the kit's money, 0:
	// nothing, or not said.
	Breed string  `json:"breed,omitempty"`
	Shorn string  `json:"shorn,omitempty"`
	Paid  float64 `json:"paid,omitempty"`
	// Rest is what becomes of what is not washed.
	Rest RestOf `json:"rest,omitzero"`
	// Uses are what its clean fibre went into, or to whom, with the weights.
	Uses []FleecePart `json:"uses,omitempty"`
	// Joined are the marks of other entries that were found to be this fleece: their weights are
	// in it, and their batches are its own (Names).
	Joined []string `json:"joined,omitempty"`
	// MadeAt is when it was entered, ChangedAt when it was last put right; zero in a
	// record of an older version. Two stores tell by them which says the newer.
	MadeAt    time.Time `json:"made_at,omitzero"`
	ChangedAt time.Time `json:"changed_at,omitzero"`
}

// Title is the fleece's short name for a line on the screen.
func (f *Fleece) Title() string {
	if f.Farm == "" {
		return f.Animal
	}
	return f.Animal + ", " + f.Farm
}

// Clean returns the fleece with every text made safe to show.
func (f Fleece) Clean() Fleece {
	f.ID = measure.CleanText(f.ID, MaxName)
	f.Animal, f.Farm = measure.CleanText(f.Animal, MaxName), measure.CleanText(f.Farm, MaxName)
	f.Notes, f.Colour = measure.CleanText(f.Notes, MaxNote), measure.CleanText(f.Colour, MaxName)
	f.Breed, f.Shorn = measure.CleanText(f.Breed, MaxName), measure.CleanText(f.Shorn, MaxName)
	f.Uses = slices.Clone(f.Uses)
	for i := range f.Uses {
		f.Uses[i].Name = measure.CleanText(f.Uses[i].Name, MaxName)
	}
	f.Joined = slices.Clone(f.Joined)
	for i := range f.Joined {
		f.Joined[i] = measure.CleanText(f.Joined[i], MaxName)
	}
	f.Parts = slices.Clone(f.Parts)
	for i := range f.Parts {
		f.Parts[i].Name = CleanPart(f.Parts[i].Name)
	}
	return f
}

// Batch is what goes into one basket.
type Batch struct {
	ID       string        `json:"id"` // A1, A2, B1: letter by fleece, number by batch; unique within its day (LabelBatches)
	FleeceID string        `json:"fleece_id"`
	RawG     float64       `json:"raw_g"`
	Form     Form          `json:"form"`
	Presoak  PresoakChoice `json:"presoak"`
	RawScale Scale         `json:"raw_scale,omitzero"` // what its raw weight was read on
	Part     string        `json:"part,omitempty"`     // the part of the fleece it is from; "": not known
	Layers   int           `json:"layers,omitempty"`   // locks: in how many layers they lie; 0: not counted
	// Again is the batch of an earlier day that is washed again here: its raw weight is off
	// its fleece since then. The zero one is a batch of raw fleece.
	Again Earlier `json:"again,omitzero"`
	// Soaked is the batch of an earlier day that was presoaked there and no more: it is raw fleece still.
	Soaked Earlier `json:"soaked,omitzero"`
	// WasDryG is what it weighed dry before it is washed again; 0: not known.
	WasDryG float64 `json:"was_dry_g,omitempty"`
	// Washed is how often it was washed on its earlier days; 0 of one that names none, or does not say.
	Washed int `json:"washed,omitempty"`
	// FromStep is the step that it goes on with, of a batch that its earlier day left wet; "": the first.
	FromStep string `json:"from_step,omitempty"`
	// DosePart is how much of each wash's scour it takes; 0: all of it.
	DosePart float64 `json:"dose_part,omitempty"`
	// Card is what the card of an earlier wash says besides, of a day that was entered later.
	Card Card `json:"card,omitzero"`
}

// Card is what a card of an earlier wash says of a batch; what it does not say is empty.
type Card struct {
	TubID  string `json:"tub_id,omitempty"` // of the kit, where it has a tub of that name
	Tub    string `json:"tub,omitempty"`    // its name then
	Mark   string `json:"mark,omitempty"`   // what stands on the card, or on the bag
	Washes int    `json:"washes,omitempty"` // 0: not said
}

// CardWashes is how often a batch was washed on the day of its card: once where that is not said, not at all
// where it may have gone on with what stands behind its wash.
func (b Batch) CardWashes() int {
	if b.FromStep != "" {
		return b.Card.Washes
	}
	return max(1, b.Card.Washes)
}

// Earlier is a batch of an earlier day.
type Earlier struct {
	Day   DayID  `json:"day"`
	Batch string `json:"batch"`
}

// NowCalled ends a sentence about a batch that has another mark by now: ", as B1".
func (e Earlier) NowCalled(mark string) string {
	if mark == e.Batch {
		return ""
	}
	return ", as " + mark
}

// Raw says that a batch comes out of its fleece, and not from the rack or a bag.
func (b *Batch) Raw() bool { return b.Again == Earlier{} }

// NowG is what goes into the basket, g: its last dry weight, or the raw weight where none is known.
func (b *Batch) NowG() float64 { return cmp.Or(b.WasDryG, b.RawG) }

// Was is the batch that it was on an earlier day; the zero one comes from no day.
func (b Batch) Was() Earlier { return cmp.Or(b.Again, b.Soaked) }

// LabelBatches gives the batches behind those that have theirs a mark each: a letter for the fleece, a number for the
// batch. One of an earlier day keeps the mark that it had, and its fleece that letter, where no other has it.
func LabelBatches(fleeces []Fleece, batches []Batch, have int) []Batch {
	out, letter, taken := slices.Clone(batches), map[string]string{}, map[string]bool{} // letters by fleece; letters and marks
	claim := func(fleece, l string) {
		if letter[fleece] == "" && l != "" && !taken[l] {
			letter[fleece], taken[l] = l, true
		}
	}
	mark := func(b *Batch, number string) {
		if id := letter[b.FleeceID] + number; number != "" && b.ID == "" && !taken[id] {
			b.ID, taken[id] = id, true
		}
	}
	for i := range out {
		b := &out[i]
		if i < have {
			taken[b.ID] = true
		} else {
			b.ID = ""
		}
		l, _ := MarkParts(cmp.Or(b.ID, b.Was().Batch))
		claim(b.FleeceID, l)
	}
	n := 0
	for _, f := range fleeces {
		for letter[f.ID] == "" {
			claim(f.ID, fleeceLetter(n))
			n++
		}
	}
	for i := range out {
		_, number := MarkParts(out[i].Was().Batch)
		mark(&out[i], number)
	}
	count := map[string]int{}
	for i := range out {
		for b := &out[i]; b.ID == ""; {
			count[b.FleeceID]++
			mark(b, strconv.Itoa(count[b.FleeceID]))
		}
	}
	return out
}

// MarkParts are the letter and the number of a mark, empty of what is none.
func MarkParts(mark string) (letter, number string) {
	letter = strings.TrimRight(mark, "0123456789")
	if number = mark[len(letter):]; letter == "" || len(letter) > 3 || strings.Trim(letter, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" || number == "" || len(number) > 5 || number[0] == '0' {
		return "", ""
	}
	return letter, number
}

func fleeceLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return fleeceLetter(i/26-1) + string(rune('A'+i%26))
}

// Clean returns the batch with every text made safe to show.
func (b Batch) Clean() Batch {
	b.ID, b.FleeceID = measure.CleanText(b.ID, MaxName), measure.CleanText(b.FleeceID, MaxName)
	b.RawScale, b.Part = b.RawScale.Clean(), CleanPart(b.Part)
	b.Again.Batch, b.Soaked.Batch, b.FromStep = measure.CleanText(b.Again.Batch, MaxName), measure.CleanText(b.Soaked.Batch, MaxName), measure.CleanText(b.FromStep, 2*MaxName)
	b.Card.TubID, b.Card.Tub, b.Card.Mark = measure.CleanText(b.Card.TubID, MaxName), measure.CleanText(b.Card.Tub, MaxName), measure.CleanText(b.Card.Mark, MaxName)
	return b
}

// What goes on from a text with what lies in the basket, for a tag: ", loose", ", locks in 3
// layers, shoulder".
func (b Batch) What(out string) string {
	if b.Form != FormUnsaid {
		out += ", " + b.Form.String()
	}
	if n := b.LocksLayers(); n == 1 {
		out += " in one layer"
	} else if n > 1 {
		out += fmt.Sprintf(" in %d layers", n)
	}
	if b.Part != "" && b.Part != b.Form.String() {
		out += ", " + b.Part
	}
	return out
}

// LocksLayers is in how many layers a batch of locks lies; 0 if it is loose or
// nobody said: then it takes a place of its own.
func (b *Batch) LocksLayers() int {
	if b.Form != Locks {
		return 0
	}
	return b.Layers
}

// CheckLayers checks in how many layers locks lie in their basket; 0 says that
// nobody counts them.
func CheckLayers(n int) error {
	if n < 0 || n > maxBatchLayers {
		return fmt.Errorf("locks lie in 1 to %d layers, such as 3; 0 if not counted", maxBatchLayers)
	}
	return nil
}
