package assign

import (
	"math"
	"slices"
)

// rounds is how often the prices are moved. The bound is good long before that; each round is one
// assignment.
const rounds = 120

// Sums of weights of about 1, one for each combination.
const (
	noBetter = 1e-9  // by which a bound has to fall to be better
	wholeTol = 1e-6  // by which rounding may leave a bound below a whole number
	sumTol   = 1e-12 // by which the same sum, added another way, may differ
)

// three is the choice from three bins: as many combinations as it finds, and a bound on how many there
// are at all.
func three(t Table) answer {
	c := newCube(t)
	bound := math.Inf(1)
	price, scale, stale := make([]float64, c.n[2]), 1.0, 0
	for range rounds {
		used, sum := c.relaxed(price)
		if sum < bound-noBetter {
			bound, stale = sum, 0
		} else if stale++; stale == 10 {
			scale, stale = scale/2, 0
		}
		if c.most() >= floor(bound) {
			break
		}
		// The step of Polyak towards the best sum that is known to be there.
		over, norm := make([]float64, len(price)), 0.0
		for k, u := range used {
			over[k] = float64(u) - 1
			if over[k] > 0 || price[k] > 0 {
				norm += over[k] * over[k]
			}
		}
		if norm == 0 {
			break
		}
		for k := range price {
			price[k] = max(0, price[k]+scale*max(sum-float64(c.most()), 0.1)/norm*over[k])
		}
	}
	return answer{c.chosen(), max(floor(bound), c.most())}
}

// floor is how many combinations a bound on their weight allows; the rounding of a sum is no combination.
func floor(bound float64) int { return int(math.Floor(bound + wholeTol)) }

// cube is the weights of three bins, and the best choice found so far.
type cube struct {
	n    [3]int
	w    []float64 // 1 and a little for the value; 0: not allowed
	best [][3]int
	sum  float64
}

func newCube(t Table) *cube {
	return &cube{n: [3]int(t.Sizes), w: worths(t)}
}

func (c *cube) weight(p [3]int) float64 { return c.w[(p[0]*c.n[1]+p[1])*c.n[2]+p[2]] }
func (c *cube) most() int               { return len(c.best) }

// relaxed is the assignment of the first two bins when the third's members may be used again at a
// price: how often each is used, and the bound on the number of combinations. What it picks is
// repaired into a choice that keeps the rule.
func (c *cube) relaxed(price []float64) (used []int, bound float64) {
	n, m, l := c.n[0], c.n[1], c.n[2]
	net, third := make([]float64, n*m), make([]int, n*m)
	for ij := range net {
		third[ij] = -1
		for k := range l {
			// The bound counts combinations, so each weighs one.
			if c.w[ij*l+k] > 0 && 1-price[k] > net[ij] {
				net[ij], third[ij] = 1-price[k], k
			}
		}
	}
	mate, sum := heaviest(n, m, func(i, j int) float64 { return net[i*m+j] })
	used = make([]int, l)
	var picks [][3]int
	for i, j := range mate {
		if j < 0 {
			continue
		}
		k := third[i*m+j]
		if k >= 0 {
			used[k]++
		} else {
			k = 0
		}
		picks = append(picks, [3]int{i, j, k})
	}
	for _, p := range price {
		sum += p
	}
	c.repair(picks)
	return used, sum
}

// repair keeps two bins as they are paired and hands out the third anew, in turns, as long as that
// gains something: each turn is an assignment, so nothing of its kind is better.
func (c *cube) repair(picks [][3]int) {
	last := -1.0
	for turn, idle := 2, 0; idle < 3; turn = (turn + 1) % 3 {
		mate, _ := heaviest(len(picks), c.n[turn], func(r, x int) float64 {
			p := picks[r]
			p[turn] = x
			return c.weight(p)
		})
		sum, kept := 0.0, picks[:0]
		for r, x := range mate {
			if x >= 0 {
				p := picks[r]
				p[turn] = x
				kept = append(kept, p)
				sum += c.weight(p)
			}
		}
		picks = kept // a pair for which this bin has no member left frees both of its own
		if sum > last+sumTol {
			last, idle = sum, 0
		} else {
			idle++
		}
	}
	if last <= c.sum+sumTol {
		return
	}
	c.sum, c.best = last, nil
	for _, p := range picks {
		if c.weight(p) > 0 {
			c.best = append(c.best, p)
		}
	}
}

// chosen is the best choice, in the order of the first bin.
func (c *cube) chosen() [][]int {
	var out [][]int
	for _, p := range c.best {
		out = append(out, slices.Clone(p[:]))
	}
	slices.SortFunc(out, func(a, b []int) int { return a[0] - b[0] })
	return out
}
