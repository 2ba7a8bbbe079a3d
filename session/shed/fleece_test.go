package shed

import "testing"

// What is said of a batch has no more than is known.
func TestWhat(t *testing.T) {
	for want, b := range map[string]Batch{
		"A1, loose":                       {},
		"A1, locks":                       {Form: Locks},
		"A1, locks in one layer, britch":  {Form: Locks, Layers: 1, Part: "britch"},
		"A1, locks in 3 layers, shoulder": {Form: Locks, Layers: 3, Part: "shoulder"},
		"A1":                              {Form: FormUnsaid},
		"A1, britch":                      {Form: FormUnsaid, Part: "britch"},
	} {
		if got := b.What("A1"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
