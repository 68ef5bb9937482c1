package advise

import (
	"fmt"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Kind is a kind of correction. The zero value leaves the box alone.
type Kind uint8

// The kinds, in the order in which a pair of them is carried out: parts first, then cuts, then what is fitted, then what is done in place.
const (
	Leave        Kind = iota
	Swap              // another part in its place
	TurnOver          // a part end for end
	Reclock           // a part turned by steps of its hole pattern
	Skim              // a face, parallel
	SkimWedge         // a face, by a wedge
	Sleeve            // bore a support bore off centre and sleeve it
	Bush              // a bush bored off centre in a support bore
	Shim              // a parallel shim or gasket in a joint
	TaperShim         // a tapered shim in a joint
	OffsetDowels      // the dowels of a joint by offset ones
	Redowel           // set a joint in place by dial, then ream and dowel it there
	Push              // push the parts within their float before tightening
)

// String names the kind.
func (k Kind) String() string {
	if k > Push {
		return fmt.Sprintf("kind %d", uint8(k))
	}
	return k.trait().name
}

// trait is all that tells one kind of correction from another. A nil function has nothing to do.
type trait struct {
	name   string
	effort int // how much work and risk, for ranking alone. Source: common practice, no published source

	apply func(c Correction, s *align.Stack) error
	cuts  func(c Correction, s *align.Stack) []string // what it cuts, drills or moves, as in Shop.Keep

	find func(search) (Correction, error) // chooses its amounts; nil: it has none

	// What of it is an amount: By, where it is deep, and the vector of that size towards Clock.
	deep   bool
	vector func(*Correction) *tolerance.Length
	// tool brings its amounts to what the tool in hand can do; nil: it is as it can be done, or cannot be rounded.
	tool func(a *Advice, r *rater, c Correction, s *align.Stack, fits func(Correction) bool) (*Correction, error)

	bench    bool   // ordered by the part's own marks
	measured bool   // Clock is on the part as measured; else on the front part of the joint as mounted
	zero     string // from where its amounts count; PART, BEHIND and FACE stand for theirs
	detail   func(a *Advice, o *workOrder, after *align.Stack) error
	words    func(p *draft, o *workOrder)
}

// cuts reports whether it cuts a face.
func (k Kind) cuts() bool { return k == Skim || k == SkimWedge }

func move(c *Correction) *tolerance.Length { return &c.By }
func rise(c *Correction) *tolerance.Length { return &c.Rise }

// trait looks a kind up. It is a function, as what the kinds do looks kinds up in its turn.
func (k Kind) trait() trait {
	skim := trait{
		effort: 6, apply: Correction.skim, cuts: place, find: search.parallelCut, deep: true, vector: rise, bench: true, measured: true,
		zero: "the FACE face as it is", detail: (*Advice).orderCut, words: (*draft).cut,
	}
	bore := trait{effort: 9, apply: Correction.moveBore, cuts: place, find: search.moved, vector: move, bench: true, measured: true}
	shim := trait{
		effort: 3, apply: onJoint(Correction.shim), find: search.inStock, deep: true, vector: rise,
		zero: "what is between the PART and the BEHIND now", detail: (*Advice).orderAtJoint,
	}
	switch k {
	case Swap:
		return trait{
			name: "another part", effort: 3, apply: Correction.swap,
			zero: "the place of the PART that was measured", words: (*draft).swap,
		}
	case TurnOver:
		return trait{name: "turn end for end", effort: 2, apply: onPart(Correction.turnOver), zero: "as it was mounted", words: (*draft).turnOver}
	case Reclock:
		return trait{
			name: "re-clock", effort: 2, apply: onPart(Correction.reclock), cuts: Correction.drilled, find: search.clocked,
			zero: "as it stood", words: (*draft).reclock,
		}
	case Skim:
		skim.name = "skim parallel"
		return skim
	case SkimWedge:
		skim.name, skim.effort, skim.find, skim.tool = "skim by a wedge", 7, search.wedgeCut, (*Advice).toStrip
		return skim
	case Sleeve:
		bore.name, bore.zero, bore.words = "bore and sleeve", "the centre of the bore as it is", (*draft).sleeve
		return bore
	case Bush:
		bore.name, bore.effort, bore.find, bore.zero, bore.words = "bush off centre", 8, search.stocked, "the centre of the bore that it is pressed in", (*draft).bush
		return bore
	case Shim:
		shim.name, shim.words = "shim", (*draft).shim
		return shim
	case TaperShim:
		shim.name, shim.effort, shim.find, shim.bench, shim.words = "tapered shim", 5, search.tapered, true, (*draft).taperedShim
		return shim
	case OffsetDowels:
		return trait{
			name: "offset dowels", effort: 4, apply: onJoint(Correction.offsetDowels), find: search.stocked, vector: move,
			zero: "straight dowels", detail: (*Advice).orderAtJoint, words: (*draft).offsetDowels,
		}
	case Redowel:
		return trait{
			name: "ream and re-dowel in place", effort: 7, apply: onJoint(Correction.redowel), cuts: Correction.reamed, find: search.held, vector: move, tool: (*Advice).toDialRedowel,
			zero: "the middle of what it can be pushed with its dowels in, on the dials", detail: (*Advice).orderAtJoint, words: (*draft).redowel,
		}
	case Push:
		return trait{
			name: "push before tightening", effort: 1, apply: Correction.push, find: search.pushed, tool: (*Advice).toDialPush,
			zero: "the middle of what each joint can be pushed, on the dials", detail: (*Advice).orderAtJoint, words: (*draft).pushes,
		}
	}
	return trait{name: "leave alone", zero: "as it is"}
}

// place is the feature that is cut or moved: the one that the correction names.
func place(c Correction, _ *align.Stack) []string { return []string{c.Place} }

// drilled is the part whose holes are drilled anew.
func (c Correction) drilled(*align.Stack) []string {
	if c.Redrill {
		return []string{c.Place}
	}
	return nil
}

// reamed are the two faces of a joint that are reamed through.
func (c Correction) reamed(s *align.Stack) []string {
	k := jointNamed(s, c.Place)
	if k < 0 {
		return nil
	}
	a, b := &s.Parts[k], &s.Parts[k+1]
	return []string{a.Name + spell.Either(a.Turned, "/front", "/rear"), b.Name + spell.Either(b.Turned, "/rear", "/front")}
}

// variants are the correction with each of its amounts one standard uncertainty off.
func (c Correction) variants(u tolerance.Length) []Correction {
	t := c.Kind.trait()
	var out []Correction
	if t.deep {
		deeper := c
		deeper.By += u
		out = append(out, deeper)
	}
	axes := []align.Vec2{{X: u}, {Y: u}}
	if t.vector != nil && (!t.deep || c.Across > 0) {
		v := towards(*t.vector(&c), c.Clock)
		for _, d := range axes {
			e, w := c, align.Vec2{X: v.X + d.X, Y: v.Y + d.Y}
			*t.vector(&e), e.Clock = w.Size(), w.Clock()
			out = append(out, e)
		}
	}
	for i := range c.Floats {
		for _, d := range axes {
			e := c
			e.Floats = slices.Clone(c.Floats)
			e.Floats[i].Float.X += d.X
			e.Floats[i].Float.Y += d.Y
			out = append(out, e)
		}
	}
	return out
}
