// Package clock reads positions of a clock's hand, and tells hours that were written as degrees.
package clock

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Parse is the angle in degrees of a position of the clock's hand such as 4:30; isTime reports whether the
// text is meant as one, and wrong that it is none.
func Parse(text string) (degrees float64, isTime, wrong bool) {
	hour, minute, isTime := strings.Cut(text, ":")
	if !isTime {
		return 0, false, false
	}
	h, wrongHour := strconv.ParseUint(hour, 10, 8)
	m, wrongMinute := strconv.ParseUint(minute, 10, 8)
	return float64(60*(h%12)+m) / 2, true, wrongHour != nil || wrongMinute != nil || h > 12 || m > 59 // the hand goes half a degree a minute
}

// face is the arc, in radians, that holds the hours of a clock's face written as degrees: 12° and rounding.
const face = 12*math.Pi/180 + 1e-9

// AreHours reports whether angles in radians, three or more, lie within so short an arc that they are hours
// written as degrees: nothing can be said of a round's direction, or of a plane, from there.
func AreHours(angles []float64) bool {
	if len(angles) < 3 {
		return false
	}
	order := make([]float64, len(angles))
	for i, a := range angles {
		order[i] = math.Mod(math.Mod(a, 2*math.Pi)+2*math.Pi, 2*math.Pi)
	}
	slices.Sort(order)
	gap := order[0] + 2*math.Pi - order[len(order)-1]
	for i, a := range order[1:] {
		gap = max(gap, a-order[i])
	}
	return 2*math.Pi-gap <= face
}
