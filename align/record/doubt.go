package record

import (
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Doubt is something that the record says and that cannot be relied on: a slip of the hand, judged
// from the record alone. While it stands, nothing that rests on it passes.
type Doubt struct {
	Path    string   // JSON Pointer to what is in doubt
	Why     string   // in words, with the numbers
	Numbers []string // JSON Pointers to the numbers in doubt; what follows from any of them cannot be relied on
}

// String says where and why.
func (d Doubt) String() string { return d.Path + ": " + d.Why }

// Doubts lists what cannot be relied on: the parts in order, then joints and shafts, then each
// candidate in its place, with what its neighbours make of it. A record that [Decode] would refuse
// has none.
func (r *Record) Doubts() []Doubt {
	s, err := r.Stack()
	if err != nil || s.Validate() != nil {
		return nil
	}
	whole := newBox(r, s)
	for i := range whole.parts {
		whole.partDoubts(i)
	}
	whole.betweenDoubts()
	out := whole.doubts
	for c := range s.Candidates {
		place := s.Candidates[c].Place
		for n := range s.Candidates[c].Parts {
			with, err := s.WithCandidate(place, n)
			if err != nil {
				return out
			}
			b := newBox(r, with)
			b.replace(place, &r.Candidates[c].Value[n], "/candidates"+step(place)+"/"+strconv.Itoa(n))
			b.partDoubts(b.only)
			b.betweenDoubts()
			out = append(out, b.doubts...)
		}
	}
	return out
}

// box is what the rules look at: the record's own stack, or that with a candidate in its place.
type box struct {
	rec    *Record
	unit   tolerance.Unit
	stack  align.Stack
	parts  []boxPart
	only   int // the candidate's place, which every doubt between parts must concern; -1: all
	doubts []Doubt
}

// boxPart is one part of a box: as written, where that is written, and where its features lie in
// its own frame.
type boxPart struct {
	*align.Part
	written *Part
	at      string
	lies    align.Located
}

func newBox(r *Record, s align.Stack) *box {
	b := &box{rec: r, unit: r.unit(), stack: s, only: -1}
	for i := range s.Parts {
		p := &s.Parts[i]
		b.parts = append(b.parts, boxPart{Part: p, written: &r.Parts[i], at: "/parts/" + strconv.Itoa(i), lies: p.Located()})
	}
	return b
}

// replace says that a candidate stands in a place.
func (b *box) replace(place string, written *Part, at string) {
	for i := range b.parts {
		if b.parts[i].Name == place {
			b.parts[i].written, b.parts[i].at, b.only = written, at, i
		}
	}
}

// place is where a doubt between parts is shown: at the candidate's own feature when there is one,
// else where the record says what joins them.
func (b *box) place(otherwise, candidates string) string {
	if b.only >= 0 {
		return candidates
	}
	return otherwise
}

// doubt raises a doubt, unless it is one of the box without the candidate: none of its numbers is
// the candidate's. What a class of fit gives rests on the class.
func (b *box) doubt(path, why string, numbers ...string) {
	if b.only >= 0 && !slices.ContainsFunc(numbers, func(n string) bool { return strings.HasPrefix(n, b.parts[b.only].at+"/") }) {
		return
	}
	for i := range numbers {
		numbers[i] = b.rec.restsOn(numbers[i])
	}
	b.doubts = append(b.doubts, Doubt{Path: b.rec.restsOn(path), Why: why, Numbers: numbers})
}

// say is a length in the record's unit.
func (b *box) say(l tolerance.Length) string { return l.Format(b.unit) }

// partDoubts are those of one part by itself.
func (b *box) partDoubts(i int) {
	p := &b.parts[i]
	eachRound(p.written, p.at, b.rec.Units.Length, func(q *round) { b.roundDoubts(q) })
	eachRoundPoints(p.written, p.at, b.apartDoubts)
	b.radiusDoubts(p)
	b.boreDoubts(p)
}

// betweenDoubts are those of parts that meet, and of shafts that run through them.
func (b *box) betweenDoubts() {
	for k := range b.stack.Joints {
		b.fitDoubts(k)
	}
	z := squareZ(&b.stack)
	for i := range b.stack.Shafts {
		b.orderDoubts(i, z)
		b.bushDoubts(i)
	}
}

// exceeds reports whether a is more than b by more than the rounding of what was written, for sizes
// of about scale.
func exceeds(a, b, scale float64) bool {
	const rounding = 1e-12 // of the scale: decimal numbers in binary, added a few times
	return a-b > rounding*scale
}
