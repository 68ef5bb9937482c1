package assign

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// brute is the best choice by trying all: the most, then the largest least value.
func brute(t Table) (most int, leastValue float64) {
	leastValue = math.Inf(1)
	used := make([][]bool, len(t.Sizes))
	for b := range used {
		used[b] = make([]bool, t.Sizes[b])
	}
	var from func(i, count int, low float64)
	from = func(i, count int, low float64) {
		if count > most || count == most && (low > leastValue || count == 0) {
			most, leastValue = count, low
		}
		for ; i < len(t.Value); i++ {
			pick, free := make([]int, len(t.Sizes)), !math.IsNaN(t.Value[i])
			for b, r := len(t.Sizes)-1, i; b >= 0; b-- {
				pick[b], r = r%t.Sizes[b], r/t.Sizes[b]
				free = free && !used[b][pick[b]]
			}
			if !free {
				continue
			}
			for b, p := range pick {
				used[b][p] = true
			}
			from(i+1, count+1, min(low, t.Value[i]))
			for b, p := range pick {
				used[b][p] = false
			}
		}
	}
	from(0, 0, math.Inf(1))
	return most, leastValue
}

// table is a random one; whole values make many ties.
func table(r *rand.Rand, sizes ...int) Table {
	n := 1
	for _, s := range sizes {
		n *= s
	}
	t := Table{Sizes: sizes, Value: make([]float64, n)}
	allowed, whole := r.Float64(), r.IntN(2) == 0
	for i := range t.Value {
		if t.Value[i] = r.NormFloat64(); whole {
			t.Value[i] = math.Round(2 * t.Value[i])
		}
		if r.Float64() > allowed {
			t.Value[i] = math.NaN()
		}
	}
	return t
}

// shared says whether a choice uses a member twice or takes what is not allowed.
func shared(t Table, p Picks) bool {
	used := map[[2]int]bool{}
	for _, c := range p.Chosen {
		if math.IsNaN(t.At(c)) {
			return true
		}
		for b, i := range c {
			if used[[2]int{b, i}] {
				return true
			}
			used[[2]int{b, i}] = true
		}
	}
	return false
}

// Two bins are solved, three are bounded.
//
// Source: every choice tried.
func TestBest_bruteForce(t *testing.T) {
	proved := 0
	for seed := range uint64(500) {
		r := rand.New(rand.NewPCG(seed, 1))
		sizes := []int{1 + r.IntN(4), 1 + r.IntN(4)}
		if seed%2 == 1 {
			sizes = []int{1 + r.IntN(3), 1 + r.IntN(3), 1 + r.IntN(3)}
		}
		tab := table(r, sizes...)
		most, low := brute(tab)
		p, err := Best(context.Background(), tab)
		if err != nil || shared(tab, p) || p.Least != least(tab, p.Chosen) {
			t.Fatalf("seed %d: %+v, %v", seed, p, err)
		}
		if len(p.Chosen) > most || p.MostBound < most || len(p.Chosen) == most && (p.Least > low || p.LeastBound < low) {
			t.Errorf("seed %d, bins %v: found %d of at most %d, least %g of at most %g; all tried %d, %g",
				seed, sizes, len(p.Chosen), p.MostBound, p.Least, p.LeastBound, most, low)
		}
		if p.Proved() {
			proved++
		} else if len(sizes) == 2 {
			t.Errorf("seed %d: two bins not proved: %+v", seed, p)
		}
	}
	if proved < 480 {
		t.Errorf("only %d of 500 proved", proved)
	}
}

// The pairing of two bins has the largest sum among the best.
//
// Source: by hand: least value 2 both ways, sums 2+9 and 2+4.
func TestBest_sumLast(t *testing.T) {
	p, err := Best(context.Background(), Table{[]int{2, 2}, []float64{2, 4, 9, 2}})
	if err != nil || len(p.Chosen) != 2 || p.Least != 4 {
		t.Fatalf("%+v, %v", p, err) // 4 with 9 leaves no 2
	}
	p, _ = Best(context.Background(), Table{[]int{2, 3}, []float64{2, 2, 2, 1, 4, 9}})
	if len(p.Chosen) != 2 || p.Chosen[1][1] != 2 {
		t.Errorf("%+v: the second row takes 9", p)
	}
}

// Three bins of forty: the gap is stated, and small.
func TestBest_fortyFortyForty(t *testing.T) {
	tab := table(rand.New(rand.NewPCG(7, 7)), 40, 40, 40)
	for i, v := range tab.Value {
		if v < 0.5 {
			tab.Value[i] = math.NaN()
		}
	}
	p, err := Best(context.Background(), tab)
	if err != nil || shared(tab, p) {
		t.Fatal(err)
	}
	if p.MostBound-len(p.Chosen) > 1 {
		t.Errorf("found %d of at most %d", len(p.Chosen), p.MostBound)
	}
	t.Logf("found %d of %d, least %.3f of %.3f", len(p.Chosen), p.MostBound, p.Least, p.LeastBound)
}

func TestBest_nothing(t *testing.T) {
	p, err := Best(context.Background(), Table{[]int{2, 2}, []float64{math.NaN(), math.NaN(), math.NaN(), math.NaN()}})
	if err != nil || len(p.Chosen) != 0 || !p.Proved() {
		t.Errorf("%+v, %v", p, err)
	}
	ctx, stop := context.WithCancelCause(context.Background())
	stop(errors.New("enough"))
	if _, err := Best(ctx, Table{[]int{2, 2}, []float64{1, 2, 3, 4}}); err == nil {
		t.Error("a dead context is no answer")
	}
}
