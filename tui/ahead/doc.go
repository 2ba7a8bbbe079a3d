// Package ahead is the plan of a day: fleeces, their batches, what the day will take.
package ahead
