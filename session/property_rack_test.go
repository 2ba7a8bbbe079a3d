package session_test

import "fleece.example/tubside/session"

// onRack checks that no two batches lie in one layer, that each has all the
// room it needs, and that no tray holds more than it has places.
func onRack(t reporter, d session.Day) {
	t.Helper()
	taken := map[string]map[[2]int]string{}
	placeless := map[string]int{}
	for _, b := range d.Plan.Batches {
		f := d.Fate[b.ID]
		if f.Tray == "" || f.DryG > 0 {
			continue
		}
		tray, ok := d.Plan.Kit.Tray(f.Tray)
		if !ok {
			t.Errorf("%s lies on a tray %q that is not there", b.ID, f.Tray)
			continue
		}
		if tray.Layers == 0 {
			if placeless[tray.ID]++; len(f.Spots) > 0 || placeless[tray.ID] > tray.Places {
				t.Errorf("%d batches lie on %s, which has room for %d; %s at %v", placeless[tray.ID], tray.Name, tray.Places, b.ID, f.Spots)
			}
			continue
		}
		layers := 0
		for _, s := range f.Spots {
			if s.Place < 1 || s.Place > tray.Places || s.From < 1 || s.To < s.From || s.To > tray.Layers {
				t.Errorf("%s lies at %+v of %+v", b.ID, s, tray)
			}
			for l := s.From; l <= s.To; l++ {
				if taken[tray.ID] == nil {
					taken[tray.ID] = map[[2]int]string{}
				}
				at := [2]int{s.Place, l}
				if other := taken[tray.ID][at]; other != "" {
					t.Errorf("%s and %s lie both at %v of %s", other, b.ID, at, tray.Name)
				}
				taken[tray.ID][at] = b.ID
				layers++
			}
		}
		want := tray.Layers // a place of its own
		if b.Form == session.Locks && b.Layers > 0 {
			want = b.Layers
		}
		if layers != want {
			t.Errorf("%s lies in %d layers on %s, want %d: %+v", b.ID, layers, tray.Name, want, f.Spots)
		}
	}
}
