//go:build race

package advise_test

// thorough is off under the race detector, which makes these tests twenty times slower and looks for something else.
const thorough = false
