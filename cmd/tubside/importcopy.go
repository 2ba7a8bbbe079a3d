package main

import (
	"bytes"
	"encoding/json"
	"errors"

	"fleece.example/tubside/store"
)

// readCopy is what a copy of a record holds; ok is false for a file that is none.
func readCopy(path string) (c store.Contents, days []store.DayContents, ok bool, err error) {
	s, err := store.Peek(path)
	if err != nil {
		if store.StateOf(path) == 0 { // not even its first page
			err = nil
		}
		return c, nil, err != nil, ofCopy(err, "it")
	}
	values := func(in []json.RawMessage) (out []json.RawMessage) {
		for _, v := range in {
			out = append(out, bytes.Clone(v)) // they are not ours to keep
		}
		return out
	}
	err = s.Read(func(all store.Contents) error {
		c = all
		c.Kit, c.Fleeces, c.Methods, c.Draft = bytes.Clone(all.Kit), values(all.Fleeces), values(all.Methods), bytes.Clone(all.Draft)
		return nil
	}, func(d store.DayContents) error {
		days = append(days, store.DayContents{ID: d.ID, Summary: bytes.Clone(d.Summary), Events: values(d.Events)})
		return nil
	})
	return c, days, true, errors.Join(ofCopy(err, "it"), s.Close())
}
