package tolerance

import (
	"fmt"
	"math"
)

// Angle is an angle in radians. The zero value is no angle, which is usable.
type Angle float64

// Degree is a unit of angle.
const Degree Angle = math.Pi / 180

// Radians returns a in radians.
func (a Angle) Radians() float64 { return float64(a) }

// Degrees returns a in degrees.
func (a Angle) Degrees() float64 { return float64(a) * (180 / math.Pi) }

// String prints a in degrees, finer than a second of arc: "0.0125°".
func (a Angle) String() string { return digits(a.Degrees(), 4) + "°" }

// Normalized returns a brought into [0, 2π).
func (a Angle) Normalized() Angle {
	r := math.Mod(float64(a), 2*math.Pi)
	if r < 0 {
		r += 2 * math.Pi
	}
	if r >= 2*math.Pi {
		r = 0
	}
	return Angle(r)
}

// Clock returns the clock angle of the vector (x, y): clockwise from 12 o'clock (+y), seen from the
// tail, in [0, 2π). The zero vector gives 0.
func Clock(x, y float64) Angle {
	if x == 0 && y == 0 {
		return 0
	}
	return Angle(math.Atan2(x, y)).Normalized()
}

// Hours says a clock angle to the nearest half hour: "4 o'clock", "half past 4".
func (a Angle) Hours() string {
	half := int(math.Round(float64(a.Normalized())/(2*math.Pi)*24)) % 24
	hour := half / 2
	if hour == 0 {
		hour = 12
	}
	if half%2 == 1 {
		return fmt.Sprintf("half past %d", hour)
	}
	return fmt.Sprintf("%d o'clock", hour)
}
