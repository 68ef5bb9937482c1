package tolerance

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
)

// Budget is what makes a reading of a gauge uncertain, source by source. The zero value has no
// source and is refused.
//
// Sources are independent of each other; what is not belongs in one source. Readings repeated on a
// coarse scale carry some of its resolution already: counting both errs on the safe side.
//
// Source: JCGM 100:2008, clauses 4, 5.1 and annex G; ISO 14253-2:2011 and ISO 15530-3:2011 for
// budgets of measurements on workpieces.
type Budget struct {
	Sources []Source
}

// Source is a source of uncertainty: a [Certificate], [Resolution], [Repeatability], [Thermal] or
// [Bounded].
type Source interface {
	// contribute checks the source and returns its contributions, and what to add to a reading
	// because of it.
	contribute(c *budgetCheck) ([]Contribution, Length)
	// label is the source's name.
	label() string
}

// Scope says whether a set of readings makes an error anew each time, or shares one. It decides
// what averages out: of eight readings round a part, an error on each fades in their mean and stays
// in their differences, one on all stays in the mean and leaves the differences alone. The zero
// value says neither, and is refused where the answer is not plain.
type Scope uint8

// The scopes.
const (
	ScopeUnsaid Scope = iota
	OnEach
	OnAll
)

// String returns "on each reading", "on all readings" or "not said".
func (s Scope) String() string { return wordOf(s, "not said", "on each reading", "on all readings") }

// wordOf is the word of a small number; the first where it has none.
func wordOf[T ~uint8](v T, words ...string) string {
	if int(v) < len(words) {
		return words[v]
	}
	return words[0]
}

// Contribution is what one source adds to a budget.
type Contribution struct {
	Name             string
	Basis            string            // how it was worked out, in words
	Standard         Length            // standard uncertainty that it gives the reading
	DegreesOfFreedom Optional[float64] // not given: known well
	Acts             Scope
	Share            float64 // of the combined variance, 0 to 1
}

// Uncertainty is what a budget comes to, for one reading. The zero value is an exact reading.
type Uncertainty struct {
	Each             Length            // standard uncertainty that every reading makes anew
	Shared           Length            // standard uncertainty that all readings share
	Standard         Length            // both, combined
	DegreesOfFreedom Optional[float64] // effective; not given: enough for the normal law
	Correction       Length            // add it to the reading; the uncertainty is that of the corrected one
	Contributions    []Contribution    // in the order of the sources
}

// Combine adds the contributions up: u² = Σ uᵢ², and the effective degrees of freedom u⁴/Σ(uᵢ⁴/νᵢ).
// All faults come together, each a [*fault.FieldError].
//
// Source: JCGM 100:2008, 5.1.2 and G.4.1 (Welch–Satterthwaite).
func (b Budget) Combine() (Uncertainty, error) {
	c := &budgetCheck{at: "/sources"}
	if len(b.Sources) == 0 {
		c.add("", "", fault.ErrMissing, "at least one source of uncertainty")
	}
	var out Uncertainty
	seen := map[string]bool{}
	for i, s := range b.Sources {
		c.at, c.name = "/sources/"+strconv.Itoa(i), ""
		if s == nil {
			c.add("", "", fault.ErrMissing, "a source of uncertainty")
			continue
		}
		c.name = s.label()
		c.named(seen)
		list, correction := s.contribute(c)
		out.Contributions = append(out.Contributions, list...)
		out.Correction += correction
	}
	if len(c.faults) > 0 {
		return Uncertainty{}, errors.Join(c.faults...)
	}
	var each, shared float64
	for _, q := range out.Contributions {
		if q.Acts == OnAll {
			shared = math.Hypot(shared, float64(q.Standard))
		} else {
			each = math.Hypot(each, float64(q.Standard))
		}
	}
	out.Each, out.Shared, out.Standard = Length(each), Length(shared), Length(math.Hypot(each, shared))
	out.finish()
	return out, nil
}

// named checks a source's name and that it is new.
func (c *budgetCheck) named(seen map[string]bool) {
	switch {
	case c.name == "":
		c.add("/name", "", fault.ErrMissing, "a name")
	case strings.TrimSpace(c.name) != c.name || strings.Contains(c.name, "/"):
		c.add("/name", strconv.Quote(c.name), fault.ErrOutOfRange, "a name without \"/\" or spaces at its ends")
	case seen[c.name]:
		c.add("/name", strconv.Quote(c.name), fault.ErrRepeated, "each name once")
	}
	seen[c.name] = true
}

// finish works out shares and effective degrees of freedom.
func (u *Uncertainty) finish() {
	if u.Standard == 0 {
		return
	}
	var lack float64
	for i := range u.Contributions {
		q := &u.Contributions[i]
		r := float64(q.Standard / u.Standard)
		q.Share = r * r
		if q.DegreesOfFreedom.Given {
			lack += q.Share * q.Share / q.DegreesOfFreedom.Value
		}
	}
	if lack > 0 && !math.IsInf(1/lack, 0) {
		u.DegreesOfFreedom = Given(1 / lack)
	}
}

// Expanded returns the expanded uncertainty: the half-width of the interval about the corrected
// reading that holds a share p of the possible values, such as 0.95, by Student's t with the
// effective degrees of freedom. They are taken as they are, not cut to a whole number (the guide
// allows either), so that a little more or less in a budget never makes it jump. It returns a
// [*fault.FieldError] unless 0 < p < 1.
//
// Source: JCGM 100:2008, 6.2.1 and G.6.4.
func (u Uncertainty) Expanded(p float64) (Length, error) {
	k, err := StudentFactor(p, u.DegreesOfFreedom)
	return Length(k * float64(u.Standard)), err
}

// String says the standard uncertainty and what it is made of: "u = 0.0017 mm (0.0008 mm on each
// reading, 0.0015 mm on all readings)".
func (u Uncertainty) String() string {
	return fmt.Sprintf("u = %v (%v %v, %v %v)", u.Standard, u.Each, OnEach, u.Shared, OnAll)
}
