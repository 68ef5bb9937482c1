package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"example.com/borestack/tolerance"
)

// bruteForce is Bayes' rule by drawing boxes from the process and weighing each by what was seen of it: the
// probabilities, the mean of every explanation's own components, and the share by which boxes that few leave them
// open.
func (m *model) bruteForce(boxes int) (p []float64, size [][2]float64, open []float64) {
	p, size, open = make([]float64, len(m.dev)+1), make([][2]float64, len(m.dev)+1), make([]float64, len(m.dev)+1)
	r := rand.New(rand.NewPCG(3, 4))
	x, z := make([]float64, m.n), make([]float64, len(m.y0))
	for range boxes {
		for i := range m.dev {
			for c := range m.dev[i].parts {
				x[m.column[i]+c] = m.dev[i].sd * r.NormFloat64()
			}
		}
		usual := m.numbersAt(x)
		for k := -1; k < len(m.dev); k++ {
			copy(z, usual)
			if k >= 0 { // its own deviation is larger by the factor
				for c := range m.dev[k].parts {
					for i := range z {
						z[i] += m.effect.At(i, m.column[k]+c) * x[m.column[k]+c] * (m.fault - 1)
					}
				}
			}
			w := 1.0
			for i := range m.seen {
				v, row := &m.seen[i], m.row[i]
				if !v.sight().measured {
					w *= v.likelihood(z[row : row+v.sight().numbers])
					continue
				}
				for c, y := range v.value() {
					w *= math.Exp(-math.Pow((y-z[row+c])/v.u(), 2) / 2)
				}
			}
			p[k+1] += w
			open[k+1] += w * w
			for c := 0; k >= 0 && c < m.dev[k].parts; c++ {
				size[k+1][c] += w * m.fault * x[m.column[k]+c]
			}
		}
	}
	for i := range size {
		size[i][0], size[i][1], open[i] = size[i][0]/p[i], size[i][1]/p[i], math.Sqrt(open[i])/p[i]
	}
	floats.Scale(1/floats.Sum(p), p)
	return p, size, open
}

// Probabilities and sizes are those of Bayes' rule: of measured values alone, of directions alone, and of both.
//
// Source: brute force, a second method: boxes drawn from the process, weighed by what was seen.
func TestExplain_bruteForce(t *testing.T) {
	const nearP = 0.005 // beside what the draws leave open
	s := launch(t)
	bores := supports(&s)
	rear, main, joint := bores[3], bores[2], s.JointName(2)
	for name, c := range map[string]struct {
		nearSize float64 // over its scatter
		seen     []Seen
	}{
		"measured": {0.05, []Seen{{Kind: Sweep, Of: rear, Value: 0.3, Clock: 2, U: 0.06}, {Kind: Face, Of: rear, Value: 0.05, Clock: 1, Radius: 40, U: 0.02}}},
		"one way":  {0.05, []Seen{{Kind: Worn, Of: rear, At: Front, Clock: 2}}},
		"both":     {0.35, []Seen{{Kind: Sweep, Of: rear, Value: 0.3, Clock: 2, U: 0.06}, {Kind: Worn, Of: rear, At: Front, Clock: 5.5}, {Kind: Weeps, Of: joint, Clock: 5}}},
		"ways":     {0.05, []Seen{{Kind: Worn, Of: rear, At: Front, Clock: 2}, {Kind: Worn, Of: main, Clock: 5}, {Kind: Weeps, Of: joint, Clock: 5}}},
	} {
		m := modelOf(t, s, c.seen, Process{})
		got, left := m.weights()
		want, size, open := m.bruteForce(5000)
		for i := range want {
			if math.Abs(got[i]-want[i]) > nearP+4*want[i]*open[i] {
				t.Errorf("%s, explanation %d: %.4f, by brute force %.4f", name, i-1, got[i], want[i])
			}
			if i == 0 {
				continue
			}
			d, at := &m.dev[i-1], m.column[i-1]
			for k := range d.parts {
				if off := left[i].mean[at+k] - size[i][k]; math.Abs(off) > (c.nearSize+4*open[i])*d.sd*m.fault {
					t.Errorf("%s, %s, component %d: %g, by brute force %g", name, d.name, k, left[i].mean[at+k], size[i][k])
				}
			}
		}
	}
}

// A side alone leaves half of a normal distribution.
//
// Source: hand calculation: P = (1 − w)/2 + w/2, and the mean of a half normal distribution is ±√(2/π) of its scatter, here with the share w of wrong
// ends (1 − 2w) of it.
func TestLook_side(t *testing.T) {
	for _, end := range []End{Front, Rear} {
		g := &given{mean: make([]float64, 2), cov: mat.NewSymDense(2, []float64{9, 0, 0, 4})}
		got := math.Exp(g.look(mat.NewDense(1, 2, []float64{1, 0}), []float64{0}, &Seen{Kind: Bright, At: end}, new(site)))
		want := 3 * math.Sqrt(2/math.Pi) * (1 - 2*wrongEnd) * map[End]float64{Front: -1, Rear: 1}[end]
		if math.Abs(got-0.5) > 1e-3 || math.Abs(g.mean[0]-want) > 0.003*3 || g.mean[1] != 0 || math.Abs(g.cov.At(0, 0)-(9-want*want)) > 0.03 || g.cov.At(1, 1) != 4 {
			t.Errorf("%v: %g, %v, %v", end, got, g.mean, g.cov)
		}
	}
}

