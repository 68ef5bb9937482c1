package diagnose

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/align"
	"example.com/borestack/fault"
)

// Explanation is one deviation, or several that what was seen cannot tell apart: those that do the same to it,
// or those that do nothing to it, which stand under one name of their own and have no size.
type Explanation struct {
	Name        string
	Others      []string // names of deviations that do the same to all that was seen
	Members     []string // what can be wrong
	Measure     string   // how to look, with the box apart
	Probability float64
	Size        [2]float64 // how large it would be: mm, or a slope; one component for a length
	alike       []sized    // the deviations
	hidden      bool       // they do nothing to what was seen
}

// sized is a deviation with the size that it would have.
type sized struct {
	*deviation
	size [2]float64
}

// Finding is what can explain what was seen, the likeliest first.
type Finding struct {
	Title        string
	Explanations []Explanation
	Nothing      float64 // probability that no fault is needed: the usual scatter does it
	Fit          float64 // share of boxes of the likeliest explanation whose measured values are as far off as these: small where none explains them
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
	row    []int      // where each sight's numbers begin
	fault  float64
	groups [][]int // of deviations that do the same
	hidden int     // the group of those that do nothing; -1
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
	row := 0
	for i := range seen {
		m.row = append(m.row, row)
		row += seen[i].sight().numbers
	}
	m.alike()
	return m, nil
}

// given is what an explanation makes of what was seen: how likely it is, and what it leaves of the components.
type given struct {
	logLikelihood float64
	far           float64   // of the measured values: the sum of squares of how far each is off, over its standard deviation
	mean          []float64 // of the components
	cov           *mat.SymDense
}

// condition works out what explanation k makes of what was seen, -1 being that nothing is at fault: first of
// the measured values, then of the directions and sides, one by one.
func (m *model) condition(k int) *given {
	g := &given{mean: make([]float64, m.n), cov: mat.NewSymDense(m.n, nil)}
	for i := range m.dev {
		sd := m.dev[i].sd
		if i == k {
			sd *= m.fault
		}
		for c := m.column[i]; c < m.column[i]+m.dev[i].parts; c++ {
			g.cov.SetSym(c, c, sd*sd)
		}
	}
	var ways []int
	for i := range m.seen {
		v, row := &m.seen[i], m.row[i]
		if !v.sight().measured {
			ways = append(ways, i)
			continue
		}
		for c, y := range v.value() {
			g.measure(m.effect.RowView(row+c), y-m.y0[row+c], v.u())
		}
	}
	own := make([]site, len(m.seen))
	for pass := range min(passes, len(ways)) { // a single one is right at once
		for _, i := range ways {
			v, row := &m.seen[i], m.row[i]
			end := row + v.sight().numbers
			if l := g.look(m.effect.Slice(row, end, 0, m.n), m.y0[row:end], v, &own[i]); pass == 0 {
				g.logLikelihood += l
			}
		}
	}
	return g
}

// passes is how often each direction and side is taken in: later ones change sizes by less than a twentieth of
// their scatter.
const passes = 3

// measure takes in a number that was measured to be y above what the stack says, with its standard uncertainty.
//
// Source: conditioning a normal distribution on one number with noise, any text on statistics.
func (g *given) measure(effect mat.Vector, y, u float64) {
	var with mat.VecDense // how every component varies with the number
	with.MulVec(g.cov, effect)
	variance := mat.Dot(effect, &with) + u*u
	off := y - mat.Dot(effect, mat.NewVecDense(len(g.mean), g.mean))
	g.far += off * off / variance
	g.logLikelihood -= (off*off/variance + math.Log(variance)) / 2
	floats.AddScaled(g.mean, off/variance, with.RawVector().Data)
	g.cov.SymRankOne(g.cov, -1/variance, &with)
}

// weights are the probabilities of no fault and of each deviation's fault, alike before anything is seen.
func (m *model) weights() (p []float64, left []*given) {
	for k := -1; k < len(m.dev); k++ {
		g := m.condition(k)
		left = append(left, g)
		p = append(p, g.logLikelihood)
	}
	floats.AddConst(-floats.LogSumExp(p), p)
	for i := range p {
		p[i] = math.Exp(p[i])
	}
	return p, left
}

// explain sorts explanations by their probability, those that do the same together.
func (m *model) explain(p []float64, left []*given) *Finding {
	f := &Finding{Nothing: p[0], Fit: m.fit(left[floats.MaxIdx(p)])}
	for place, group := range m.groups {
		e := Explanation{hidden: place == m.hidden}
		for _, k := range group {
			d := sized{deviation: &m.dev[k]}
			copy(d.size[:d.parts], left[k+1].mean[m.column[k]:])
			e.Probability += p[k+1]
			e.alike, e.Others = append(e.alike, d), append(e.Others, d.name)
		}
		if first := e.alike[0]; e.hidden {
			e.Name = "a deviation that does nothing to what was seen"
		} else {
			e.Name, e.Members, e.Measure, e.Size, e.Others = first.name, first.members, first.measure, first.size, e.Others[1:]
		}
		f.Explanations = append(f.Explanations, e)
	}
	slices.SortStableFunc(f.Explanations, func(a, b Explanation) int { return -cmp.Compare(a.Probability, b.Probability) })
	return f
}

// fit is the share of boxes of an explanation whose measured values are as far off, or farther.
//
// Source: the sum of squares of independent standard normal numbers is of the chi-squared distribution.
func (m *model) fit(g *given) float64 {
	n := 0
	for i := range m.seen {
		if v := m.seen[i].sight(); v.measured {
			n += v.numbers
		}
	}
	if n == 0 {
		return 1
	}
	return distuv.ChiSquared{K: float64(n)}.Survival(g.far)
}

// sameEffect is how near, beside the gauge, two deviations of usual size do the same.
const sameEffect = 0.02

// alike groups deviations that do the same to all that was seen: their effects span the same, and are as
// large. Those that do nothing to it are one group.
func (m *model) alike() {
	rows, _ := m.effect.Dims()
	shapes := make([]mat.Dense, len(m.dev)) // what each scatters of the numbers where nothing is wrong
	for k := range m.dev {
		own := m.effect.Slice(0, rows, m.column[k], m.column[k]+m.dev[k].parts)
		shapes[k].Mul(own, own.T())
		shapes[k].Scale(m.dev[k].sd*m.dev[k].sd, &shapes[k])
	}
	scale := make([]float64, rows)
	for i := range m.seen {
		v := &m.seen[i]
		for row := m.row[i]; row < m.row[i]+v.sight().numbers; row++ {
			if v.sight().measured {
				scale[row] = v.u()
				continue
			}
			for k := range m.dev {
				for c := range m.dev[k].parts {
					scale[row] = max(scale[row], math.Abs(m.effect.At(row, m.column[k]+c))*m.dev[k].sd*0.1)
				}
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
		g := slices.IndexFunc(m.groups, func(group []int) bool { return same(&shapes[k], &shapes[group[0]]) })
		if g < 0 {
			m.groups = append(m.groups, nil)
			g = len(m.groups) - 1
		}
		m.groups[g] = append(m.groups[g], k)
	}
	none := mat.NewDense(rows, rows, nil)
	m.hidden = slices.IndexFunc(m.groups, func(group []int) bool { return same(&shapes[group[0]], none) })
}

// stopped is the error of a question whose context has ended.
func stopped(ctx context.Context) error {
	if ctx.Err() == nil {
		return nil
	}
	return fmt.Errorf("diagnose: stopped: %w", context.Cause(ctx))
}
