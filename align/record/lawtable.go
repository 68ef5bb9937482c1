package record

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// How many numbers a key of a law takes.
const (
	oneNumber = iota
	twoNumbers
	oneOrTwo    // a list of two
	manyNumbers // a list of one or more
	manyLaws    // laws in place of numbers
	classes     // a fit in place of numbers
)

// maxLawValues bounds the values of a discrete law or a measured sample.
const maxLawValues = 10000

// lawKey is a key of a law: its rule is that of each of its numbers.
type lawKey struct {
	key, rule string
	count     int
	optional  bool
}

// lawForm is a law in words, and what it is: its own key, its further ones, and the distribution of a
// number, or of a pair of numbers, that moves by it; nil where it moves none.
type lawForm struct {
	lawKey
	more  []lawKey
	alone func(n lawNumbers) (law.Law, error)
	pair  func(n lawNumbers) (law.Joint, error)
}

// lawNumbers are the numbers of one law as it moves a number, in the record's own units.
type lawNumbers struct {
	*Law
	shift [2]float64 // of each component
	given []float64  // its own numbers
	size  float64    // the first: a half width, a scale, or whatever the law means by it
	unit  tolerance.Length
}

// lawForms are the laws that a record can name: one entry each.
func lawForms() []lawForm {
	const width = "ratio,notnegative"
	of := func(key, rule string, count int) lawKey { return lawKey{key: key, rule: rule, count: count} }
	maybe := func(key, rule string, count int) []lawKey { return []lawKey{{key, rule, count, true}} }
	one := func(key string, alone func(n lawNumbers) (law.Law, error), more ...lawKey) lawForm {
		return lawForm{of(key, width, oneNumber), more, alone, nil}
	}
	weights := maybe("weights", width, manyNumbers)
	return []lawForm{
		{of("normal", width, oneOrTwo), maybe("correlation", "correlation", oneNumber), func(n lawNumbers) (law.Law, error) {
			return law.NewNormal(n.shift[0], n.size)
		}, lawNumbers.normals},
		one("uniform", func(n lawNumbers) (law.Law, error) { return law.NewUniform(n.ends()) }),
		one("triangular", func(n lawNumbers) (law.Law, error) { return law.NewTriangular(n.shift[0], n.size) }),
		{of("disc", width, oneNumber), nil, nil, func(n lawNumbers) (law.Joint, error) {
			return law.NewDisc(n.shift[0], n.shift[1], n.size)
		}},
		{of("ring", width, oneNumber), nil, nil, func(n lawNumbers) (law.Joint, error) {
			return law.NewRing(n.shift[0], n.shift[1], n.size)
		}},
		{of("ellipse", width, twoNumbers), maybe("clock", "angle", oneNumber), nil, func(n lawNumbers) (law.Joint, error) {
			a, b := n.pairOf(n.given)
			return law.NewEllipse(n.shift[0], n.shift[1], a, b, math.Pi/2-n.more("clock", 0)*math.Pi/180) // clockwise from 12 o'clock
		}},
		one("trapezoidal", func(n lawNumbers) (law.Law, error) {
			low, high := n.ends()
			return law.NewTrapezoidal(low, high, n.more("top", math.NaN()))
		}, of("top", "share", oneNumber)),
		one("curvilinear", func(n lawNumbers) (law.Law, error) {
			low, high := n.ends()
			return law.NewCurvilinearTrapezoid(low, high, n.more("inexact", math.NaN()))
		}, of("inexact", width, oneNumber)),
		one("arcsine", func(n lawNumbers) (law.Law, error) { return law.NewArcsine(n.ends()) }),
		one("beta", func(n lawNumbers) (law.Law, error) {
			low, high := n.ends()
			a, b := n.pairOf(n.numbers("shapes"))
			return law.NewBeta(low, high, a, b)
		}, of("shapes", "ratio,shape", twoNumbers)),
		one("student", func(n lawNumbers) (law.Law, error) {
			return law.NewStudent(n.shift[0], n.size, n.more("freedom", math.NaN()))
		}, of("freedom", "ratio,abovetwo", oneNumber)),
		{of("lognormal", "ratio,abovezero", oneNumber), []lawKey{of("spread", "spread", oneNumber)}, func(n lawNumbers) (law.Law, error) {
			return law.NewLogNormal(n.shift[0], math.Log(n.size), n.more("spread", math.NaN()))
		}, nil},
		one("weibull", func(n lawNumbers) (law.Law, error) {
			return law.NewWeibull(n.shift[0], n.size, n.more("shape", math.NaN()))
		}, of("shape", "ratio,shape", oneNumber)),
		{of("discrete", "ratio", manyNumbers), weights, func(n lawNumbers) (law.Law, error) {
			return law.NewDiscrete(n.shifted(), n.weights(len(n.given)))
		}, nil},
		{of("sample", "ratio", manyNumbers), nil, func(n lawNumbers) (law.Law, error) { return law.NewSample(n.shifted()) }, nil},
		{lawKey{key: "mixture", count: manyLaws}, weights, lawNumbers.mixture, nil},
		{lawKey{key: "fit", count: classes}, nil, lawNumbers.fit, nil},
	}
}

