package diagnose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

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
	model        *model
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
func Explain(ctx context.Context, s align.Stack, seen []Seen, p Process) (*Finding, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	if err := errors.Join(p.check(), check(&s, seen)); err != nil {
		return nil, err
	}
	m, err := newModel(ctx, s, seen, p.usual())
	if err != nil {
		return nil, err
	}
	f := m.explain(m.value)
	if math.IsNaN(f.Nothing) {
		return nil, fault.At("seen", "", "values that some deviation of this box can give", fault.ErrOutOfRange)
	}
	f.Title = s.Title
	if f.Next, err = m.next(ctx); err != nil {
		return nil, err
	}
	return f, nil
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
	row := 0
	for i := range seen {
		v := &seen[i]
		kind := 1
		if v.measured() {
			kind = 0
			m.value = append(m.value, v.value()...)
		}
		for range v.numbers() {
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
	m.groups = m.alike()
	return m, nil
}

// The draws that average over what a direction leaves open: their error is some hundredths of a
// probability at the worst, well below what the prior is worth.
const (
	draws     = 2000
	drawsSeed = 1
)

// variances are those of all components when deviation k is at fault; -1: none.
func (m *model) variances(k int) []float64 {
	out := make([]float64, m.n)
	for i := range m.dev {
		sd := m.dev[i].sd
		if i == k {
			sd *= m.fault
		}
		for c := range m.dev[i].parts {
			out[m.column[i]+c] = sd * sd
		}
	}
	return out
}

// given is what an explanation makes of the measured values: how likely they are, and what they leave of
// the components.
type given struct {
	logLikelihood float64
	mean          *mat.VecDense // of the components
	cov           *mat.SymDense
}

// condition works out what explanation k makes of measured values.
func (m *model) condition(k int, value []float64) given {
	v := m.variances(k)
	prior := mat.NewSymDense(m.n, nil)
	for i, x := range v {
		prior.SetSym(i, i, x)
	}
	g := given{mean: mat.NewVecDense(m.n, nil), cov: prior}
	n := len(m.rows[0])
	if n == 0 {
		return g
	}
	j := mat.NewDense(n, m.n, nil)
	left := mat.NewVecDense(n, nil)
	for i, row := range m.rows[0] {
		j.SetRow(i, m.effect.RawRowView(row))
		left.SetVec(i, value[i]-m.y0[row])
	}
	var cross mat.Dense // Σ Jᵀ
	cross.Mul(prior, j.T())
	var s mat.Dense
	s.Mul(j, &cross)
	sym := mat.NewSymDense(n, nil)
	for a := range n {
		for b := a; b < n; b++ {
			sym.SetSym(a, b, s.At(a, b))
		}
		sym.SetSym(a, a, s.At(a, a)+m.noise[a]*m.noise[a])
	}
	var chol mat.Cholesky
	if !chol.Factorize(sym) { // cannot be: every gauge has an uncertainty
		g.logLikelihood = math.Inf(-1)
		return g
	}
	var w mat.VecDense
	if chol.SolveVecTo(&w, left) != nil {
		g.logLikelihood = math.Inf(-1)
		return g
	}
	g.logLikelihood = -(mat.Dot(left, &w) + chol.LogDet()) / 2
	g.mean.MulVec(&cross, &w)
	var gain, down mat.Dense
	if chol.SolveTo(&gain, cross.T()) == nil {
		down.Mul(&cross, &gain)
		for a := range m.n {
			for b := a; b < m.n; b++ {
				g.cov.SetSym(a, b, prior.At(a, b)-down.At(a, b))
			}
		}
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
	mean.MulVec(d, g.mean)
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
			if v := &m.seen[i]; !v.measured() {
				l *= v.likelihood(z[at : at+v.numbers()])
				at += v.numbers()
			}
		}
		sum += l
	}
	return sum / float64(len(m.draws))
}

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
			case l[k][k] > 1e-12*math.Sqrt(c.At(k, k)):
				l[i][k] = v / l[k][k]
			}
		}
	}
	return l
}

// weights are the probabilities of no fault and of each deviation's fault, alike before anything is seen.
func (m *model) weights(value []float64) (p []float64, g []given) {
	logs := make([]float64, 0, len(m.dev)+1)
	for k := -1; k < len(m.dev); k++ {
		c := m.condition(k, value)
		g = append(g, c)
		logs = append(logs, c.logLikelihood+math.Log(m.sights(c)))
	}
	top := slices.Max(logs)
	sum := 0.0
	for _, l := range logs {
		p = append(p, math.Exp(l-top))
		sum += p[len(p)-1]
	}
	for i := range p {
		p[i] /= sum
	}
	return p, g
}

// explain sorts explanations by their probability, those that do the same together.
func (m *model) explain(value []float64) *Finding {
	p, g := m.weights(value)
	f := &Finding{Nothing: p[0], model: m}
	for _, group := range m.groups {
		var e Explanation
		for n, k := range group {
			d := &m.dev[k]
			e.Probability += p[k+1]
			if n == 0 {
				e.Name, e.Members, e.Measure, e.dev, e.index = d.name, d.members, d.measure, d, k
				for c := range d.parts {
					e.Size[c] = g[k+1].mean.AtVec(m.column[k] + c)
				}
				continue
			}
			e.Others = append(e.Others, d.name)
		}
		f.Explanations = append(f.Explanations, e)
	}
	slices.SortStableFunc(f.Explanations, func(a, b Explanation) int {
		switch {
		case a.Probability > b.Probability:
			return -1
		case a.Probability < b.Probability:
			return 1
		}
		return 0
	})
	return f
}

// sameEffect is how near, beside the gauge, two deviations of usual size do the same.
const sameEffect = 0.02

// alike groups deviations that do the same to all that was seen: their effects span the same, and are as
// large. Those that do nothing to it are one group.
func (m *model) alike() (groups [][]int) {
	shape := func(k int) *mat.Dense {
		rows, _ := m.effect.Dims()
		out := mat.NewDense(rows, rows, nil)
		for c := range m.dev[k].parts {
			col := mat.Col(nil, m.column[k]+c, m.effect)
			for a := range rows {
				for b := range rows {
					out.Set(a, b, out.At(a, b)+col[a]*col[b]*m.dev[k].sd*m.dev[k].sd)
				}
			}
		}
		return out
	}
	rows, _ := m.effect.Dims()
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
	var shapes []*mat.Dense
	for k := range m.dev {
		own := shape(k)
		found := false
		for g, other := range shapes {
			same := true
			for a := range rows {
				for b := range rows {
					if s := scale[a] * scale[b]; s > 0 && math.Abs(own.At(a, b)-other.At(a, b)) > sameEffect*(s+math.Sqrt(own.At(a, a)*own.At(b, b))) {
						same = false
					}
				}
			}
			if same {
				groups[g], found = append(groups[g], k), true
				break
			}
		}
		if !found {
			shapes, groups = append(shapes, own), append(groups, []int{k})
		}
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
