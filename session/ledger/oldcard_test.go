package ledger_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// A card is asked about that is of a day before its fleece was shorn, as far as that is known.
func TestACardBeforeTheShears(t *testing.T) {
	for _, c := range []struct {
		shorn string
		year  int
		day   int // of May 2026
		asked bool
	}{
		{"3 May", 2026, 2, true}, {"3 May", 2026, 3, false}, {"May 3", 2026, 2, true}, {"2026-05-03", 0, 2, true}, {"2026-05-03", 0, 3, false},
		{"in spring", 2026, 2, false}, {"in spring", 2027, 2, true}, {"", 2027, 2, true}, {"", 0, 2, false}, {"in spring", 0, 2, false},
	} {
		card := ledger.Card{On: time.Date(2026, 5, c.day, 12, 0, 0, 0, time.UTC), Fleece: shed.Fleece{ID: "f1", Animal: "Moss", Shorn: c.shorn, Year: c.year, RawG: 900}, Batch: shed.Batch{RawG: 200}}
		err := ledger.Shelf{Kit: shed.DefaultKit(), Zone: time.UTC}.Ask(card, false)
		if asked := err != nil && strings.Contains(err.Error(), "is before Moss was shorn"); asked != c.asked {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// Of an old card that names no scale the figures say how finely it weighed.
func TestAYieldIsAsFineAsItsFigures(t *testing.T) {
	const oz = measure.GPerOz
	for rawOz, want := range map[float64]string{11.5: "54.2-58.9", 11.6: "55.6-56.5"} {
		y, _, err := ledger.YieldOf([]ledger.BatchRow{{RawG: rawOz * oz, DryG: 6.5 * oz}}, shed.Medium, measure.US)
		if got := fmt.Sprintf("%s-%s", measure.PercentFigure(y.AsWeighed.Low, 1), measure.PercentFigure(y.AsWeighed.High, 1)); err != nil || got != want {
			t.Errorf("6.5 of %v oz: %s, want %s (%v)", rawOz, got, want, err)
		}
	}
}

// Where the room's humidity is known of some batches only, one sentence says so.
func TestHumidityOfSomeBatches(t *testing.T) {
	y, _, err := ledger.YieldOf([]ledger.BatchRow{{RawG: 200, DryG: 110, DryRH: 0.55}, {RawG: 200, DryG: 108}}, shed.Medium, measure.Metric)
	if said := strings.Join(y.Remarks, "; "); err != nil || strings.Count(said, "humidity") != 1 || !strings.Contains(said, "is known for only 1 of the 2 batches") {
		t.Errorf("%q, %v", said, err)
	}
}
