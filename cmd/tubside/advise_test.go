package main

import (
	"fmt"
	"strings"
	"testing"

	"fleece.example/tubside/store"
)

// TestImportAdvice: leaving the kit out is said where that is enough, and else a
// way that is.
func TestImportAdvice(t *testing.T) {
	conflict := fmt.Errorf("x: %w", store.ErrConflict)
	for _, c := range []struct {
		m    store.Merged
		want string
	}{
		{store.Merged{KitDiffers: true, Conflicts: []string{"the kit"}}, "--without-kit leaves the kit out"},
		{store.Merged{KitDiffers: true, Conflicts: []string{"the kit", "fleece f1"}}, "--data FOLDER with a new folder"},
		{store.Merged{Conflicts: []string{"fleece f1"}}, "--data FOLDER with a new folder"},
	} {
		if got := (&importing{}).advise(conflict, c.m).Error(); !strings.Contains(got, c.want) {
			t.Errorf("%+v: %s", c.m, got)
		}
	}
}
