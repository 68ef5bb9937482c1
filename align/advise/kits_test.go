package advise_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/tolerance"
)

// Kits for three plates and three tails are the best of all six pairings, found by hand.
func TestComparison_Kits(t *testing.T) {
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(21, seed))
		b := randomBox(rng)
		b.Stack.Candidates[0].Parts = append(b.Stack.Candidates[0].Parts, randomPlate(rng, "second spare"))
		var tails []align.Part
		for _, name := range []string{"tail 2", "tail 3"} {
			p := randomBox(rng).Stack.Parts[3]
			p.Name = name
			tails = append(tails, p)
		}
		b.Stack.Candidates = append(b.Stack.Candidates, align.Candidates{Place: "tail", Parts: tails})
		c, err := advise.Compare(context.Background(), b)
		if err != nil {
			t.Fatal(err)
		}
		got, err := c.Kits(context.Background())
		if err != nil || len(got) != 3 {
			t.Fatalf("seed %d: %v, %v", seed, got, err)
		}
		find := func(plate, tail int) *advise.Fit {
			for i := range c.Fits {
				if c.Fits[i].Picks[0].Index == plate && c.Fits[i].Picks[1].Index == tail {
					return &c.Fits[i]
				}
			}
			return nil
		}
		value := func(fits []*advise.Fit) (passing int, tightest float64) {
			tightest = math.Inf(1)
			for _, f := range fits {
				if f.Result.Word <= tolerance.Pass {
					passing++
				}
				m, _ := f.Result.WorstMargin()
				tightest = math.Min(tightest, float64(m))
			}
			return passing, tightest
		}
		passing, tightest := -1, 0.0
		for _, order := range [][3]int{{-1, 0, 1}, {-1, 1, 0}, {0, -1, 1}, {0, 1, -1}, {1, -1, 0}, {1, 0, -1}} {
			n, m := value([]*advise.Fit{find(-1, order[0]), find(0, order[1]), find(1, order[2])})
			if n > passing || (n == passing && m > tightest) {
				passing, tightest = n, m
			}
		}
		n, m := value([]*advise.Fit{&c.Fits[got[0]], &c.Fits[got[1]], &c.Fits[got[2]]})
		if n != passing || m != tightest {
			t.Errorf("seed %d: %d pass, the tightest with %v; by hand %d, %v", seed, n, m, passing, tightest)
		}
	}
}
