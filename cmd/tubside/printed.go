package main

import (
	"errors"
	"fmt"
	"time"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/store"
)

// keepPrinted remembers what was printed, so that a later name can be told from it.
func keepPrinted(path string, found []tags.Tag) error {
	s, err := store.Open(path)
	if err != nil {
		return notNoted(err)
	}
	return errors.Join(notedPrinted(s, found), s.Close())
}

// notNoted says that tags are printed which the record does not know as printed.
func notNoted(err error) error {
	switch {
	case errors.Is(err, store.ErrInUse):
		return errors.New("these tags are not noted as printed, for the record is open in another window: tags that are printed from there are noted")
	case err != nil:
		return fmt.Errorf("these tags are not noted as printed: %w", err)
	}
	return nil
}

// notedPrinted remembers tags as printed now.
func notedPrinted(s *store.Store, found []tags.Tag) error {
	now := make([]tag.Printed, len(found))
	for i, t := range found {
		now[i] = t.Record
		now[i].At = time.Now().UTC()
	}
	return notNoted(s.SavePrinted(now))
}

// outOfDate says which of the tags were printed before under another name.
func outOfDate(u measure.System, found []tags.Tag, before []tag.Printed) string {
	n, last := 0, time.Time{}
	for _, tag := range found {
		for _, p := range before {
			if p.Day == tag.Record.Day && p.Batch == tag.Record.Batch && p.Name != tag.Record.Name {
				n++
				last = p.At
			}
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("tags printed with the old name: %d, last on %s", n, u.Moment(last.In(time.Local), "2 Jan 2006"))
}

// again is what can be done about tags with an old name.
func (t *tagging) again(found []tags.Tag) string {
	if t.code != "" {
		return fmt.Sprintf("; `tubside tags --fleece %s` prints it anew", found[0].Record.Fleece)
	}
	return "; put these in their place"
}
