package diagnose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// Explanation is one deviation, or several that what was seen cannot tell apart.
type Explanation struct {
	Name        string
	Others      []string // names of deviations that do the same to all that was seen
	Members     []string // what can be wrong
	Measure     string   // how to look, with the box apart
	Probability float64
	Size        [2]float64 // how large it would be: mm, or a slope; one component for a length
	dev         *deviation
	index       int
}

// Finding is what can explain what was seen, the likeliest first.
type Finding struct {
	Title        string
	Explanations []Explanation
	Nothing      float64 // probability that no fault is needed: the usual scatter does it
	Next         Measurement
}

// model is deviations and sights of one stack.
type model struct {
	seen   []Seen
	dev    []deviation
	column []int      // where each deviation's components begin
	n      int        // components
	effect *mat.Dense // numbers of the sights by components
	y0     []float64  // what the stack says of them
	rows   [2][]int   // which numbers were measured, and which are of directions and sides
	value  []float64  // of the measured ones
	noise  []float64  // their standard uncertainties
	fault  float64
	groups [][]int     // of deviations that do the same
	draws  [][]float64 // standard normal numbers for the directions and sides, the same for every explanation
}

// Explain works out what can explain what was seen on a box of this stack. When ctx ends it stops before
// the next deviation, with an error that wraps the cause.
func Explain(ctx context.Context, s align.Stack, seen []Seen, process Process) (*Finding, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	process, err := process.completed()
	if err := errors.Join(err, check(&s, seen)); err != nil {
		return nil, err
	}
	m, err := newModel(ctx, s, seen, process)
	if err != nil {
		return nil, err
	}
	p, left := m.weights()
	if math.IsNaN(p[0]) {
		return nil, fault.At("seen", "", "values that some deviation of this box can give", fault.ErrOutOfRange)
	}
	f := m.explain(p, left)
	f.Title = s.Title
	f.Next, err = m.next(ctx, p, left)
	return f, err
}

func newModel(ctx context.Context, s align.Stack, seen []Seen, p Process) (*model, error) {
	m := &model{seen: seen, dev: deviations(&s, p), fault: p.Fault}
	still := rested(s)
	var err error
	if m.y0, err = numbersOf(&still, seen); err != nil {
		return nil, err
	}
	base, err := plain(s)
	if err != nil {
		return nil, err
	}
	at, err := numbersOf(&base, seen)
	if err != nil {
		return nil, err
	}
	var columns [][]float64
	for i := range m.dev {
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		e, err := effects(&base, at, seen, &m.dev[i])
		if err != nil {
			return nil, err
		}
		m.column = append(m.column, len(columns))
		columns = append(columns, e...)
	}
	m.n = len(columns)
	if m.n == 0 {
		return nil, fault.At("stack", "", "joints, or bores that carry a shaft", fault.ErrMissing)
	}
	m.effect = mat.NewDense(len(at), m.n, nil)
	for c, col := range columns {
		m.effect.SetCol(c, col)
	}
	m.layRows()
	m.groups = m.alike()
	return m, nil
}

// layRows tells the numbers that are measured from those that are seen only, with the draws of these.
func (m *model) layRows() {
	row := 0
	for i := range m.seen {
		v := &m.seen[i]
		kind := 1
		if v.sight().measured {
			kind = 0
			m.value = append(m.value, v.value()...)
		}
		for range v.sight().numbers {
			m.rows[kind] = append(m.rows[kind], row)
			if kind == 0 {
				m.noise = append(m.noise, v.u())
			}
			row++
		}
	}
	r := rand.New(rand.NewPCG(drawsSeed, 0))
	for range draws {
		z := make([]float64, len(m.rows[1]))
		for i := range z {
			z[i] = r.NormFloat64()
		}
		m.draws = append(m.draws, z)
	}
}

// The draws that average over what a direction leaves open: their error is some hundredths of a
// probability at the worst, well below what the prior is worth.
const (
	draws     = 2000
	drawsSeed = 1
)

// given is what an explanation makes of the measured values: how likely they are, and what they leave of
// the components.
type given struct {
	logLikelihood float64
	mean          []float64 // of the components
	cov           *mat.SymDense
}

// condition works out what explanation k makes of the measured values, -1 being that nothing is at fault:
// they are taken in one by one.
//
// Source: conditioning a normal law on one number with noise, any text on statistics.
func (m *model) condition(k int) given {
	g := given{mean: make([]float64, m.n), cov: mat.NewSymDense(m.n, nil)}
	for i := range m.dev {
		sd := m.dev[i].sd
		if i == k {
			sd *= m.fault
		}
		for c := m.column[i]; c < m.column[i]+m.dev[i].parts; c++ {
			g.cov.SetSym(c, c, sd*sd)
		}
	}
	for i, row := range m.rows[0] {
		effect := m.effect.RowView(row)
		var with mat.VecDense // how every component varies with the number
		with.MulVec(g.cov, effect)
		variance := mat.Dot(effect, &with) + m.noise[i]*m.noise[i]
		off := m.value[i] - m.y0[row] - mat.Dot(effect, mat.NewVecDense(m.n, g.mean))
		g.logLikelihood -= (off*off/variance + math.Log(variance)) / 2
		floats.AddScaled(g.mean, off/variance, with.RawVector().Data)
		g.cov.SymRankOne(g.cov, -1/variance, &with)
	}
	return g
}

