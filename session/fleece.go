package session

import (
	"fmt"
	"time"
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
	RawG    float64    `json:"raw_g"` // whole fleece, grams as weighed
	Notes   string     `json:"notes,omitempty"`
}

// Title is the fleece's short name for a line on the screen.
func (f Fleece) Title() string {
	if f.Farm == "" {
		return f.Animal
	}
	return f.Animal + ", " + f.Farm
}

// Clean returns the fleece with every text made safe to show.
func (f Fleece) Clean() Fleece {
	f.ID = clean(f.ID, maxName)
	f.Animal, f.Farm = clean(f.Animal, maxName), clean(f.Farm, maxName)
	f.Notes = clean(f.Notes, maxNote)
	return f
}

// Validate says in a sentence what is wrong with the fleece.
func (f Fleece) Validate() error {
	if clean(f.Animal, maxName) == "" {
		return fmt.Errorf("the fleece has no animal's name: give one, or a number such as ewe 12")
	}
	if f.Year != 0 && (f.Year < 1950 || f.Year > 2200) {
		return fmt.Errorf("%d cannot be the year of clip: give four digits such as 2026", f.Year)
	}
	return CheckFleeceG(f.RawG)
}

// CheckFleeceG checks the raw weight of a whole fleece, grams.
func CheckFleeceG(g float64) error {
	if !(g >= 10 && g <= 20000) {
		return fmt.Errorf("a whole fleece weighs between 10 g and 20 kg: %.4g g cannot be right", g)
	}
	return nil
}

// Batch is what goes into one basket.
type Batch struct {
	ID       string        `json:"id"` // A1, A2, B1: letter by fleece, number by batch; unique within its day
	FleeceID string        `json:"fleece_id"`
	RawG     float64       `json:"raw_g"`
	Form     Form          `json:"form"`
	Presoak  PresoakChoice `json:"presoak"`
}

// CheckBatchG checks the raw weight of one batch, grams.
func CheckBatchG(g float64) error {
	if !(g >= 5 && g <= 2000) {
		return fmt.Errorf("a batch weighs between 5 g and 2 kg, usually 115 to 225 g: %.4g g cannot be right", g)
	}
	return nil
}

// LabelBatches gives each batch its mark in the order given: the letter follows
// the fleece's place among fleeces, the number counts that fleece's batches.
func LabelBatches(fleeces []Fleece, batches []Batch) []Batch {
	letter, count := map[string]string{}, map[string]int{}
	for i, f := range fleeces {
		letter[f.ID] = fleeceLetter(i)
	}
	out := make([]Batch, len(batches))
	for i, b := range batches {
		count[b.FleeceID]++
		b.ID = fmt.Sprintf("%s%d", letter[b.FleeceID], count[b.FleeceID])
		out[i] = b
	}
	return out
}

func fleeceLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return fleeceLetter(i/26-1) + string(rune('A'+i%26))
}

// Plan is everything needed to start a wash day.
type Plan struct {
	Kit     Kit      `json:"kit"`
	Method  Method   `json:"method"`
	Fleeces []Fleece `json:"fleeces"`
	Batches []Batch  `json:"batches"` // in the order they are to be washed
}

// maxBatches bounds a day; more is a slip, and no one can wash it.
const maxBatches = 200

// Clean returns the plan with every name made safe and every batch labelled.
func (p Plan) Clean() Plan {
	p.Kit = p.Kit.Clean()
	p.Method = p.Method.Clean()
	fleeces := make([]Fleece, len(p.Fleeces))
	for i, f := range p.Fleeces {
		fleeces[i] = f.Clean()
	}
	p.Fleeces = fleeces
	for i := range p.Batches {
		p.Batches[i].FleeceID = clean(p.Batches[i].FleeceID, maxName)
	}
	p.Batches = LabelBatches(p.Fleeces, p.Batches)
	return p
}

// Validate says in a sentence what keeps the plan from being washed.
func (p Plan) Validate() error {
	if err := p.Kit.Validate(); err != nil {
		return err
	}
	if err := p.Method.Validate(); err != nil {
		return err
	}
	if len(p.Batches) == 0 {
		return fmt.Errorf("the day has no batch: choose a fleece and put at least one batch in a basket")
	}
	if len(p.Batches) > maxBatches {
		return fmt.Errorf("%d batches are more than a day can hold (%d)", len(p.Batches), maxBatches)
	}
	used, known := map[string]float64{}, map[string]Fleece{}
	for _, f := range p.Fleeces {
		if err := f.Validate(); err != nil {
			return err
		}
		if _, twice := known[f.ID]; twice {
			return fmt.Errorf("two fleeces have the same mark %q", f.ID)
		}
		known[f.ID] = f
	}
	for _, b := range p.Batches {
		f, ok := known[b.FleeceID]
		if !ok {
			return fmt.Errorf("a batch names the fleece %q, which is not in the day", b.FleeceID)
		}
		if err := CheckBatchG(b.RawG); err != nil {
			return fmt.Errorf("%s: %w", f.Title(), err)
		}
		used[b.FleeceID] += b.RawG
		if used[b.FleeceID] > f.RawG+0.5 {
			u := p.Kit.Units
			return fmt.Errorf("the batches of %s add up to %s, but the fleece weighs %s: lower one or weigh again",
				f.Title(), u.Mass(used[b.FleeceID]), u.Mass(f.RawG))
		}
	}
	return nil
}

// Note is something the person wanted to remember.
type Note struct {
	At   time.Time `json:"at"`
	Tub  int       `json:"tub"` // index into the kit's tubs; -1 for the whole day
	Text string    `json:"text"`
}

const maxNote = 400
