package shed_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/shed"
)

// The name given last stands in whichever way a kit and an older copy of it are put
// together, though the clock was set back between two names or went back to an old one.
func TestLastNameStands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, at := shed.DefaultKit().Clean(), time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
		copies := []shed.Kit{k}
		for range rapid.IntRange(1, 6).Draw(t, "times") {
			at = at.Add(time.Duration(rapid.IntRange(-3, 3).Draw(t, "hours")) * time.Hour)
			named := k
			named.Tubs = slices.Clone(k.Tubs)
			named.Tubs[0].Name = rapid.SampledFrom([]string{"North", "South", "Blue"}).Draw(t, "name")
			k = named.Instead(k, at).Clean()
			copies = append(copies, k)
		}
		want := k.Tubs[0].Name
		for _, c := range copies {
			if got := c.WithNames(k).Clean().Tubs[0].Name; got != want {
				t.Errorf("a copy with the kit's names says %s for %s: %+v", got, want, c.Names)
			}
			if got := k.WithNames(c).Clean().Tubs[0].Name; got != want {
				t.Errorf("the kit with a copy's names says %s for %s: %+v", got, want, c.Names)
			}
		}
	})
}
