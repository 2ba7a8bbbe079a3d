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
// # When something sounds
//
// Only what needs the person, with time left to act, is an alarm (ISA-18.2). The end of a
// soak is a call, one tone, and only where the person has nothing else to do. It becomes
// an alarm when the deed has not come in the person's usual minutes: twice what the lifts
// of past days and this one take, 3 to 10, and what another tub may hold them for; at the
// latest Kit.LeadMin before the longest soak. A wash bath that nobody has read is asked
// about before it is called too cool, and is loud 3 min before its early bound: of
// simulated ones (4 000 each at 2 to 26 °C, open and under a lid; go test ./session/coach
// -run UnreadBaths -v) 2.4 to 4.9 % are down by then.
//
// One tub has one alarm at a time, the worst. Only what ruins fleece or the record is high,
// and nothing comes to be high because nobody came. Low alarms and calls do not take the
// screen over. There is one kettle, so one call for it at a time. A ring is one burst,
// written into the journal; the player keeps still between. Of all that stand the loudest
// speaks for the others, and one that is raised within half a minute of a sound as urgent
// keeps still: two sounds a minute at most, but for a more urgent one.
//
// What a day is made from lies in session/shed. What follows from a day is in rooms
// above: session/planner, session/coach, session/ledger, session/tag.
package session
