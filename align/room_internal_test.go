package align

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The room of a support is the shortest way out in any direction. The shafts tried are those of 400 random ones whose rim comes near in several places, and a few more.
//
// Source: a second method: a sweep of directions.
func TestKernel_roomAgainstSweep(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	near := []int{1, 45, 65, 100, 151, 295, 306, 307}
	for trial := range 308 {
		s := bed(rng, 1+trial%2)
		for i := range s.Shafts {
			for j := range s.Shafts[i].Supports {
				s.Shafts[i].Supports[j].Clearance *= 3
			}
		}
		if !slices.Contains(near, trial) && trial%100 != 0 || s.Validate() != nil {
			continue
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		use, err := k.use()
		if err != nil {
			t.Fatal(err)
		}
		for i, at := range k.lay.supports {
			room, ok, err := k.room(i, use)
			if err != nil {
				t.Fatal(trial, i, err)
			}
			if !ok {
				continue
			}
			var group []int
			for _, g := range k.lay.groups {
				if slices.Contains(g, at.shaft) {
					group = g
				}
			}
			least := math.Inf(1)
			const steps = 90
			for n := range steps {
				sin, cos := math.Sincos(2 * math.Pi * float64(n) / steps)
				r, _, _, err := k.reach(group, i, sin, cos)
				if err != nil {
					t.Fatal(trial, i, err)
				}
				least = math.Min(least, r)
			}
			if least < room-1e-8 || least > room*1.01+1e-9 {
				t.Errorf("trial %d, support %d: room %.9g, by a sweep %.9g", trial, i, room, least)
			}
		}
	}
}