// A sight that no deviation moves leaves everything as it was, also where the distribution of its numbers is of one of
// them alone.
func TestLook_singular(t *testing.T) {
	for _, effect := range [][]float64{{0, 0, 0, 0}, {1, 0, 1, 0}, {1e-160, 0, 0, 1e-160}} {
		g := &given{mean: make([]float64, 2), cov: mat.NewSymDense(2, []float64{9, 0, 0, 4})}
		got := g.look(mat.NewDense(2, 2, effect), []float64{0, 0}, &Seen{Kind: Worn, Clock: 1}, new(site))
		if math.IsNaN(got) || floats.HasNaN(g.mean) || !(g.cov.At(0, 0) > 0 && g.cov.At(0, 0) <= 9.1) || g.mean[1]*g.mean[1] > 4 {
			t.Errorf("%v: %g, %v, %v", effect, got, g.mean, g.cov)
		}
	}
}

// simulated is what is left undecided when deviation k has been measured, and how well that is known: a box of an
// explanation is drawn, its deviation measured, and taken in as one more measured value.
func (m *model) simulated(r *rand.Rand, p []float64, left []*given, roots [][][]float64, k int, u float64) (mean, of float64) {
	const boxes = 150
	sum, square := 0.0, 0.0
	for range boxes {
		at, pick := r.Float64(), 0
		for ; pick < len(p)-1 && at > p[pick]; pick++ {
			at -= p[pick]
		}
		e := make([]float64, m.n)
		for i := range e {
			e[i] = r.NormFloat64()
		}
		q := make([]float64, len(p))
		var y [2]float64
		for c := range m.dev[k].parts {
			row := m.column[k] + c
			y[c] = left[pick].mean[row] + floats.Dot(roots[pick][row], e) + u*r.NormFloat64()
		}
		for i := range p {
			g := given{logLikelihood: math.Log(p[i]), mean: slices.Clone(left[i].mean), cov: mat.NewSymDense(m.n, nil)}
			g.cov.CopySym(left[i].cov)
			for c := range m.dev[k].parts {
				effect := mat.NewVecDense(m.n, nil)
				effect.SetVec(m.column[k]+c, 1)
				g.measure(effect, y[c], u)
			}
			q[i] = g.logLikelihood
		}
		floats.AddConst(-floats.LogSumExp(q), q)
		for i := range q {
			q[i] = math.Exp(q[i])
		}
		h := entropy(q)
		sum, square = sum+h, square+h*h
	}
	mean = sum / boxes
	of = math.Sqrt(max(0, square/boxes-mean*mean) / boxes)
	return mean, of
}

// The measurement that is named leaves least undecided, and as much as is said.
//
// Source: simulation, a second method.
func TestNext_simulated(t *testing.T) {
	s := launch(t)
	bores := supports(&s)
	m := modelOf(t, s, []Seen{{Kind: Sweep, Of: bores[3], Value: 0.4, Clock: 2}, {Kind: Worn, Of: bores[3], At: Front, Clock: 5.5}}, Process{})
	p, left := m.weights()
	next, err := m.next(t.Context(), p, left)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(5, 6))
	least, named := math.Inf(1), ""
	var roots [][][]float64
	for i := range left {
		roots = append(roots, rootOf(left[i].cov))
	}
	for k := range m.dev {
		u := float64(usualU)
		if m.dev[k].slope {
			u /= 100
		}
		mean, of := m.simulated(r, p, left, roots, k, u)
		if got := m.expected(p, left, k, u); math.Abs(got-mean) > 4*of+0.05 {
			t.Errorf("%s: %.3f bits, simulated %.3f ± %.3f", m.dev[k].measure, got, mean, of)
		}
		if mean < least {
			least, named = mean, m.dev[k].measure
		}
	}
	if next.Name != named || math.Abs(next.After-least) > 0.1 || math.Abs(next.Doubt-entropy(p)) > 1e-12 {
		t.Errorf("%+v, simulated %q %.3f", next, named, least)
	}
}

// A wedge between two parts turns every face behind it, and a bore that leans its own face, the other way.
//
// Source: hand calculation: a slope s on a circle of radius r is a TIR of 2 r s. References are two bores before the
// joint, so that nothing else turns.
func TestFace_hand(t *testing.T) {
	s := launch(t)
	bores := supports(&s)
	m := modelOf(t, s, []Seen{{Kind: Face, Of: bores[3], Radius: 40}}, Process{})
	for k := range m.dev {
		d := &m.dev[k]
		want := 0.0
		switch d.name {
		case "faces out of parallel at " + s.JointName(2):
			want = 1
		case bores[3] + " out of square in its part":
			want = -1
		default:
			continue
		}
		if got := m.effect.At(0, m.column[k]); math.Abs(got-want) > 1e-3 {
			t.Errorf("%s: %g, want %g", d.name, got, want)
		}
	}
	v := Seen{Kind: Face, Value: 0.08, Clock: 90 * tolerance.Degree, Radius: 40, U: 0.004}
	if got := v.value(); math.Abs(got[0]-0.001) > 1e-15 || math.Abs(got[1]) > 1e-15 || math.Abs(v.u()-0.0001) > 1e-15 {
		t.Errorf("%v, %g", got, v.u())
	}
}