// Distribution is how the number of a source deviates, or the pair of numbers, in the record's own units,
// unit for lengths: shift included, between its limits. A law that nobody knows is an error that wraps
// [fault.ErrUnknownName].
func (v *Vary) Distribution(unit tolerance.Length) (alone law.Law, pair law.Joint, err error) {
	form, n := formOf(v.Law.Kind), v.Law.moving(0, unit)
	switch {
	case len(v.At.List) == 2 && form.pair != nil:
		if pair, err = form.pair(n); err == nil {
			pair, err = v.cutPair(pair)
		}
		return nil, pair, err
	case form.alone != nil:
		if alone, err = form.alone(n); err == nil {
			alone, err = v.cut(alone)
		}
		return alone, nil, err
	}
	return nil, nil, fmt.Errorf("no law %q: %w", v.Law.Kind, fault.ErrUnknownName)
}

// cut cuts a law off at the source's limits, where it has any.
func (v *Vary) cut(l law.Law) (law.Law, error) {
	if v.Limits == nil {
		return l, nil
	}
	return law.Truncate(l, v.Limits[0].Value, v.Limits[1].Value)
}

// cutPair cuts two independent components off, each at the source's limits.
func (v *Vary) cutPair(l law.Joint) (law.Joint, error) {
	p, independent := l.(law.Independent)
	if !independent {
		return l, nil
	}
	var err error
	if p[0], err = v.cut(p[0]); err == nil {
		p[1], err = v.cut(p[1])
	}
	return p, err
}

// moving are the law's numbers, shifted by further along its only or first component.
func (l *Law) moving(further float64, unit tolerance.Length) lawNumbers {
	n := lawNumbers{Law: l, given: l.numbers(l.Kind), unit: unit}
	if len(n.given) > 0 {
		n.size = n.given[0]
	}
	copy(n.shift[:], l.numbers("shift"))
	n.shift[0] += further
	return n
}

// ends are the shift less and plus the half width.
func (n lawNumbers) ends() (low, high float64) { return n.shift[0] - n.size, n.shift[0] + n.size }

// more is the number of a further key, or otherwise where it is left out.
func (n lawNumbers) more(key string, otherwise float64) float64 {
	if p := n.numbers(key); len(p) > 0 {
		return p[0]
	}
	return otherwise
}

// pairOf are two numbers, NaN where they are not two.
func (n lawNumbers) pairOf(list []float64) (a, b float64) {
	if len(list) != 2 {
		return math.NaN(), math.NaN()
	}
	return list[0], list[1]
}

// shifted are the law's values, each moved by the shift.
func (n lawNumbers) shifted() []float64 {
	out := slices.Clone(n.given)
	for i := range out {
		out[i] += n.shift[0]
	}
	return out
}

// weights are those of the law; alike where none are given.
func (n lawNumbers) weights(count int) []float64 {
	if w := n.numbers("weights"); w != nil {
		return w
	}
	return slices.Repeat([]float64{1}, count)
}

// normals are two normal components, independent or not.
func (n lawNumbers) normals() (law.Joint, error) {
	a, b := n.size, n.size
	if len(n.given) > 1 {
		b = n.given[1]
	}
	if r := n.more("correlation", 0); r != 0 {
		return law.NewBivariate(n.shift[0], n.shift[1], a*a, b*b, r*a*b)
	}
	x, err := law.NewNormal(n.shift[0], a)
	if err != nil {
		return nil, err
	}
	y, err := law.NewNormal(n.shift[1], b)
	return law.Independent{x, y}, err
}

// mixture is several laws, each with its weight.
func (n lawNumbers) mixture() (law.Law, error) {
	var list []law.Law
	for _, m := range n.own().Laws {
		form := formOf(m.Kind)
		if form.alone == nil {
			return nil, fmt.Errorf("no law %q: %w", m.Kind, fault.ErrUnknownName)
		}
		one, err := form.alone(m.moving(n.shift[0], n.unit))
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return law.NewMixture(list, n.weights(len(list)))
}

// fit is a size about the middle of its classes: hole and shaft each fill their tolerance by three
// standard deviations either way and are measured, so that none is beyond it.
//
// Source: common practice, no published source (a capability of 1, independent parts).
func (n lawNumbers) fit() (law.Law, error) {
	is, err := parseFit(n.own().Fit)
	if err != nil {
		return nil, err
	}
	var sd, greatest float64
	for _, w := range is.widths {
		sd, greatest = math.Hypot(sd, float64(w)/6), greatest+float64(w)/2
	}
	about, unit := n.shift[0], float64(n.unit)
	l, err := law.NewNormal(about, sd/unit)
	if err != nil {
		return nil, err
	}
	return law.Truncate(l, about-greatest/unit, about+greatest/unit)
}

// formOf finds the form of a kind of law; one without a key where there is none.
func formOf(kind string) lawForm {
	for _, f := range lawForms() {
		if f.key == kind {
			return f
		}
	}
	return lawForm{}
}

// lawKinds are the names of the laws: how a number deviates. floatWords say how a joint lies in a study.
func lawKinds() []string {
	var out []string
	for _, f := range lawForms() {
		out = append(out, f.key)
	}
	return out
}

func floatWords() []string { return []string{"uniform", "rim", "hang", "rest", "any"} }