// sights is how likely the directions and sides are, averaged over what the measured values leave open.
func (m *model) sights(g given) float64 {
	n := len(m.rows[1])
	if n == 0 {
		return 1
	}
	d := mat.NewDense(n, m.n, nil)
	for i, row := range m.rows[1] {
		d.SetRow(i, m.effect.RawRowView(row))
	}
	var mean mat.VecDense
	mean.MulVec(d, mat.NewVecDense(m.n, g.mean))
	var half, cov mat.Dense
	half.Mul(g.cov, d.T())
	cov.Mul(d, &half)
	root := rootOf(&cov)
	sum, z := 0.0, make([]float64, n)
	for _, e := range m.draws {
		for i := range z {
			z[i] = mean.AtVec(i) + m.y0[m.rows[1][i]]
			for k := range i + 1 {
				z[i] += root[i][k] * e[k]
			}
		}
		l, at := 1.0, 0
		for i := range m.seen {
			if v := &m.seen[i]; !v.sight().measured {
				l *= v.likelihood(z[at : at+v.sight().numbers])
				at += v.sight().numbers
			}
		}
		sum += l
	}
	return sum / float64(len(m.draws))
}

// singular is the share of a standard deviation below which what the others leave of it is rounding.
const singular = 1e-12

// rootOf is the lower root of a covariance that may be singular.
func rootOf(c *mat.Dense) [][]float64 {
	n, _ := c.Dims()
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for k := range i + 1 {
			v := c.At(i, k)
			for q := range k {
				v -= l[i][q] * l[k][q]
			}
			switch {
			case i == k:
				l[i][i] = math.Sqrt(max(v, 0))
			case l[k][k] > singular*math.Sqrt(c.At(k, k)):
				l[i][k] = v / l[k][k]
			}
		}
	}
	return l
}

// weights are the probabilities of no fault and of each deviation's fault, alike before anything is seen.
func (m *model) weights() (p []float64, left []given) {
	for k := -1; k < len(m.dev); k++ {
		g := m.condition(k)
		left = append(left, g)
		p = append(p, g.logLikelihood+math.Log(m.sights(g)))
	}
	floats.AddConst(-floats.LogSumExp(p), p)
	for i := range p {
		p[i] = math.Exp(p[i])
	}
	return p, left
}

// explain sorts explanations by their probability, those that do the same together.
func (m *model) explain(p []float64, left []given) *Finding {
	f := &Finding{Nothing: p[0]}
	for _, group := range m.groups {
		first := group[0]
		d := &m.dev[first]
		e := Explanation{Name: d.name, Members: d.members, Measure: d.measure, Probability: p[first+1], dev: d, index: first}
		copy(e.Size[:d.parts], left[first+1].mean[m.column[first]:])
		for _, k := range group[1:] {
			e.Probability += p[k+1]
			e.Others = append(e.Others, m.dev[k].name)
		}
		f.Explanations = append(f.Explanations, e)
	}
	slices.SortStableFunc(f.Explanations, func(a, b Explanation) int { return -cmp.Compare(a.Probability, b.Probability) })
	return f
}

// sameEffect is how near, beside the gauge, two deviations of usual size do the same.
const sameEffect = 0.02

// alike groups deviations that do the same to all that was seen: their effects span the same, and are as
// large. Those that do nothing to it are one group.
func (m *model) alike() (groups [][]int) {
	rows, _ := m.effect.Dims()
	shapes := make([]mat.Dense, len(m.dev)) // what each scatters of the numbers where nothing is wrong
	for k := range m.dev {
		own := m.effect.Slice(0, rows, m.column[k], m.column[k]+m.dev[k].parts)
		shapes[k].Mul(own, own.T())
		shapes[k].Scale(m.dev[k].sd*m.dev[k].sd, &shapes[k])
	}
	scale := make([]float64, rows)
	for i, row := range m.rows[0] {
		scale[row] = m.noise[i]
	}
	for _, row := range m.rows[1] {
		for k := range m.dev {
			for c := range m.dev[k].parts {
				scale[row] = max(scale[row], math.Abs(m.effect.At(row, m.column[k]+c))*m.dev[k].sd*0.1)
			}
		}
	}
	same := func(one, other *mat.Dense) bool {
		for a := range rows {
			for b := range rows {
				if s := scale[a] * scale[b]; s > 0 && math.Abs(one.At(a, b)-other.At(a, b)) > sameEffect*(s+math.Sqrt(one.At(a, a)*one.At(b, b))) {
					return false
				}
			}
		}
		return true
	}
	for k := range m.dev {
		g := slices.IndexFunc(groups, func(group []int) bool { return same(&shapes[k], &shapes[group[0]]) })
		if g < 0 {
			groups = append(groups, nil)
			g = len(groups) - 1
		}
		groups[g] = append(groups[g], k)
	}
	return groups
}

// stopped is the error of a question whose context has ended.
func stopped(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("diagnose: stopped: %w", context.Cause(ctx))
}
