package advise

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"runtime/debug"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Rule is how a measured number is held against a limit. The zero value is the guard band for a conformance probability of 95 %.
type Rule uint8

// The rules.
const (
	Guard95 Rule = iota // ISO 14253-1:2017: 1.65 standard uncertainties
	GuardK2             // ISO 14253-1:2013 and before: 2 standard uncertainties
	Simple              // no guard band: right at the limit it is wrong half the time
)

// rule is its source and its guard band in standard uncertainties.
func (r Rule) rule() (source string, factor float64) {
	switch r {
	case GuardK2:
		return "guard band of 2 u (ISO 14253-1:2013)", 2
	case Simple:
		return "simple acceptance, no guard band (JCGM 106:2012, 8.2)", 0
	}
	return "guard band of 1.65 u, 95 % (ISO 14253-1:2017)", tolerance.GuardFactor95
}

// String names the rule and its source.
func (r Rule) String() string { source, _ := r.rule(); return source }

// Limit is a limit that says where it comes from and how it is read. The zero value is no limit.
type Limit struct {
	tolerance.Limits
	Origin     string // drawing, manual, standard, house rule
	Convention string // "TIR from the crank axis, cold", "offset, centre to centre"
}

// Finding is what a limit says of one measured number, for a record that an auditor can follow. Numbers are in the unit of the limit.
type Finding struct {
	Limit    Limit
	Rule     Rule
	Value, U float64
	Decision tolerance.Decision
	Conforms float64 // probability that this piece conforms, nothing else being known

	// Consumer is the risk that it is accepted wrongly, Producer that it is rejected wrongly: of the decision that was taken, for this piece. With an undecided piece each is what taking that decision would risk.
	//
	// Source: JCGM 106:2012, 9.3.2 and 9.3.3 (specific risks).
	Consumer, Producer float64

	Settles  tolerance.Optional[float64] // standard uncertainty that would settle it, were the value to stay; absent when it is settled, or when nothing would
	Repeats  tolerance.Optional[int]     // readings in place of each one that would do so, if their errors are independent
	Warnings []string
}

// noneStated warns of a value without an uncertainty.
const noneStated = "no uncertainty is stated: resolution is not accuracy, and no gauge reads true"

// Assess holds a value with standard uncertainty u against a limit. It returns a fault for numbers that are not finite, or a limit without any number.
func Assess(l Limit, value, u float64, rule Rule) (Finding, error) {
	if err := l.Validate(); err != nil {
		return Finding{}, err
	}
	room, limited := l.Room(value)
	var wrong rules.List
	wrong.Need(ieee.Finite(value, u), "value, u", fmt.Sprintf("%v, %v", value, u), "finite numbers", fault.ErrNotFinite)
	wrong.Need(rule <= Simple && u >= 0, "rule, u", fmt.Sprintf("%d, %v", rule, u), "one of the rules, and 0 or more", fault.ErrOutOfRange)
	wrong.Need(limited, "limit", nil, "a least or a greatest", fault.ErrMissing)
	if err := wrong.First(); err != nil {
		return Finding{}, err
	}
	_, factor := rule.rule()
	f := Finding{Limit: l, Rule: rule, Value: value, U: u, Decision: l.Decide(value, u, factor), Conforms: conforms(l.Limits, value, u)}
	f.risks()
	if need := math.Abs(room) / factor; f.Decision == tolerance.Undecided && need > 0 {
		f.Settles = tolerance.Given(need)
		if n := math.Ceil(u*u/(need*need) - whole); n <= 1000 {
			f.Repeats = tolerance.Given(int(n))
		}
	}
	f.warn(factor)
	return f, nil
}

