package advise_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Kits for three plates and three tails are those that pass of the best of all six pairings.
//
// Source: every pairing tried.
func TestComparison_Kits(t *testing.T) {
	boxes := 0
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(21, seed))
		b := randomBox(rng)
		b.Limits = []record.Limit{{Output: align.Output{What: align.Margin}, Limits: tolerance.AtLeast(-0.01)}}
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
		if err != nil {
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
					m, _ := f.Result.WorstMargin()
					tightest = math.Min(tightest, float64(m))
				}
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
		var kits []*advise.Fit
		for _, i := range got {
			kits = append(kits, &c.Fits[i])
		}
		n, m := value(kits)
		boxes += n
		if n != passing || n != len(got) || m != tightest {
			t.Errorf("seed %d: %d pass, the tightest with %v; by hand %d, %v", seed, n, m, passing, tightest)
		}
	}
	t.Logf("%d of 12 boxes pass", boxes)
	if boxes < 4 {
		t.Errorf("only %d boxes pass: nothing is shown", boxes)
	}
}

// More places than can be solved are refused.
func TestComparison_Kits_places(t *testing.T) {
	for _, n := range []int{0, 4} {
		if _, err := (&advise.Comparison{Places: make([]string, n)}).Kits(t.Context()); !errors.Is(err, fault.ErrTooMany) {
			t.Errorf("%d places: %v", n, err)
		}
	}
}
