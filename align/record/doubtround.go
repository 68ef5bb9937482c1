package record

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// roundDoubts are those of one round of readings.
func (b *box) roundDoubts(q *round) {
	b.closesDoubt(q)
	b.unitDoubt(q)
	if !b.againDoubt(q) {
		b.strayDoubt(q)
	}
}

// closing is the closing reading less the mean reading of the first station, in the round's unit.
func (q *round) closing() (e float64, taken bool) {
	if q.Closing == nil || q.station[0] != 0 {
		return 0, false
	}
	return q.Closing.Value - q.value[0], true
}

// void reports whether the round does not come back to its first station: the closing error exceeds
// a quarter of the range, four standard uncertainties and two of the last digits.
//
// Source: common practice, no published source.
func (q *round) void() bool {
	e, taken := q.closing()
	u, _ := q.uncertainty()
	return taken && exceeds(math.Abs(e), max(q.span()/4, 4*u, 2*q.last()), q.scale())
}

func (b *box) closesDoubt(q *round) {
	if !q.void() {
		return
	}
	e, _ := q.closing()
	b.doubt(q.at, fmt.Sprintf("the round does not close: the first station read %s, and %s when it was read again at the end, %s %v apart where the whole round ranges over %s. Something moved, so the round is void: take it again",
		q.say(q.value[0], 1), q.Closing.written(), q.say(math.Abs(e), 1), q.unit, q.say(q.span(), 1)), b.rec.leaves(q.at+"/readings")...)
}

// againDoubt asks whether the last reading is the first station once more: readings at equal steps,
// one more than is usual and no closing reading, of which the last repeats the first although the
// others range widely, and all but the last fit the circle better at their own steps than all do at
// theirs.
//
// Source: common practice, no published source.
func (b *box) againDoubt(q *round) bool {
	m := len(q.Readings.Readings)
	n := len(q.value)
	if usualStations(m) || !usualStations(m-1) || !q.equalSteps() || q.Closing != nil || q.station[0] != 0 || q.station[n-1] != m-1 {
		return false
	}
	bound := q.last()
	if u, stated := q.uncertainty(); stated {
		bound = 3 * u
	}
	harmonics := 2
	if m == 5 {
		harmonics = 1
	}
	others := q.value[1 : n-1]
	if len(others) < 2*harmonics+1 { // with the first, the fewest that leave anything over
		return false
	}
	span := slices.Max(others) - slices.Min(others)
	if exceeds(math.Abs(q.value[n-1]-q.value[0]), bound, q.scale()) || !exceeds(span, 10*bound, q.scale()) {
		return false
	}
	at := func(count, stations int) float64 {
		theta := make([]float64, count)
		for k := range theta {
			theta[k] = 2 * math.Pi * float64(q.station[k]) / float64(stations)
		}
		f := newHarmonicFit(theta, q.value[:count], harmonics)
		return f.scatter()
	}
	closed, open := at(n-1, m-1), at(n, m)
	if !(closed < open) {
		return false
	}
	b.doubt(q.at, fmt.Sprintf("%d readings look like %d and the first station again: the last, %s, repeats the first, %s, and the first %d at steps of %s° fit a smooth round within %s %v where all %d at %s° scatter by %s. Write the last as \"closing\"",
		m, m-1, q.say(q.value[n-1], 1), q.say(q.value[0], 1), m-1, spell.Trimmed(360/float64(m-1), 1), q.size(closed), q.unit, m, spell.Trimmed(360/float64(m), 1), q.size(open)), b.rec.leaves(q.at+"/readings")...)
	return true
}

// usualStations reports whether people mark that many stations round a part.
//
// Source: common practice, no published source.
func usualStations(n int) bool { return slices.Contains([]int{3, 4, 6, 8, 12, 16, 24}, n) }

// strayDoubt names the one reading, of eight or more, that lies farther from the fit to all others
// than ten times their scatter, six standard uncertainties, four of the last digits and a tenth of
// the range.
//
// Source: common practice, no published source.
func (b *box) strayDoubt(q *round) {
	const (
		fewest = 8
		many   = 12 // from here on, two harmonics
	)
	m := len(q.value)
	if m < fewest {
		return
	}
	harmonics := 1
	if m >= many {
		harmonics = 2
	}
	fit := newHarmonicFit(q.theta, q.value, harmonics)
	u, _ := q.uncertainty()
	worst, by, found := 0, 0.0, false
	for k := range q.value {
		off, scatter, share, ok := fit.without(k)
		if !ok {
			continue
		}
		// Where a reading has no neighbours the others foretell it less surely than they scatter.
		bound := max(10*scatter*max(1, math.Sqrt(share)), 6*u, 4*q.last(), q.span()/10)
		if exceeds(math.Abs(off), bound, q.scale()) && math.Abs(off)/bound > by {
			worst, by, found = k, math.Abs(off)/bound, true
		}
	}
	if !found {
		return
	}
	off, scatter, _, _ := fit.without(worst)
	k := q.station[worst]
	b.doubt(fmt.Sprintf("%s/readings/%d", q.at, k), fmt.Sprintf("reading %d of %d, %s, is %s %v where the others ask for %s within %s: read it again",
		k+1, len(q.Readings.Readings), q.clock(k), q.say(q.value[worst], 1), q.unit, q.say(q.value[worst]-off, 0), q.size(max(scatter, q.last()))), b.rec.leaves(fmt.Sprintf("%s/readings/%d", q.at, k))...)
}

// unitDoubt asks whether a block's own unit is meant: its readings are finer than any gauge of a
// shop reads, and what they found is less than one can see.
//
// Source: common practice, no published source (a bench comparator reads 0.1 µm; measuring rooms go
// to 0.01 µm).
func (b *box) unitDoubt(q *round) {
	const (
		finest = 0.01 * tolerance.Micrometre // a last digit that no shop gauge has
		seen   = 0.5 * tolerance.Micrometre  // a range that dirt alone makes
	)
	size := float64(q.unit.Size())
	if !q.own || q.unit == b.unit || !exceeds(q.span(), 0, q.scale()) { // readings that differ by rounding do not differ
		return
	}
	if exceeds(q.last()*size, float64(finest), float64(finest)) || !exceeds(float64(seen), q.span()*size, float64(seen)) {
		return
	}
	b.doubt(q.at, fmt.Sprintf("the readings are in %v, so they range over %s %v and are read to %s: no gauge reads that. Is the block's \"unit\" right?", q.unit, q.say(q.span(), 1), q.unit, q.say(q.last(), 0)), b.rec.leaves(q.at+"/readings")...)
}
