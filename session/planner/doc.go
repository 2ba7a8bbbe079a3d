// Package planner says what is still to come: fleece split into batches, baths forecast
// in every tub, the timetable of the rest of a day, its hot water, its sums.
package planner
