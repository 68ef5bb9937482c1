package batch

import (
	"context"
	"fmt"
	"math"

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

	// Unasked are the labels that not every part has, or that differ in most, so that nothing could be asked of them.
	Unasked []string

	// Typical is the mean of the sizes, which hides a common direction: it is about as large for parts
	// that all lean one way as for parts that lean every way.
	Typical tolerance.Length

	Greatest   tolerance.Optional[tolerance.Length]
	Beyond     Share            // of all parts of such a process beyond Greatest
	BeyondRest Share            // the same, were the causes removed
	Holds      tolerance.Length // a size that 99 % of such parts hold, with 95 % confidence at least
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
	_, out.Unasked = b.labels()
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
// Source: the law is Rice's where the scatter is alike in all directions (practice and
// stackup/law.NormalSize).
func (f *Finding) capability(ctx context.Context, v, left []r2.Vec, free int) error {
	as := process(v, len(v)-1)
	holds, err := as.draws(ctx, true, func(size law.Law) float64 { return size.Quantile(held) })
	if err != nil {
		return err
	}
	f.Holds = tolerance.Length(quantile(holds, coverage))
	limit, ok := f.Greatest.Get()
	if !ok {
		return nil
	}
	if f.Beyond, err = as.beyond(ctx, float64(limit)); err != nil {
		return err
	}
	f.BeyondRest, err = process(left, free).beyond(ctx, float64(limit))
	return err
}

const (
	bootstraps = 400  // enough for the ends of a 95 % interval
	held       = 0.99 // the share of parts that Holds speaks of
)

// interval is that of a share, from what batches of the process that is seen would show, and from what processes
// that may be behind it have. The upper end is by the latter, which do not forget that few parts show too little
// scatter; they have too much where it is alike in all directions, so that the lower end is by the former: the
// percentile, or the same of a size's ratio to its scatter, whichever is less.
//
// Source: S. Weerahandi, Journal of the American Statistical Association 88 (1993), generalized confidence
// intervals; B. Efron and R. J. Tibshirani, An Introduction to the Bootstrap (1993), 13.3, percentiles (both from
// memory); hand calculation: of Rayleigh's share p the ratio is √(−2 ln p), and its errors are a factor.
func interval(v float64, seen, may []float64) Share {
	low := min(v, quantile(seen, (1-coverage)/2))
	if v > 0 && v < 1 {
		l := math.Log(v)
		low = min(low, math.Exp(l*l/math.Log(quantile(seen, (1+coverage)/2))))
	}
	return Share{v, low, max(v, quantile(may, (1+coverage)/2))}
}

// plane is a process as its parts show it: mean and scatter of vectors.
type plane struct {
	n    int
	dof  float64 // of the scatter
	mean r2.Vec
	cov  matrix2
}

func process(v []r2.Vec, dof int) plane {
	s, _, _ := scatterAbout(v, ones(len(v)))
	d := float64(dof)
	return plane{len(v), d, mean(v), matrix2{s.xx / d, s.yy / d, s.xy / d}}
}

// size is the law of the size of its parts' vectors.
func (p plane) size() (law.Law, error) {
	return law.NewNormalSize(p.mean.X, p.mean.Y, p.cov.xx, p.cov.yy, p.cov.xy)
}

// beyond is the share of parts larger than a limit.
func (p plane) beyond(ctx context.Context, limit float64) (Share, error) {
	of := func(size law.Law) float64 { return size.Survival(limit) }
	size, err := p.size()
	if err != nil {
		return Share{}, err
	}
	seen, err := p.draws(ctx, false, of)
	if err != nil {
		return Share{}, err
	}
	may, err := p.draws(ctx, true, of)
	if err != nil {
		return Share{}, err
	}
	return interval(of(size), seen, may), nil
}

// draws are a number of the sizes of parts, in process after process that again draws.
func (p plane) draws(ctx context.Context, may bool, of func(law.Law) float64) ([]float64, error) {
	var out []float64
	for _, s := range strays(p.dof) {
		if ctx.Err() != nil {
			return nil, fmt.Errorf("batch: stopped: %w", context.Cause(ctx))
		}
		size, err := p.again(s, may).size()
		if err != nil {
			return nil, err
		}
		out = append(out, of(size))
	}
	return out, nil
}

// stray is how far a batch strays from its process whose components are independent with variance 1: the mean's in
// standard deviations of its own, and the lower triangle (t, 0; l, k) whose square is the scatter.
type stray struct{ u, w, t, l, k float64 }

// fifth is the root of x⁶ = x + 1, by whose powers points of five numbers lie evenly.
const fifth = 1.1347241384015194

// strays are those of many batches, one as likely as the other.
//
// Source: the mean and the scatter of normal vectors are independent, and the scatter is a Wishart matrix
// (Bartlett's decomposition, any text on multivariate analysis); evenly by Kronecker's sequence (L. Kuipers and
// H. Niederreiter, Uniform Distribution of Sequences (1974) (from memory)), because draws at random would move the
// ends of intervals by a tenth of what lies beyond them.
func strays(dof float64) []stray {
	out := make([]stray, bootstraps)
	for i := range out {
		var at [5]float64
		for j := range at {
			_, at[j] = math.Modf(0.5 + float64(i+1)*math.Pow(fifth, -float64(j+1)))
		}
		normal, root := distuv.UnitNormal.Quantile, func(k, p float64) float64 {
			return math.Sqrt(distuv.ChiSquared{K: k}.Quantile(p) / dof)
		}
		out[i] = stray{normal(at[0]), normal(at[1]), root(dof, at[2]), normal(at[3]) / math.Sqrt(dof), root(dof-1, at[4])}
	}
	return out
}

// again is the process as another batch that strays so would show it, or, as may be, one whose batch strayed so
// and showed what is seen.
//
// Source: hand calculation: the root of the scatter seen is that of the process times the triangle, and that of the
// process the one seen times its inverse. The first axis is that of the larger scatter, whose part is exact.
func (p plane) again(s stray, may bool) plane {
	large, small, a := p.cov.principal()
	along, across := r2.Scale(math.Sqrt(large), a), r2.Scale(math.Sqrt(max(0, small)), r2.Vec{X: -a.Y, Y: a.X})
	if may {
		s.t, s.l, s.k = 1/s.t, -s.l/(s.t*s.k), 1/s.k
	}
	one, two := r2.Add(r2.Scale(s.t, along), r2.Scale(s.l, across)), r2.Scale(s.k, across)
	p.cov = matrix2{one.X*one.X + two.X*two.X, one.Y*one.Y + two.Y*two.Y, one.X*one.Y + two.X*two.Y}
	if may { // the mean seen strays by the scatter of that process
		along, across = one, two
	}
	p.mean = r2.Add(p.mean, r2.Scale(1/math.Sqrt(float64(p.n)), r2.Add(r2.Scale(s.u, along), r2.Scale(s.w, across))))
	return p
}
