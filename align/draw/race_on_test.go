//go:build race

package draw_test

// raceOn says that the race detector is on, which makes pictures take some ten times as long and has nothing to find in them.
const raceOn = true
