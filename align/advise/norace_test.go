//go:build !race

package advise_test

// thorough is on except under the race detector.
const thorough = true
