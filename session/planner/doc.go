// Package planner says what is still to come: fleece split into batches, baths forecast
// in every tub, the timetable of the rest of a day, its hot water, its sums. It plans
// before a day and during it by the same rules; what the day itself asks (a fill, a bath
// ahead) is in session.
//
// # How a day is posed
//
//   - Filling and sinking in are one piece, lifting and emptying another: a person does not
//     leave in between. So the sink is no resource. The rack limits the number of batches.
//   - A wash has to be out by the early bound of its release temperature: a hard limit.
//     Longest soaks, wet fleece that waits and boiled water (8 min) are soft. Fleece
//     waits 10 min between a hot bath and the next (or what its step says), 45 after a
//     cold one and before it is spun. What gives first is the finish, then a soft
//     limit, last a wash. Around a break a rinse that soaks too long, and cold fleece that hangs,
//     are weighed against the finish: a minute counts as five of the day.
//   - The kettle is busy from when it is put on until its water is poured. It goes on as late
//     as its fill allows, a minute in hand, between two pieces of work. What it loses until
//     then, and what waits for the next boil in a lidded pail, is in the fill (cooling.Boil).
//   - A tank that is drawn down is a stock which its heater fills again. A fill waits until the
//     tank gives a bath as from a full one, or is made with more from the kettle: in which of
//     four steps is chosen fill by fill. What sags takes less heat, which is reckoned with. A
//     lift is put off where its fleece would hang while the tank heats. A tank without a heater
//     is told of in notes alone.
//   - A boil that was due stays due, and first, while nobody has put the kettle on.
//   - A batch may be loaded out of the plan's order; alike batches keep theirs. It goes only
//     into a tub that the split would give as much, or into the largest.
//   - A batch is sized for its tub, in grams for each litre by type and form (common
//     practice), in as few turns at the tubs and as few batches as hold the part, in steps
//     of what is shown.
//   - Around breaks and quiet hours all is planned. A lift that can be neither before nor after
//     ends them, and fleece that hangs hot is put into its bath first. A lift whose fleece would
//     hang in a break waits (session.Day.LiftWaits), and so does a wash that would not be in its rinse before one
//     (session.Day.FillWaits). No kettle boils in one, or before it for a fill behind it. A batch that cannot be left goes on in what
//     began meanwhile (session.Day.GoesOn). Quiet hours go on once the batch that ends
//     them is through; a hot wash is not planned to last as long as they do, however slowly it
//     cools. Those that leave less than eight hours of a day say only when it begins and what falls
//     into them.
//   - An overnight presoak begins in the evening and is lifted when the person is up. With a
//     bin it is no step of the tub. What a night has no room for waits for the next.
//   - More than ten hours of work (our own rule) is divided over days as even as can be.
//   - Every way out of a bath that is too cool has been made and tried before it is named.
//
// # Boiled water
//
// Days with kettles of 1 to 4 L lived second by second, kettle, pail and hands better and
// worse than they should be (go test ./session/planner -run KettleBaths -v, seed 2611, 400
// days): how far the bath is off, °C, beside what water that is taken for fresh would be.
//
//	one boil       -0.0 ± 0.5   fresh -0.6 ± 0.5
//	several boils  -0.5 ± 1.4   fresh -3.6 ± 1.5
//
// Boils stand 1 min in the middle, 4 min at the 9th tenth; before, 8 in the middle.
//
// # A tank that runs low
//
// A day of two hot washes a batch, 1 300 g, a heater of 1 kW (go test ./session/planner -run
// TankMoves -v):
//
//	tank, L       none   200    80    40
//	length, min    249   249   446   506
//
// No larger tank finishes later, in 240 plans of drawn days (TUBSIDE_LONG=1 go test ./session/planner
// -run LargerTankOrKettle -v), and one larger kettle by 1.3 min: its own marks pour another mix, and the
// search of how each fill is made ends 2.1 % over the bound, not 1.3. With one choice for the whole day 2 did.
// Days drawn otherwise do worse, those of long work with a heater of 1 kW: with the seeds 4242 and 7 one of 230
// plans finishes later than with less, with 77 and 3 six of 220, the worst by 63 min. The ways of a fill
// differ in what they need the tank to hold, not in what they take from a full one. To go on from the search
// for a tank half as large mended half of these for twice the time, and made other days later.
//
// # How near to the best
//
// Days of 60 g batches of one invented fleece, every third tub a tray, the built-in method,
// none begun. Finish over the bound, in per cent of the finish, [Thorough]; 0 is proven
// (go test ./session/planner -run GapOfDays -v prints all):
//
//	batches     3    4    5    6    7    8    9   12   24   48
//	2 tubs      0    0    0    0    0    0    0  5.0  4.5  4.2
//	3 tubs      0    0    0  7.8  2.6 10.9  6.7  6.2  5.4  5.0
//	5 tubs      0    0    0 11.4  4.7  2.7    0  2.7  0.4  0.3
//
// [Quick] is at most 10 per cent worse with few batches, 2 from 12 on. With 2 and 3
// tubs, where tubs and person are nearly full, the bound is weak: wherever the exact
// search came to its end, the timetable was best already. Half done and planned again
// (-run HalfDone -v): 24 and 48 batches on 5 tubs within 0.3 per cent of the bound, 12 on 3 tubs 4.5.
// Thorough takes 30 to 80 ms on a shared 2-core machine, Quick 1 to 11.
//
// # A tub for rinses
//
// A batch is planned in one tub; on the day its basket may move on to any empty one. With equal tubs,
// up to 6 batches and the usual method (TUBSIDE_LONG=1 go test ./session/timetable -run ARinseTub -v)
// a tub that is kept for rinses ends the day 4 min to 1 h 33 later, for the baskets queue at it, and
// that of one batch 6 min sooner. Basket by basket a move gains 6 to 10 min where the last turn leaves
// a tub empty, if that is filled before the lift, 3 to 6 if after it; in full turns none does. A third
// tub in which no wash would last is worth 22 to 80 min so, and a lid on it mostly more.
package planner
