package tolerance

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
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
// effective degrees of freedom, good to five digits for p from 0.01 on. They are taken as they are,
// not cut to a whole number (the guide allows either), so that a little more or less in a budget
// never makes it jump. It returns a [*fault.FieldError] unless 0 < p < 1 and the degrees of freedom
// are at least 0.5.
//
// Source: JCGM 100:2008, 6.2.1, G.3, G.6.4 and table G.2.
func (u Uncertainty) Expanded(p float64) (Length, error) {
	const sameAsNormal = 1e6 // degrees of freedom from which on the two differ by less than a millionth
	v := u.DegreesOfFreedom.Or(math.Inf(1))
	var k float64
	switch {
	case !(p > 0 && p < 1):
		return 0, fault.At("p", fmt.Sprint(p), "a share between 0 and 1, such as 0.95", fault.ErrOutOfRange)
	case !(v >= leastDegrees):
		return 0, fault.At("degrees of freedom", fmt.Sprint(v), fmt.Sprintf("%v or more", leastDegrees), fault.ErrOutOfRange)
	case v > sameAsNormal:
		k = math.Sqrt2 * math.Erfinv(p)
	default:
		k = -distuv.StudentsT{Sigma: 1, Nu: v}.Quantile((1 - p) / 2)
	}
	return Length(k * float64(u.Standard)), nil
}

// String says the standard uncertainty and what it is made of: "u = 0.0017 mm (0.0008 mm on each
// reading, 0.0015 mm on all readings)".
func (u Uncertainty) String() string {
	return fmt.Sprintf("u = %v (%v %v, %v %v)", u.Standard, u.Each, OnEach, u.Shared, OnAll)
}

// budgetCheck collects the faults of one budget.
type budgetCheck struct {
	at, name string // the source being checked
	faults   []error
}

func (c *budgetCheck) add(field, value string, class error, want string) {
	if c.name != "" {
		value = strings.TrimSpace(fmt.Sprintf("%s of %q", value, c.name))
	}
	c.faults = append(c.faults, fault.At(c.at+field, value, want, class))
}

// between checks that a number is finite and within bounds, whose unit is said after them.
func (c *budgetCheck) between(field string, v, lowest, highest float64, unit string) {
	switch {
	case !ieee.Finite(v):
		c.add(field, fmt.Sprint(v), fault.ErrNotFinite, "a finite number")
	case v < lowest || v > highest:
		c.add(field, fmt.Sprintf("%v%s", v, unit), fault.ErrOutOfRange, fmt.Sprintf("%v to %v%s", lowest, highest, unit))
	}
}

// longest bounds a length in a budget, in mm: sizes over 100 m are absurd.
const longest = 100000

// length checks a length that is 0 or more.
func (c *budgetCheck) length(field string, v Length) { c.between(field, float64(v), 0, longest, " mm") }

// more checks a length that must be more than 0, because 0 means that it was forgotten.
func (c *budgetCheck) more(field string, v Length, what string) {
	if v == 0 {
		c.add(field, "0 mm", fault.ErrMissing, what)
		return
	}
	c.length(field, v)
}

// leastDegrees is the least number of degrees of freedom: an uncertainty that is itself uncertain
// by all of its size.
const leastDegrees = 0.5

func (c *budgetCheck) degrees(v Optional[float64]) {
	if v.Given && (!(v.Value >= leastDegrees) || math.IsInf(v.Value, 0)) {
		c.add("/degrees_of_freedom", fmt.Sprint(v.Value), fault.ErrOutOfRange, fmt.Sprintf("a finite number of %v or more; none when the uncertainty is known well", leastDegrees))
	}
}

func (c *budgetCheck) acts(s Scope) {
	switch s {
	case OnEach, OnAll:
	case ScopeUnsaid:
		c.add("/acts", "", fault.ErrMissing, "OnEach, an error that every reading makes anew, or OnAll, one that all readings share")
	default:
		c.add("/acts", fmt.Sprint(uint8(s)), fault.ErrOutOfRange, "OnEach or OnAll")
	}
}
