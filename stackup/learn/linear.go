package learn

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// Observation is a reading of one output of a model.
type Observation struct {
	Output      int     // column of the model's outputs
	Value       float64 // what was read
	Uncertainty float64 // standard uncertainty of the reading, from a normal law; 0: exact
}

func (o *Observation) check(outputs, number int) error {
	name := fmt.Sprintf("observation %d", number)
	switch {
	case o.Output < 0 || o.Output >= outputs:
		return &stackup.InputError{Name: name, What: fmt.Sprintf("output %d", o.Output), Want: fmt.Sprintf("one of the model's %d", outputs)}
	case o.Value-o.Value != 0:
		return &stackup.InputError{Name: name, What: "value " + fmt.Sprintf("%g", o.Value), Want: "a finite number"}
	case !(o.Uncertainty >= 0) || math.IsInf(o.Uncertainty, 1):
		return &stackup.InputError{Name: name, What: "uncertainty " + fmt.Sprintf("%g", o.Uncertainty), Want: "0 or more"}
	}
	return nil
}

// Belief is what is known of the deviations: their means and covariances, column by column.
type Belief struct {
	Mean       []float64
	Covariance [][]float64
	Surprise   []float64 // by observation: how far it lay from what was expected of it then, in standard deviations
}

// Prior is the belief before any observation: the means and covariances of the laws. It returns an
// [stackup.InputError] for a law without either.
func Prior(s *stackup.Study) (*Belief, error) {
	if err := s.SecondMoments(); err != nil {
		return nil, err
	}
	b := &Belief{}
	n := 0
	for i := range s.Inputs {
		n += s.Inputs[i].Columns()
	}
	b.Covariance = num.Columns(n, n)
	for i := range s.Inputs {
		in, c := &s.Inputs[i], len(b.Mean)
		for k := range in.Columns() {
			b.Mean = append(b.Mean, in.Mean(k))
			for j := range in.Columns() {
				b.Covariance[c+k][c+j] = in.Covariance(k, j)
			}
		}
	}
	return b, nil
}

// FromLinear updates the belief about a study's deviations by observations of outputs of its linear model l,
// whatever their order. For normal laws and a model that is linear the result is exact; otherwise it is the best
// that is linear in the readings. See [From] for other models.
//
// It returns an [stackup.InputError] for an observation that is not in order, or exact and of an output that does
// not vary.
//
// Source: Kalman, A new approach to linear filtering and prediction problems, J. Basic Eng. 82 (1960), one
// observation at a time; JCGM 106:2012, clause 6, for knowing a quantity by a prior and a reading.
func FromLinear(s *stackup.Study, l *stackup.Linear, readings ...Observation) (*Belief, error) {
	b, err := Prior(s)
	if err != nil {
		return nil, err
	}
	if len(l.At) == 0 || len(l.Gain[0]) != len(b.Mean) {
		return nil, &stackup.InputError{Name: "study", What: fmt.Sprintf("%d columns", len(b.Mean)), Want: "those of the linear model"}
	}
	for k := range readings {
		o := &readings[k]
		if err := o.check(len(l.At), k); err != nil {
			return nil, err
		}
		if !b.learn(l.Gain[o.Output], o.Value-l.At[o.Output], o.Uncertainty) {
			return nil, &stackup.InputError{Name: fmt.Sprintf("observation %d", k), What: "an exact reading of what is known", Want: "an uncertainty above 0"}
		}
	}
	return b, nil
}

// learn updates by one reading v of gain·x. It reports false when the reading could only be one number.
func (b *Belief) learn(gain []float64, v, uncertainty float64) bool {
	along := make([]float64, len(gain)) // covariance with the reading
	var variance float64
	for i, row := range b.Covariance {
		along[i] = num.Inner(row, gain)
		variance += gain[i] * along[i]
		v -= gain[i] * b.Mean[i]
	}
	variance = math.Max(variance, 0) + uncertainty*uncertainty
	if !(variance > 0) {
		return false
	}
	b.Surprise = append(b.Surprise, v/math.Sqrt(variance))
	for i, a := range along {
		b.Mean[i] += a * v / variance
		for j := range i + 1 {
			b.Covariance[i][j] -= a * along[j] / variance
			b.Covariance[j][i] = b.Covariance[i][j]
		}
		b.Covariance[i][i] = math.Max(b.Covariance[i][i], 0)
	}
	return true
}