// What nothing of the sights can show stands by itself, without a size; a direction alone gives a size and a way;
// and what no explanation fits is told.
func TestPage_says(t *testing.T) {
	s := launch(t)
	bores := supports(&s)
	page := func(seen ...Seen) (*Finding, string) {
		f, err := Explain(t.Context(), s, seen, Process{})
		if err != nil {
			t.Fatal(err)
		}
		var out strings.Builder
		if err := f.Page(tolerance.Millimetres).Text(&out); err != nil {
			t.Fatal(err)
		}
		return f, strings.Join(strings.Fields(out.String()), " ")
	}
	_, text := page(Seen{Kind: Worn, Of: bores[3], At: Front, Clock: 150 * tolerance.Degree})
	if strings.Contains(text, "by 0 mm") || !strings.Contains(text, "a deviation that does nothing to what was seen it can be: length at ") {
		t.Error(text)
	}
	for value, ill := range map[tolerance.Length]bool{0.1: false, 0.4: false, 40: true} {
		f, text := page(Seen{Kind: Sweep, Of: bores[3], Value: value, Clock: 2})
		if (f.Fit < illFit) != ill || strings.Contains(text, "explains what was measured badly") != ill {
			t.Errorf("%v: fit %g\n%s", value, f.Fit, text)
		}
	}
}

// A joint leaks where its faces part: across from where they are thick.
//
// Source: hand calculation: 10 o'clock and 4 o'clock are across.
func TestWeeps_hand(t *testing.T) {
	s := launch(t)
	f, err := Explain(t.Context(), s, []Seen{{Kind: Weeps, Of: s.JointName(1), Clock: 300 * tolerance.Degree}}, Process{})
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := f.Page(tolerance.Millimetres).Text(&out); err != nil || !strings.Contains(out.String(), "faces out of parallel at "+s.JointName(1)+", by 0.0") || !strings.Contains(out.String(), "rising towards 4:00") {
		t.Errorf("%v\n%s", err, out.String())
	}
}

// A size is spelled in full.
//
// Source: hand calculation: a slope of 3 in 10,000 is 0.03 in 100.
func TestSized_described(t *testing.T) {
	for want, d := range map[string]sized{
		"by 0.03 in 100 mm, rising towards 3:00":              {&deviation{slope: true, parts: 2}, [2]float64{3e-4, 0}},
		"by 0.03 in 100 mm, leaning to the rear towards 6:00": {&deviation{slope: true, parts: 2, joint: -1}, [2]float64{0, -3e-4}},
		"by 0.05 towards 9:00":                                {&deviation{parts: 2, joint: -1}, [2]float64{-0.05, 0}},
		"shorter by 0.2":                                      {&deviation{parts: 1, joint: -1}, [2]float64{-0.2}},
		"longer by 0.2":                                       {&deviation{parts: 1, joint: -1}, [2]float64{0.2}},
	} {
		if got := d.described(func(v tolerance.Length) string { return fmt.Sprintf("%.4g", float64(v)) }); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What measured values are off is judged by the distribution of its squares.
//
// Source: hand calculation: of two numbers, exp(−x/2) of all sums of squares are beyond x.
func TestFit_hand(t *testing.T) {
	m := &model{seen: []Seen{{Kind: Sweep}, {Kind: Weeps}}}
	if got := m.fit(&given{far: 6}); math.Abs(got-math.Exp(-3)) > 1e-12 {
		t.Errorf("%g", got)
	}
	if got := (&model{seen: []Seen{{Kind: Weeps}}}).fit(&given{}); got != 1 {
		t.Errorf("nothing was measured: %g", got)
	}
}

// Where explanations foretell a wide and a narrow range, or differ in one component alone, a measurement tells them.
//
// Source: hand calculation: ranges of 1 and 0.001 overlap in a thousandth; means 10 standard deviations apart in a millionth.
func TestExpected_hand(t *testing.T) {
	normal := func(y, sd float64) *given {
		return &given{mean: []float64{0, y}, cov: mat.NewSymDense(2, []float64{sd * sd, 0, 0, sd * sd})}
	}
	m := &model{dev: []deviation{{parts: 2}}, column: []int{0}}
	for name, g := range map[string][]*given{"ranges": {normal(0, 0), normal(0, 1)}, "means": {normal(0, 1), normal(10, 1)}} {
		if left := m.expected([]float64{0.5, 0.5}, g, 0, 0.001); left > 0.01 {
			t.Errorf("%s: %g bits are left", name, left)
		}
	}
	if left := m.expected([]float64{0.5, 0.5}, []*given{normal(0, 1), normal(0, 1)}, 0, 0.001); math.Abs(left-1) > 1e-9 {
		t.Errorf("alike: %g bits are left", left)
	}
}