// warn says what is missing, and what the gauge is worth beside the tolerance.
//
// Source: common practice, no published source: a tenth of the tolerance is good, a third is not acceptable.
func (f *Finding) warn(factor float64) {
	add := func(ok bool, what string) {
		if ok {
			f.Warnings = append(f.Warnings, what)
		}
	}
	l, u := f.Limit, f.U
	width := l.Greatest.Value - l.Least.Value
	both := l.Least.Given && l.Greatest.Given && u > 0
	add(u == 0, noneStated)
	add(l.Origin == "", "the limit's origin is not stated")
	add(l.Convention == "", "the limit's convention is not stated: TIR or offset, from what, cold or hot")
	add(both && 6*u > 0.3*width, fmt.Sprintf("the gauge's spread (6 u) is %.0f %% of the tolerance; 30 %% is the most that is usual", 600*u/width))
	add(both && factor*u*2 > width, "the guard bands meet: with this gauge nothing can pass")
}

// risks are those of the decision that was taken.
func (f *Finding) risks() {
	f.Consumer, f.Producer = 1-f.Conforms, f.Conforms
	switch f.Decision {
	case tolerance.Pass:
		f.Producer = 0
	case tolerance.Fail:
		f.Consumer = 0
	}
}

// Audit is what an auditor asks: what was judged, from what, by which rule, with which software. The zero value is empty.
type Audit struct {
	Title    string
	Record   string // SHA-256 of the record as written, hexadecimal
	Software string // module and version, as built
	Findings []AuditedFinding
	All      float64 // least probability that the box conforms to every limit, however the errors hang together: 1 less the sum of what each lacks; 0 for a box that does not assemble
	Assumed  []align.Note
	Warnings []align.Note
	Doubts   []record.Doubt // what cannot be relied on: no probability below takes it in
	Word     tolerance.Decision
}

// AuditedFinding is one limit of the record: the worst value over the float, and which readings its uncertainty comes from.
type AuditedFinding struct {
	Finding
	Path   string // of the limit in the record
	Output align.Output
	State  string
	Word   tolerance.Decision
	Shares []tolerance.Share // largest first: read those again first
}

// AuditRecord runs a record as a report does, every state and doubt included, and lists what its verdict rests on. Limits
// without a number, and outputs that cannot be said, have no finding; a box that does not assemble has none. When ctx ends
// it stops before the next of them, with an error that wraps the cause.
func AuditRecord(ctx context.Context, rec *record.Record) (*Audit, error) {
	b, err := FromRecord(rec)
	if err != nil {
		return nil, err
	}
	res, err := study.Run(ctx, rec)
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	if err := rec.Encode(&text); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(text.Bytes())
	a := &Audit{Title: rec.Title, Record: hex.EncodeToString(sum[:]), Software: software(), Assumed: res.Assembly.Assumed, Warnings: res.Assembly.Warnings, Doubts: res.Doubts, Word: res.Word}
	if !assembles(res.Assembly) {
		return a, nil
	}
	a.All = 1
	gauged := len(study.GaugeSources(&b.Stack)) > 0 || slices.ContainsFunc(rec.Vary, func(v record.Vary) bool { return v.Because == "gauge" })
	for i := range res.Verdicts {
		v := &res.Verdicts[i]
		at := judgedAt(v)
		if !at.Given || (!v.Limit.Least.Given && !v.Limit.Greatest.Given) {
			continue
		}
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		found, err := b.audited(v, at.Value)
		if err != nil {
			return nil, err
		}
		if v.U == 0 && !v.Holds.Given && gauged {
			found.Warnings[slices.Index(found.Warnings, noneStated)] = unreached(v.Limit, res.Assembly)
		}
		a.Findings = append(a.Findings, found)
		a.All = math.Max(0, a.All-(1-found.Conforms))
	}
	return a, nil
}

