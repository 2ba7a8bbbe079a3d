package main

import (
	"errors"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// makeDay makes a store with an invented day in it.
func makeDay(path string) error {
	return makeDayAt(path, time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC))
}

// makeDayAt makes one that began then, with a batch in the water since.
func makeDayAt(path string, now time.Time) error {
	s, err := store.Open(path)
	if err != nil {
		return err
	}
	id, err := s.NewDay()
	if err != nil {
		return err
	}
	p := shed.Plan{
		Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(),
		Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", Farm: "Nowhere Fold", RawG: 900}},
		Batches: []shed.Batch{{FleeceID: "f1", RawG: 200}},
	}
	d, recs, err := session.Do(session.Day{}, session.StartDay{Plan: p}, now)
	for _, act := range []shed.Action{shed.FillTub, shed.SinkIn} {
		if err != nil {
			return err
		}
		var more []session.Recorded
		d, more, err = session.Do(d, session.DoNext{Act: act}, now)
		recs = append(recs, more...)
	}
	if err != nil {
		return err
	}
	return errors.Join(s.SaveKit(p.Kit), s.Append(id, recs, ledger.Summarise(id, d)), s.Close())
}
