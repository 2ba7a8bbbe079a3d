//go:build race

package sound

// slowed says that the race detector makes everything several times slower: then
// order is tested, and time is not.
const slowed = true
