package batch

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/align"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Finding is what a batch says. The zero value is an empty one.
type Finding struct {
	Of    string
	Parts int
	At    []align.Vec2 // of each part, in order

	Mean    align.Vec2          // of all parts
	Radius  tolerance.Length    // of the circle about Mean that holds its 95 % confidence region
	Scatter [2]tolerance.Length // standard deviations along the axes of the scatter, the larger first
	Along   tolerance.Angle     // clock position of the larger
	Causes  []Cause             // what the parts have in common, the surest first; none: scatter explains the batch
	Rest    tolerance.Length    // standard deviation of one component without the causes
	// LaysDiffer says that how the parts lay is known and differs enough to tell the fixture from the part.
	LaysDiffer bool

	// Typical is the mean of the sizes, which hides a common direction: it is about as large for parts
	// that all lean one way as for parts that lean every way.
	Typical tolerance.Length

	Greatest   tolerance.Optional[tolerance.Length]
	Beyond     Share            // of all parts of such a process beyond Greatest
	BeyondRest Share            // the same, were the causes removed
	Holds      tolerance.Length // a size that 99 % of such parts hold, with 95 % confidence
	Charts     []Chart
}

// Share is a share of parts, with its 95 % interval.
type Share struct{ Value, Low, High float64 }

// Find works out what a batch says. When ctx ends it stops, with an error that wraps the cause.
func Find(ctx context.Context, b Batch) (*Finding, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	v := b.vectors()
	n := len(v)
	out := &Finding{Of: b.Of, Parts: n, Greatest: b.Greatest}
	for i := range b.Pieces {
		out.At = append(out.At, b.Pieces[i].At)
	}
	out.Mean = public(mean(v))
	s, _, _ := scatterAbout(v, ones(n))
	dof := float64(n - 1)
	out.Radius = tolerance.Length(regionRadius(s, dof, 1/float64(n)))
	large, small, along := s.principal()
	out.Scatter = [2]tolerance.Length{tolerance.Length(math.Sqrt(large / dof)), tolerance.Length(math.Sqrt(max(small, 0) / dof))}
	out.Along = public(along).Clock()
	for _, w := range v {
		out.Typical += tolerance.Length(r2.Norm(w) / float64(n))
	}
	var left []r2.Vec
	var free int
	out.Causes, left, free = b.causes()
	_, out.LaysDiffer = b.lays()
	rest, _, _ := scatterAbout(left, ones(n))
	out.Rest = tolerance.Length(math.Sqrt((rest.xx + rest.yy) / 2 / float64(free)))
	if err := out.capability(ctx, v, left, free); err != nil {
		return nil, err
	}
	out.Charts = charts(&b, v)
	return out, nil
}

// capability is the share of parts beyond the limit, by the law of the size of a plane normal vector: a
// size is never normal, and near zero nothing like it.
//
// The interval is that of a parametric bootstrap: batches of as many parts are drawn from what is seen,
// and each gives its share.
//
// Source: the law is Rice's where the scatter is alike in all directions (practice and
// stackup/law.NormalSize); B. Efron and R. J. Tibshirani, An Introduction to the Bootstrap (1993), 6.5
// and 13.3 (from memory), for the interval by percentiles.
func (f *Finding) capability(ctx context.Context, v, left []r2.Vec, free int) error {
	as, err := process(v, len(v)-1)
	if err != nil {
		return err
	}
	without, err := process(left, free)
	if err != nil {
		return err
	}
	holds := make([]float64, 0, bootstraps)
	var beyond, rest []float64
	limit := float64(f.Greatest.Or(0))
	for k := range bootstraps {
		if ctx.Err() != nil {
			return fmt.Errorf("batch: stopped: %w", context.Cause(ctx))
		}
		a, err := as.again(uint64(2 * k))
		if err != nil {
			return err
		}
		holds = append(holds, a.size.Quantile(held))
		if f.Greatest.Given {
			w, err := without.again(uint64(2*k + 1))
			if err != nil {
				return err
			}
			beyond, rest = append(beyond, a.size.Survival(limit)), append(rest, w.size.Survival(limit))
		}
	}
	// One-sided: the size that such a share holds lies below this in 95 of 100 batches like this one.
	f.Holds = tolerance.Length(2*as.size.Quantile(held) - quantile(holds, 1-coverage))
	if f.Greatest.Given {
		f.Beyond = interval(as.size.Survival(limit), beyond)
		f.BeyondRest = interval(without.size.Survival(limit), rest)
	}
	return nil
}

const (
	bootstraps = 400  // enough for the ends of a 95 % interval
	held       = 0.99 // the share of parts that Holds speaks of
)

func interval(v float64, again []float64) Share {
	return Share{v, quantile(again, (1-coverage)/2), quantile(again, (1+coverage)/2)}
}

// plane is a process as its parts show it: mean and scatter of vectors, and the law of their size.
type plane struct {
	n    int
	dof  float64 // of the scatter
	mean r2.Vec
	cov  matrix2
	size law.Law
}

func process(v []r2.Vec, dof int) (plane, error) {
	p := plane{n: len(v), dof: float64(dof), mean: mean(v)}
	s, _, _ := scatterAbout(v, ones(len(v)))
	d := p.dof
	p.cov = matrix2{s.xx / d, s.yy / d, s.xy / d}
	return p.withSize()
}

func (p plane) withSize() (plane, error) {
	var err error
	p.size, err = law.NewNormalSize(p.mean.X, p.mean.Y, p.cov.xx, p.cov.yy, p.cov.xy)
	return p, err
}

// again is the process as another batch of as many parts would show it.
//
// Source: the mean and the scatter of normal vectors are independent, and the scatter is a Wishart matrix
// (Bartlett's decomposition, any text on multivariate analysis).
func (p plane) again(stream uint64) (plane, error) {
	r := rand.New(rand.NewPCG(bootstrapSeed, stream))
	// A root of the covariance: x = a u, y = b u + c w.
	var a, b, c float64
	if a = math.Sqrt(p.cov.xx); a > 0 {
		b = p.cov.xy / a
	}
	c = math.Sqrt(max(0, p.cov.yy-b*b))
	u, w, root := r.NormFloat64(), r.NormFloat64(), 1/math.Sqrt(float64(p.n))
	p.mean = r2.Add(p.mean, r2.Scale(root, r2.Vec{X: a * u, Y: b*u + c*w}))
	d := p.dof
	t := math.Sqrt(distuv.ChiSquared{K: d, Src: r}.Rand())
	l, k := r.NormFloat64(), math.Sqrt(distuv.ChiSquared{K: d - 1, Src: r}.Rand())
	// The root times the lower triangle (t, 0; l, k).
	x, y1, y2 := a*t, b*t+c*l, c*k
	p.cov = matrix2{x * x / d, (y1*y1 + y2*y2) / d, x * y1 / d}
	return p.withSize()
}

const bootstrapSeed = 1
