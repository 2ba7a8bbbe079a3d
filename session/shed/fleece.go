package shed

import (
	"fmt"
	"slices"
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
	// MadeAt is when it was entered, ChangedAt when it was last put right; zero in a
	// record of an older version. Two stores tell by them which says the newer.
	MadeAt    time.Time `json:"made_at,omitzero"`
	ChangedAt time.Time `json:"changed_at,omitzero"`
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
	f.ID = measure.CleanText(f.ID, MaxName)
	f.Animal, f.Farm = measure.CleanText(f.Animal, MaxName), measure.CleanText(f.Farm, MaxName)
	f.Notes, f.Colour = measure.CleanText(f.Notes, MaxNote), measure.CleanText(f.Colour, MaxName)
	f.Parts = slices.Clone(f.Parts)
	for i := range f.Parts {
		f.Parts[i].Name = CleanPart(f.Parts[i].Name)
	}
	return f
}

// Validate says in a sentence what is wrong with the fleece.
func (f Fleece) Validate() error { return f.validate(measure.Metric) }

// validate is Validate in the person's own units.
func (f Fleece) validate(u measure.System) error {
	f = f.Clean()
	if f.Animal == "" {
		return fmt.Errorf("the fleece has no animal's name: give one, or a number such as ewe 12")
	}
	if f.Year != 0 && (f.Year < 1950 || f.Year > 2200) {
		return fmt.Errorf("%d cannot be the year of clip: give four digits such as 2026", f.Year)
	}
	for _, err := range []error{
		fleeceTypeWords.Check("a fleece type", int(f.Type)), levelWords.Check("a level", int(f.Wax)), levelWords.Check("a level", int(f.Felting)),
	} {
		if err != nil {
			return fmt.Errorf("%s: %w", f.Animal, err)
		}
	}
	return f.checkRecord(u)
}

// CheckFleeceG checks the raw weight of a whole fleece, grams.
func (k Kit) CheckFleeceG(g float64) error { return checkFleeceG(k.Units, g) }

func checkFleeceG(u measure.System, g float64) error {
	return measure.About("a whole fleece of", u.CheckMassG(g, measure.Between(10, 20000)))
}

// Batch is what goes into one basket.
type Batch struct {
	ID       string        `json:"id"` // A1, A2, B1: letter by fleece, number by batch; unique within its day
	FleeceID string        `json:"fleece_id"`
	RawG     float64       `json:"raw_g"`
	Form     Form          `json:"form"`
	Presoak  PresoakChoice `json:"presoak"`
	RawScale Scale         `json:"raw_scale,omitzero"` // what its raw weight was read on
	Part     string        `json:"part,omitempty"`     // the part of the fleece it is from; "": from all over, or not known
	Layers   int           `json:"layers,omitempty"`   // locks: in how many layers they lie; 0: not counted
}

// CheckBatchG checks the raw weight of one batch, grams.
func (k Kit) CheckBatchG(g float64) error { return CheckBatchMass(k.Units, g) }

// CheckBatchMass checks the raw weight of one batch, grams, in these units.
func CheckBatchMass(u measure.System, g float64) error {
	if err := u.CheckMassG(g, measure.Between(5, 2000)); err != nil {
		return fmt.Errorf("a batch of %w, usually %s to %s", err, u.Mass(115), u.Mass(225))
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

// Clean returns the batch with every text made safe to show.
func (b Batch) Clean() Batch {
	b.ID, b.FleeceID = measure.CleanText(b.ID, MaxName), measure.CleanText(b.FleeceID, MaxName)
	b.RawScale, b.Part = b.RawScale.Clean(), CleanPart(b.Part)
	return b
}

// AskSpent asks about a fleece of which so little is left that it makes no batch.
func (f Fleece) AskSpent(u measure.System, leftG float64) error {
	if checkFleeceG(u, leftG) == nil {
		return nil
	}
	left := "nothing"
	if leftG >= 0.5 {
		left = "only " + u.Mass(leftG)
	}
	return Unlikelyf("%s is left of %s: the rest is washed or in the plan. Is there more of it than its weight says?", left, f.Clean().Title())
}

// AskTwin asks about a fleece that others have already: the same animal of the same
// farm, shorn in the same year.
func (f Fleece) AskTwin(others []Fleece) error {
	f = f.Clean()
	for _, o := range others {
		if o.ID != f.ID && strings.EqualFold(o.Animal, f.Animal) && strings.EqualFold(o.Farm, f.Farm) && o.Year == f.Year {
			year := ""
			if f.Year > 0 {
				year = fmt.Sprintf(" of %d", f.Year)
			}
			return Unlikelyf("there is a fleece %s%s already, %s: open that one, or give this one another name", o.Title(), year, o.ID)
		}
	}
	return nil
}
