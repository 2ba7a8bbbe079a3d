//go:build unix

package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/store"
)

// What is taken along from the screen: into a new file, or to the print service, whose
// refusal is passed on. Tags are remembered as printed when they are, not when they are written.
func TestAlongFromTheScreen(t *testing.T) {
	dir := t.TempDir()
	must.Do(t, makeDay(filepath.Join(dir, fileName)))
	s := must.Get(store.Open(filepath.Join(dir, fileName))).In(t)
	defer func() { _ = s.Close() }()
	d := must.Get(s.Day(1)).In(t)
	a := along{s}
	var printed func() error
	for name, x := range map[string]struct {
		write  func(io.Writer) error
		begins string
	}{
		"page": {func(w io.Writer) error { return a.Page(w, 1, d, measure.Metric) }, "<!doctype html>"},
		"tags": {func(w io.Writer) (err error) { printed, err = a.DayTags(w, 1, d, measure.US); return err }, "%PDF-"},
		"bags": {func(w io.Writer) (err error) { printed, err = a.FleeceTags(w, "f1", measure.US); return err }, "%PDF-"},
		"card": {func(w io.Writer) error { return a.Card(w, "f1", measure.Metric) }, "%PDF-"},
	} {
		path := filepath.Join(dir, name)
		if err := a.File(path, x.write); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if got, err := os.ReadFile(path); err != nil || !strings.HasPrefix(strings.ToLower(string(got)), strings.ToLower(x.begins)) {
			t.Errorf("%s: %.20q, %v", name, got, err)
		}
		if err := a.File(path, x.write); err == nil || !strings.Contains(err.Error(), "exists already") {
			t.Errorf("%s over the first: %v", name, err)
		}
	}
	if kept, err := s.Printed(); err != nil || len(kept) > 0 {
		t.Errorf("printed before they are: %+v, %v", kept, err)
	}
	if err := printed(); err != nil {
		t.Error(err)
	}
	if kept, err := s.Printed(); err != nil || len(kept) != 1 || kept[0].Batch != "A1" {
		t.Errorf("printed: %+v, %v", kept, err)
	}

	t.Setenv("PATH", dir)
	if a.Printer() {
		t.Error("there is a printer where no print service is")
	}
	script := "#!/bin/sh\nPATH=/bin:/usr/bin\ncat > " + dir + "/paper\ntest \"$2\" = plan.txt || { echo no such destination; exit 1; }\n"
	must.Do(t, os.WriteFile(filepath.Join(dir, "lp"), []byte(script), 0o755))
	text := func(w io.Writer) error { _, err := io.WriteString(w, "the plan\n"); return err }
	if !a.Printer() {
		t.Error("no printer where a print service is")
	}
	if err := a.Print("plan.txt", text); err != nil {
		t.Error(err)
	}
	if got, err := os.ReadFile(filepath.Join(dir, "paper")); err != nil || string(got) != "the plan\n" {
		t.Errorf("%q on paper, %v", got, err)
	}
	if err := a.Print("other.txt", text); err == nil || !strings.Contains(err.Error(), "no such destination") {
		t.Errorf("a refused job: %v", err)
	}
}