// Output is the mean and standard deviation of output o of the linear model under the belief.
func (b *Belief) Output(l *stackup.Linear, o int) (mean, sd float64) {
	mean = l.At[o] + num.Inner(l.Gain[o], b.Mean)
	var variance float64
	for i, row := range b.Covariance {
		variance += l.Gain[o][i] * num.Inner(row, l.Gain[o])
	}
	return mean, math.Sqrt(math.Max(variance, 0))
}

// Worth is what it would be worth to know one input better.
type Worth struct {
	Input string
	SD    float64 // of the output when this input's standard deviation is half of what it is
	Doubt float64 // the chance to be expected then that the likelier verdict, within limits or not, is wrong
}

// NextFromLinear returns what halving the uncertainty of each input, one at a time, is worth for wanted number i of
// a study, the best first, and beside it what there is now, with an empty name. The output is taken as normal about
// the mean that the study's linear model l gives. Measuring again moves the mean before the verdict is taken anew,
// by an amount that is not known yet: the doubt to be expected is the mean over it. Without limits there is no doubt.
//
// Source: Raiffa and Schlaifer, Applied Statistical Decision Theory, Harvard 1961, chapter 5 (preposterior analysis);
// JCGM 106:2012, 9.3 (risk of a verdict).
func NextFromLinear(s *stackup.Study, l *stackup.Linear, i int) (now Worth, each []Worth, err error) {
	if err := s.Validate(); err != nil {
		return Worth{}, nil, err
	}
	if i < 0 || i >= len(s.Wanted) {
		return Worth{}, nil, &stackup.InputError{Name: "question", What: fmt.Sprintf("wanted number %d", i), Want: fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	w := &s.Wanted[i]
	if err := s.SecondMoments(); err != nil {
		return Worth{}, nil, err
	}
	p := l.Spread(s, w.Output, -1)
	const kept = 0.25 // of the variance of what is known twice as well
	now = Worth{SD: math.Sqrt(p.XX), Doubt: doubt(w, p.Mean[0], p.XX, 0)}
	for i := range s.Inputs {
		gone := p.Shares[i] * p.XX * (1 - kept)
		rest := math.Max(p.XX-gone, 0)
		each = append(each, Worth{s.Inputs[i].Name, math.Sqrt(rest), doubt(w, p.Mean[0], rest, gone)})
	}
	slices.SortStableFunc(each, func(a, b Worth) int {
		switch {
		case a.SD < b.SD:
			return -1
		case a.SD > b.SD:
			return 1
		}
		return 0
	})
	return now, each, nil
}

// doubt is the mean chance that the likelier verdict is wrong, over means that are normal with a variance about one.
func doubt(w *stackup.Wanted, mean, variance, ofMean float64) float64 {
	least, greatest := w.Limits.Least.Or(math.Inf(-1)), w.Limits.Greatest.Or(math.Inf(1))
	at := func(m float64) float64 {
		below, above := beyond(least-m, variance, -1), beyond(greatest-m, variance, 1)
		out := below + above
		return math.Min(out, math.Max(1-out, 0))
	}
	if ofMean <= 0 {
		return at(mean)
	}
	const pitch, reach = 1.0 / 256, 8
	const n = reach / pitch
	var sum float64
	for k := -n; k <= n; k++ {
		z := float64(k) * pitch
		sum += math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * pitch * at(mean+z*math.Sqrt(ofMean))
	}
	return sum
}

// beyond is the chance that a normal number about 0 lies beyond d, to that side.
func beyond(d, variance, side float64) float64 {
	if d *= side; math.IsInf(d, 1) {
		return 0
	}
	n, err := law.NewNormal(0, math.Sqrt(variance))
	if err != nil {
		return math.NaN()
	}
	return n.Survival(d)
}
