// Package past is what has been washed: days, fleeces, cards, the drying rack, weights, the
// look back.
package past
