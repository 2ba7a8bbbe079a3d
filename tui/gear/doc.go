// Package gear is where a person puts in what stands in the shed and how it is used: kit,
// methods, alarms, the sound check.
package gear
