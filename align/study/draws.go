package study

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/align"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// looks are the numbers of draws after which the share inside is looked at; the last is the most.
var looks = [...]int{32, 128, 256, 512, 1000}

// lookError is the chance, at each look and on each side, that the interval misses the true share: an
// even split of 5 % over both sides of all looks, so that stopping early costs nothing of it.
//
// Source: Clopper and Pearson, The use of confidence or fiducial limits illustrated in the case of
// the binomial, Biometrika 26 (1934), at looks fixed beforehand; the split is Bonferroni's inequality.
const lookError = 0.05 / 2 / float64(len(looks))

// probes are a few draws at three times the spread. A bend that single nudges do not reach, as where a
// tight bearing caps the margin until several readings are off together, and that would fail one box
// in twenty, fails three in ten of them: 12 miss it in one of 60 cases.
//
// Source: normal law: P(z > 1.645/3) = 0.292; 0.708¹² = 0.016.
const (
	probes      = 12
	probeSpread = 3
)

// probed reports whether every probe that speaks against a decision is one that the nudges foretell.
func (q *judged) probed(e *end, d tolerance.Decision) (bool, error) {
	y, err := q.slacks(e, probeBatch)
	if err != nil {
		return false, err
	}
	told, err := q.foretold(e)
	if err != nil {
		return false, err
	}
	for i, slack := range y {
		switch finite := ieee.Finite(slack); {
		case finite != e.fits || math.IsNaN(slack):
			return false, nil
		case q.limit.Output.What == align.Assembles:
			if holds(slack, q.bounds) != holds(e.at, q.bounds) {
				return false, nil
			}
		case !finite || e.size != nil || holds(slack, q.bounds) == (d == tolerance.Pass): // the distribution of a size knows its bend
		case math.Abs(slack-told[i]) > bentBy*probeSpread*e.u+noEffect:
			return false, nil
		}
	}
	return true, nil
}

// foretold are the slacks of an end in every probe as the one-sided effects of nudges add up to.
func (q *judged) foretold(e *end) ([]float64, error) {
	rows := q.by.batch(probeBatch)
	values := make([][]float64, len(e.of))
	for k, a := range e.of {
		o, err := q.by.get(nudgeBatch, a)
		if err != nil {
			return nil, err
		}
		v := o.values
		for i := range rows.n {
			told := v[0]
			for c := range q.by.gauge.columns {
				by := &q.by.gauge.columns[c]
				if by.sd == 0 {
					continue
				}
				z, d := (rows.x[c][i]-by.mean)/by.sd, v[2*c+1]-v[0]
				if z < 0 {
					z, d = -z, v[2*c+2]-v[0]
				}
				if ieee.Finite(d) {
					told += z * d
				}
			}
			values[k] = append(values[k], told)
		}
	}
	out := make([]float64, rows.n)
	for i := range out {
		one := make([]float64, len(values))
		for k := range values {
			one[k] = values[k][i]
		}
		out[i] = e.slack(one...)
	}
	return out, nil
}

// answer is yes, no, or not yet.
type answer uint8

const (
	open answer = iota
	yes
	no
)

// enough says whether the share k of n, at that look, is at least that of a pass; at the last look the
// share itself decides.
func enough(k, n, look int) answer {
	switch {
	case k > 0 && mathext.InvRegIncBeta(float64(k), float64(n-k+1), lookError) > conforms:
		return yes
	case k < n && mathext.InvRegIncBeta(float64(k+1), float64(n-k), 1-lookError) < conforms:
		return no
	case look < len(looks)-1:
		return open
	case float64(k) >= conforms*float64(n):
		return yes
	}
	return no
}

// draw decides one end by draws of all deviations: a pass when 95 % are inside, a fail when 95 % are
// outside, undecided otherwise; one for which no answer was found is neither. It stops at the first look
// whose interval leaves 95 % out.
func (q *judged) draw(e *end) (tolerance.Decision, error) {
	q.drawn = true
	inside, outside := 0, 0
	making := law.NewStream(drawSeed, "making", 0)
	for look, n := range looks {
		y, err := q.slacks(e, firstDraw+look)
		if err != nil {
			return 0, err
		}
		for _, slack := range y {
			if q.extra > 0 {
				slack += q.extra * making.Normal()
			}
			switch {
			case math.IsNaN(slack):
			case holds(slack, q.bounds):
				inside++
			default:
				outside++
			}
		}
		e.holds = tolerance.Given(float64(inside) / float64(n))
		in, out := enough(inside, n, look), enough(outside, n, look)
		switch {
		case in == yes:
			return tolerance.Pass, nil
		case out == yes:
			return tolerance.Fail, nil
		case in == no && (out == no || q.brief):
			return tolerance.Undecided, nil
		}
	}
	return tolerance.Undecided, nil
}
