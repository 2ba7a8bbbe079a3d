// Package tui is the face: it puts the screens together, routes messages to the one on
// top and lets time pass. It takes a journal, a ledger, a bell and a clock as interfaces and
// never reads the time, a file or a sound device by itself.
package tui
