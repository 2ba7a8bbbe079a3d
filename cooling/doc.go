// Package cooling holds the physics of a tub of hot water: what water weighs,
// how it cools, what a mixture comes to, how fast a tub loses heat under each
// cover, and what a few thermometer readings say about all of it.
//
// Everything is a pure function of its arguments. Quantities are SI with the
// unit in the name; times are minutes since the bath was filled (…Min) and
// temperatures are degrees Celsius (…C). A difference of temperature in °C is
// the same number as in K, so heat losses are W/K.
//
// The law is Newton's: T(t) = room + (start - room)·exp(-rate·t), with
// rate = loss/heat. Water under a film that stops evaporation keeps to it
// within half a degree over more than three hours, with the room at its
// measured temperature. Open water does not: evaporation makes its first
// minutes fall much faster than its last. So a bath's loss may fall with its
// temperature in a straight line, by a handbook slope ([LossTilt]); that has an
// exact solution too, and on measured water it forecasts better from early
// readings than the plain law, open most of all. What error is left comes too
// soon rather than too late.
//
// Nothing here panics. An argument that makes no sense (NaN, an infinity, a
// negative volume) gives NaN, +Inf or ok == false as each function says.
package cooling
