package rare

import (
	"context"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// weights are sums over samples: of the weights of failures.
type weights struct {
	n, failed, sum, squares, most float64

	seen uint64 // bit k: a sample drawn about point k failed; there are at most 64 points
}

func (a *weights) add(b *weights) {
	a.n += b.n
	a.failed += b.failed
	a.sum += b.sum
	a.squares += b.squares
	a.most = math.Max(a.most, b.most)
	a.seen |= b.seen
}

func (a *weights) estimate() (p, standardError float64) {
	p = a.sum / a.n
	return p, math.Sqrt(math.Max(a.squares/a.n-p*p, 0) / (a.n - 1))
}

// mixture is normal numbers about 0 and about each of some points.
type mixture struct {
	shares []float64   // of the points; the rest is about 0
	z      [][]float64 // the points
	half   []float64   // half the squared distance of each
}

// newMixture shares out the samples as the points' chances are, though none gets less than a tenth of the greatest.
func newMixture(points []DesignPoint) *mixture {
	m := &mixture{}
	var most, sum float64
	for i := range points {
		most = math.Max(most, points[i].Probability)
	}
	for i := range points {
		p := &points[i]
		share := 1.0
		if most > 0 {
			share = math.Max(p.Probability/most, 0.1)
		}
		m.shares = append(m.shares, share)
		m.z = append(m.z, p.z)
		m.half = append(m.half, num.Inner(p.z, p.z)/2)
		sum += share
	}
	for i := range m.shares {
		m.shares[i] *= (1 - usual) / sum
	}
	return m
}

// weight is how likely row i is as the laws say, over how likely as the mixture says.
func (m *mixture) weight(z [][]float64, i int) float64 {
	q := usual
	for k, share := range m.shares {
		e := -m.half[k]
		for c, v := range m.z[k] {
			e += v * z[c][i]
		}
		q += share * math.Exp(e)
	}
	return 1 / q
}

// weightOf is the weight of one point.
func (m *mixture) weightOf(z []float64) float64 {
	q := usual
	for k, share := range m.shares {
		q += share * math.Exp(num.Inner(m.z[k], z)-m.half[k])
	}
	return 1 / q
}

// heaviest is which of n points has the greatest weight, the first of equals: that which the mixture explains least.
func (m *mixture) heaviest(n int, point func(int) []float64) (best int) {
	most := 0.0
	for i := range n {
		if v := m.weightOf(point(i)); v > most {
			best, most = i, v
		}
	}
	return best
}

// strange is the first of some points that hardly any component would draw, or that of the greatest weight.
func (m *mixture) strange(points [][]float64) int {
	for i, z := range points {
		if m.weightOf(z) > 0.5/usual {
			return i
		}
	}
	return m.heaviest(len(points), func(i int) []float64 { return points[i] })
}

// pick is the component that a number in (0, 1) falls to; −1: about 0.
func (m *mixture) pick(u float64) int {
	for k, share := range m.shares {
		if u -= share; u < 0 {
			return k
		}
	}
	return -1
}

// aimer draws the samples of a mixture.
type aimer struct {
	*stackup.Sampler
	a      *Aim
	key    string
	chance law.Stream
	u      []float64
	which  []int // the component of each row; −1: about 0
}

func newAimer(ctx context.Context, a *Aim, key string) *aimer {
	return &aimer{
		Sampler: stackup.NewNormalSampler(ctx, a.study), a: a, key: key,
		u: make([]float64, stackup.BatchSize), which: make([]int, stackup.BatchSize),
	}
}

// block weighs the failures of a block.
func (w *aimer) block(set *stackup.Settings, block int) (out weights, err error) {
	w.Begin(w.key, set.Seed, block)
	w.chance = law.NewStream(set.Seed, w.key, uint64(block))
	from, to := block*stackup.BlockSize, min((block+1)*stackup.BlockSize, set.Samples)
	err = w.Batches(from, to, func(int, int) { w.draw() }, func(_, n int) error {
		if err := w.a.response().Known(w.Y, n); err != nil {
			return err
		}
		w.sum(&out, n)
		return nil
	})
	return out, err
}

// draw fills the columns.
func (w *aimer) draw() {
	w.chance.Uniforms(w.u)
	for i, u := range w.u {
		w.which[i] = w.a.mix.pick(u)
	}
	w.Normals()
	for c, column := range w.Z {
		for i, k := range w.which {
			if k >= 0 {
				column[i] += w.a.mix.z[k][c]
			}
		}
	}
	w.Fill(stackup.BatchSize)
}

// sum weighs the failures among n samples.
func (w *aimer) sum(to *weights, n int) {
	q := w.a.response()
	to.n += float64(n)
	for i := range n {
		if q.Good(w.Y, i) {
			continue
		}
		v := w.a.mix.weight(w.Z, i)
		to.failed++
		if k := w.which[i]; k >= 0 {
			to.seen |= 1 << k
		}
		to.sum += v
		to.squares += v * v
		to.most = math.Max(to.most, v)
	}
}
