package shed

import "testing"

// Questions that are asked together stand as sentences.
func TestTogether(t *testing.T) {
	got := Together(nil, Unlikelyf("is it another one?"), Unlikelyf("it is more than is left"), Unlikelyf("are you sure?"))
	if want := "is it another one? it is more than is left. are you sure?"; got.Error() != want {
		t.Errorf("%q, want %q", got, want)
	}
	if Together(nil, nil) != nil {
		t.Error("nothing is asked about")
	}
}
