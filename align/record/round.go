package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// round is one thickness or sweep round, in the numbers and the unit that its readings are written in.
type round struct {
	*Readings
	at     string // JSON Pointer
	own    bool   // whether it names its unit
	unit   tolerance.Unit
	radius *Number // at which a face was read; nil: not a face
	face   *Face   // that face

	station  []int     // the stations that were read
	value    []float64 // their mean readings
	theta    []float64 // their angles in radians, in the order and from the side that they are written
	decimals int       // the most that a reading is written with
}

// block is one block of readings of a part: its pointer below the part's, what people call it, and, of
// a face, the radius at which it was read and the face.
type block struct {
	at, name string
	readings *Readings
	radius   *Number
	face     *Face
}

// blocks are the blocks of readings of a part, faces first.
func (p *Part) blocks() []block {
	var out []block
	for _, side := range p.sides() {
		f, at := side.face, "/"+side.name
		if f.Thickness != nil {
			out = append(out, block{at + "/thickness", "thickness", &f.Thickness.Readings, &f.Thickness.Radius, f})
		}
		if f.Sweep != nil {
			out = append(out, block{at + "/sweep", side.name + " sweep", &f.Sweep.Readings, f.Sweep.Radius, f})
		}
		if f.Pilot != nil && f.Pilot.Sweep != nil {
			out = append(out, block{at + "/pilot/sweep", side.name + " pilot", &f.Pilot.Sweep.Readings, nil, nil})
		}
	}
	for i := range p.Bores {
		if s := p.Bores[i].Sweep; s != nil {
			out = append(out, block{fmt.Sprintf("/bores/%d/sweep", i), p.Bores[i].Name, &s.Readings, nil, nil})
		}
	}
	return out
}

// eachRound calls do for every round of a part.
func eachRound(p *Part, at, unit string, do func(*round)) {
	for _, b := range p.blocks() {
		if q := newRound(b.readings, at+b.at, unit); q != nil {
			q.radius, q.face = b.radius, b.face
			do(q)
		}
	}
}

// newRound reads a round; nil when nothing was read, or the record is not one that decodes.
func newRound(r *Readings, at, unit string) *round {
	q := &round{Readings: r, at: at, own: r.Unit != ""}
	if q.own {
		unit = r.Unit
	}
	u, err := tolerance.ParseUnit(unit)
	if err != nil || r.At != nil && len(r.At) != len(r.Readings) {
		return nil
	}
	q.unit = u
	for i := range r.Readings {
		v := r.Readings[i].Repeats
		if len(v) == 0 {
			continue
		}
		sum := 0.0
		for _, n := range v {
			sum += n.Value
			q.decimals = max(q.decimals, decimalsOf(n))
		}
		mean := sum / float64(len(v))
		q.station, q.value = append(q.station, i), append(q.value, mean)
		q.theta = append(q.theta, q.degrees(i)*math.Pi/180)
	}
	if len(q.value) == 0 {
		return nil
	}
	return q
}

// degrees is the angle of a station as written.
func (q *round) degrees(station int) float64 {
	if q.At != nil {
		return q.At[station].Value
	}
	return q.First.or(0) + 360*float64(station)/float64(len(q.Readings.Readings))
}

// sameAngle, in degrees, is by how much angles written in decimals differ that are meant to be the same:
// far less than anybody can set.
const sameAngle = 1e-6

// equalSteps reports whether all stations, read or not, in the order written, go round in equal steps.
func (q *round) equalSteps() bool {
	step := 360 / float64(len(q.Readings.Readings))
	for i := range q.At {
		off := math.Mod(q.At[i].Value-q.At[0].Value-step*float64(i), 360)
		if off = math.Abs(off); min(off, 360-off) > sameAngle {
			return false
		}
	}
	return true
}

// last is the last decimal digit that the readings use: 0.001 for readings such as 0.125.
func (q *round) last() float64 { return math.Pow10(-q.decimals) }

// uncertainty is the stated standard uncertainty of a reading.
func (q *round) uncertainty() (u float64, stated bool) {
	if q.Uncertainty == nil {
		return 0, false
	}
	return q.Uncertainty.Value, true
}

func (q *round) span() float64 { return slices.Max(q.value) - slices.Min(q.value) }

// scale is the size of the numbers, for the rounding of sums of them.
func (q *round) scale() float64 { return max(slices.Max(q.value), -slices.Min(q.value)) }

// clock says where a station is: by the clock, or in degrees between its half hours; from both ends
// when it was read from the nose.
func (q *round) clock(station int) string {
	say := func(deg float64) string {
		const half = 15.0 // degrees in half an hour
		a := tolerance.Angle(deg * math.Pi / 180)
		if math.Abs(deg-half*math.Round(deg/half)) < sameAngle {
			return a.Hours()
		}
		return spell.Trimmed(a.Normalized().Degrees(), 1) + "°"
	}
	deg := q.degrees(station)
	if q.SeenFrom == "nose" {
		return "at " + say(deg) + " seen from the nose (" + say(-deg) + " from the tail)"
	}
	return "at " + say(deg)
}

// say is a reading with the digits that the round uses, and more of them where asked.
func (q *round) say(v float64, more int) string {
	const most = 12 // decimals that a person may be shown
	s := strconv.FormatFloat(v, 'f', min(q.decimals+more, most), 64)
	if more > 0 && strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// size is a length of the round, in its unit, to two digits that count.
func (q *round) size(v float64) string {
	s := strconv.FormatFloat(v, 'g', 2, 64)
	if f, err := strconv.ParseFloat(s, 64); err == nil {
		s = strconv.FormatFloat(f, 'f', -1, 64)
	}
	return s
}

// decimalsOf is how many decimals a number is written with.
func decimalsOf(n Number) int {
	mantissa, exponent, _ := strings.Cut(strings.ToLower(n.written()), "e")
	_, after, _ := strings.Cut(mantissa, ".")
	e, _ := strconv.Atoi(exponent) // none: 0
	const most = 300               // float64 holds no more
	return min(max(len(after)-e, 0), most)
}
