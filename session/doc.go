// Package session is the wash day, pure: fleeces, batches, the kit, methods,
// commands, events, state, the coach's words, alarms and the look back.
//
// One wash day is a journal of events; everything else is computed from it by
// three functions:
//
//	Decide(day, command, now)  what a person may do now; refuses with a sentence
//	Evaluate(day, now)         what time and temperature have done: alarms
//	Apply(day, recorded)       the only place that changes state
//
// Nothing here reads the clock, a file or the terminal: now is always an
// argument. Times are UTC; names carry their units (massG, tempC, soakMin).
package session
