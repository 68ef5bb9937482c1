//go:build !race

package draw_test

// raceOn says that the race detector is on.
const raceOn = false
