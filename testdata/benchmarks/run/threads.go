//go:build unix

package main

import (
	"sync"
	"time"

	"example.com/borestack/stackup/law"
	"example.com/borestack/testdata/benchmarks/stack3"
)

// threads is what a second thread gives, beside what the machine gives to work that shares nothing.
func threads(t *table) error {
	t.line("\nA study of stack-3, from one thread to two")
	st, err := stack3.Study()
	if err != nil {
		return err
	}
	var wall, cost, machine figures
	for range t.rounds() {
		one, err := ownSpeed(t.ctx, st, 1)
		if err != nil {
			return err
		}
		two, err := ownSpeed(t.ctx, st, 2)
		if err != nil {
			return err
		}
		wall = append(wall, two.wall/one.wall)
		cost = append(cost, 2*two.processor/one.processor)
		machine = append(machine, spinsAtOnce())
	}
	t.row("times as fast, wall time", wall, "", "1.95 where two spinning threads get it")
	t.row("as the processor time of a sample implies", cost, "", "")
	t.row("two threads that share nothing, on this machine", machine, "", "")
	return nil
}

// spinsAtOnce is how many times as much two goroutines that share nothing do in the same wall time as
// one, each at its best of a few.
func spinsAtOnce() float64 {
	spin := func(n int) time.Duration {
		from := time.Now()
		var wg sync.WaitGroup
		for range n {
			wg.Add(1)
			go func() {
				defer wg.Done()
				s := law.NewStream(1, "spin", 0)
				var y [256]float64
				for range 20_000 {
					s.Normals(y[:])
				}
			}()
		}
		wg.Wait()
		return time.Since(from)
	}
	one, two := time.Hour, time.Hour
	for range 5 {
		one, two = min(one, spin(1)), min(two, spin(2))
	}
	return 2 * one.Seconds() / two.Seconds()
}