// audited is what an audit says of one verdict, the output being at that value where it is judged.
func (b Box) audited(v *study.Verdict, at float64) (AuditedFinding, error) {
	l := Limit{v.Limit.Limits, v.Limit.Because, convention(v)}
	f, err := Assess(l, at, v.U, Guard95)
	if err != nil {
		return AuditedFinding{}, err
	}
	if h, ok := v.Holds.Get(); ok { // draws, or the distribution of a size, decided: no guard band did
		f.Conforms, f.Decision = h, tolerance.Undecided
		switch v.Word {
		case tolerance.Pass:
			f.Decision = tolerance.Pass
		case tolerance.Fail, tolerance.Depends: // at the worst of the float
			f.Decision = tolerance.Fail
		}
		f.Settles, f.Repeats = tolerance.Optional[float64]{}, tolerance.Optional[int]{}
		f.risks()
	}
	found := AuditedFinding{Finding: f, Path: v.Limit.Path, Output: v.Limit.Output, State: stateOf(v), Word: v.Word}
	if v.Doubted {
		found.Warnings = append(found.Warnings, "it rests on a number that cannot be relied on: the probabilities hold only if that number is right")
	}
	s := b.Stack
	if found.State != "" {
		if s, err = s.InState(found.State); err != nil {
			return found, err
		}
	}
	found.Shares, err = study.UncertaintyShares(s, found.Output)
	return found, err
}

// stateOf is the state that decides a verdict: the one that governs, or the one that the limit names.
func stateOf(v *study.Verdict) string {
	return cmp.Or(v.InState, v.Limit.State)
}

// judgedAt is the value that a verdict is judged at, a stated shift of the gauge taken out. Where both limits are given
// that leaves the room at one value each: the one that is nearer to what was read.
func judgedAt(v *study.Verdict) tolerance.Optional[float64] {
	l, at := &v.Limit, v.At
	if !v.Corrected || !v.Room.Given || !at.Given {
		return at
	}
	low, high := l.Least.Value+v.Room.Value, l.Greatest.Value-v.Room.Value
	if !l.Least.Given || l.Greatest.Given && math.Abs(high-at.Value) < math.Abs(low-at.Value) {
		return tolerance.Given(high)
	}
	return tolerance.Given(low)
}

// assembles reports whether every joint of a box goes together.
func assembles(a *align.Assembly) bool {
	return !slices.ContainsFunc(a.Joints, func(j align.SeatedJoint) bool { return !j.Assembles })
}

// unreached says of a limit why the uncertainties that are stated, though there are some, do not reach it.
func unreached(l record.Limit, a *align.Assembly) string {
	s := "none of the uncertainties that are stated moves it"
	if line := a.Line; l.Output.What == align.Margin && line != nil && len(line.MarginGoverns) > 0 {
		s += ": the margin is capped by " + spell.Listed(spell.Mapped(line.MarginGoverns, func(g tolerance.Share) string { return g.Name }), 3)
	}
	return s
}

// convention says how an output is read.
func convention(v *study.Verdict) string {
	l := v.Limit
	e, state := quantity.Of(l.Output.What), stateOf(v)
	what := e.InFull
	what += spell.If(what != "" && e.Thing == quantity.Bore && l.Output.From != "", " from "+l.Output.From)
	return spell.If(what != "", what+", ") + spell.Either(state == "", "as measured", "in state "+state) + spell.Either(l.Rests(), ", where the joints rest", ", at the worst float of the joints")
}

// software is the module and version that this program was built from.
func software() string {
	const module = "example.com/borestack"
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return module
	}
	for _, m := range append([]*debug.Module{&info.Main}, info.Deps...) {
		if m.Path == module {
			return fmt.Sprintf("%s %s, %s", module, m.Version, info.GoVersion)
		}
	}
	return module + ", " + info.GoVersion
}

// within is the probability that a normal number is between limits.
func within(l tolerance.Limits, mean, sd float64) float64 {
	n := distuv.Normal{Mu: mean, Sigma: sd}
	p := 1.0
	if l.Greatest.Given {
		p = n.CDF(l.Greatest.Value)
	}
	if l.Least.Given {
		p -= n.CDF(l.Least.Value)
	}
	return math.Max(0, p)
}

// conforms is the probability that a piece measured as y with standard uncertainty u is within limits, nothing else being known of it.
//
// Source: JCGM 106:2012, 7.3 and 7.4 (one- and two-sided, normal).
func conforms(l tolerance.Limits, y, u float64) float64 {
	if u > 0 {
		return within(l, y, u)
	}
	if room, limited := l.Room(y); limited && room < 0 {
		return 0
	}
	return 1
}
