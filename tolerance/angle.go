package tolerance

import (
	"fmt"
	"math"
	"strconv"
)

// Angle is an angle in radians. The zero value is no angle, which is usable.
type Angle float64

// Units of angle.
const (
	Radian      Angle = 1
	Milliradian       = Radian / 1000
	Degree            = Radian * math.Pi / 180
	Arcminute         = Degree / 60
	Arcsecond         = Degree / 3600
)

// Radians returns a in radians.
func (a Angle) Radians() float64 { return float64(a) }

// Milliradians returns a in milliradians.
func (a Angle) Milliradians() float64 { return float64(a) * 1000 }

// Degrees returns a in degrees.
func (a Angle) Degrees() float64 { return float64(a) * (180 / math.Pi) }

// Arcminutes returns a in minutes of arc.
func (a Angle) Arcminutes() float64 { return a.Degrees() * 60 }

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

// Clock returns the clock angle of the vector (x, y): clockwise from 12 o'clock (+y), seen from the tail, in [0, 2π). The zero vector gives 0.
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

// MarshalText writes a in radians so that it reads back to the same bits: "0.5 rad".
func (a Angle) MarshalText() ([]byte, error) {
	if math.IsNaN(float64(a)) || math.IsInf(float64(a), 0) {
		return nil, fmt.Errorf("tolerance: angle %v is not finite", float64(a))
	}
	return []byte(strconv.FormatFloat(float64(a), 'g', -1, 64) + " rad"), nil
}

// UnmarshalText reads what [ParseAngle] reads.
func (a *Angle) UnmarshalText(text []byte) error {
	v, err := ParseAngle(string(text))
	if err == nil {
		*a = v
	}
	return err
}

// ParseAngle reads a number with its unit: "0.5 deg", "30°", "2 mrad", "0.001 rad", "3 arcmin", "20 arcsec".
func ParseAngle(s string) (Angle, error) {
	v, unit, err := numberAndUnit(s, "an angle such as \"0.5 deg\" or \"2 mrad\"")
	if err != nil {
		return 0, err
	}
	size := Radian
	switch unit {
	case "rad":
	case "mrad":
		size = Milliradian
	case "deg", "°":
		size = Degree
	case "arcmin", "'":
		size = Arcminute
	case "arcsec", "\"":
		size = Arcsecond
	default:
		return 0, fmt.Errorf("tolerance: %q: unknown unit %q: want rad, mrad, deg, arcmin or arcsec", s, unit)
	}
	a := Angle(v)
	if size != Radian {
		a = Angle(v * float64(size))
	}
	if math.IsInf(float64(a), 0) {
		return 0, fmt.Errorf("tolerance: %q: not finite", s)
	}
	return a, nil
}
