//go:build unix

package main

import (
	"fmt"
	"math"
	"slices"
	"syscall"
	"time"
)

// clock is how much time has gone by.
type clock func() time.Duration

// processorTime is what this program has used.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

var begun = time.Now()

// wallTime is what a watch shows.
func wallTime() time.Duration { return time.Since(begun) }

// took is the time that something takes.
func took(c clock, do func() error) (time.Duration, error) {
	from := c()
	err := do()
	return c() - from, err
}

// quickest is the least time of a few.
func quickest(c clock, times int, do func() error) (time.Duration, error) {
	least := time.Duration(math.MaxInt64)
	for range times {
		d, err := took(c, do)
		if err != nil {
			return 0, err
		}
		least = min(least, d)
	}
	return least, nil
}

// each is the processor time of one of many repetitions, which last long enough to be told by the
// clock: the best of a few.
func each(do func() error) (time.Duration, error) {
	const enough = 30 * time.Millisecond
	n := 1
	for {
		many := func() error {
			for range n {
				if err := do(); err != nil {
					return err
				}
			}
			return nil
		}
		d, err := took(processorTime, many)
		if err != nil {
			return 0, err
		}
		if d >= enough {
			again, err := quickest(processorTime, 2, many)
			return min(d, again) / time.Duration(n), err
		}
		n = max(2*n, int(float64(n)*1.2*enough.Seconds()/max(d.Seconds(), 1e-6)))
	}
}

// figures are what the rounds gave.
type figures []float64

// String is the middle with the least and the most.
func (f figures) String() string {
	v := slices.Sorted(slices.Values(f))
	return fmt.Sprintf("%.3g (%.3g to %.3g)", f.middle(), v[0], v[len(v)-1])
}

// middle is the median.
func (f figures) middle() float64 {
	v := slices.Sorted(slices.Values(f))
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}

// row writes one figure beside its goal.
func (t *table) row(what string, value fmt.Stringer, unit, goal string) {
	if goal != "" {
		goal = "   goal " + goal
	}
	t.line("  %-58s %s%s%s", what, value, unit, goal)
}

// rounds is how many times everything is measured in turn.
func (t *table) rounds() int {
	if t.quick {
		return 3
	}
	return 7
}
