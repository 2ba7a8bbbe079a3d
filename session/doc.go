// Package session is the wash day itself, pure: commands, events, state, the heat of
// its baths, its alarms.
//
// One wash day is a journal of events; everything else is computed from it by
// three functions:
//
//	Decide(day, command, now)  what a person may do now; refuses with a sentence
//	Evaluate(day, now)         what time and temperature have done: alarms
//	Apply(day, recorded)       the only place that changes state
//
// Nothing here reads the clock, a file or the terminal: now is always an
// argument. Times are UTC; names carry their units (massG, tempC, SoakMin).
//
// What a day is made from lies in session/shed. What follows from a day is in rooms
// above: session/planner, session/coach, session/ledger, session/tag.
package session
