//go:build !race

package sound

// slowed: see the other file.
const slowed = false
