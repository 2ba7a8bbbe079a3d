// Package exchange takes the record out of a store and into one: everything as
// JSON, which goes back in, and one row for each batch as CSV, for a
// spreadsheet.
//
// The JSON is an object:
//
//	format   "tubside journal"
//	version  1; 2 with a draft
//	counted  {"days", "fleeces", "methods"}: the highest numbers given so far
//	kit      the kit; left out before one is saved
//	fleeces  list of fleeces
//	methods  list of the person's own methods
//	draft    the plan of the next day; left out where there is none
//	days     list of {"summary", "events"}, the events in order
//
// The values are those that lie in the store (package store), word for word but for
// names in a summary that were put right (store.Contents), so
// a field added to one of them needs nothing here. A change of the shape around
// them is a new version; what reads the old ones stays.
package exchange

import "fleece.example/tubside/store"

const (
	format  = "tubside journal"
	version = 2
)

// Source is a store that can be read whole; *store.Store is one.
type Source interface {
	Read(head func(store.Contents) error, day func(store.DayContents) error) error
}
