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
//
// # What was measured
//
// The law, on a mug of hot water (Israel, Saltzman and Wagon, Mathematics Magazine
// 86(3), 2013) down to 49 °C; readings rounded to 1 °C every 4 minutes, the room known,
// the loss known beforehand to a factor of e (go test ./cooling -run OpenWater -v).
// Error of the likely crossing, plain law and tilted one:
//
//	readings from                          open              film
//	65 °C, 30 % of the minutes       -11.7 %, -5.2 %    -7.5 %, -4.5 %
//	65 °C, 30 % of the degrees        -9.0 %, -1.2 %   -10.2 %, -7.1 %
//	the top, a fifth of the minutes  -37.2 %, -16.0 %  -11.3 %, -3.3 %
//
// The early bound lies before the true crossing in every row. From near boiling, open,
// the interval is too narrow and too early.
//
// Odds: true crossings inside the 90 % interval, 2 000 baths each of 8 L, 65 to 49 °C,
// thermometer ± 0.5 °C, rounded to the degree: 88.6 to 91.1 % after 0, 1, 2, 3, 5 and 8
// readings, open and under a lid.
//
// Learning: error of a forecast without a reading, median of 2 000 tubs whose days
// differ by 10 %, ten readings a bath: 19.9 % (lid) and 23.5 % (open) before the first
// bath, 10.8 and 10.3 % after one, 8.6 and 8.2 % after three.
//
// Mistyped readings: 1 of 18 120 good ones accused; all of 3 912 with swapped digits (9 °C
// or more) found, no good one accused beside them.
//
// Plain series: NIST StRD Misra1a to 10.5 digits or more from either published start. With
// the room free the crossing's interval comes from the profile likelihood, which held
// 90.5 % of true crossings; linearised deviations held 54 %.
//
// Speed: a fit of twenty readings takes 4 to 8 µs, a crossing as long; the same fit by a
// general optimiser 12 to 120 times that.
package cooling
