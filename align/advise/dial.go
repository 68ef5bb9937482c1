package advise

import (
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Dial is the reading to take after a correction: one bore dialled from a reference, before and after, the joints at rest. The zero value is not a meaningful reading.
type Dial struct {
	Bore   string
	From   string // reference; empty: the line through the first two supports of the first shaft
	Before align.Vec2
	After  align.Vec2
	U      tolerance.Length // expanded uncertainty (k = 2) of the TIR after: of the readings, of how closely amounts are held, and of the dial itself

	// Least and Greatest are the ends of the TIR after over the float of the joints that may lie anywhere; equal to it where nothing floats.
	Least, Greatest tolerance.TIR
}

// TIRs are the total indicator readings before and after: twice the offset.
func (d *Dial) TIRs() (before, after tolerance.TIR) {
	return tolerance.Offset(d.Before.Size()).TIR(), tolerance.Offset(d.After.Size()).TIR()
}

// move is how far the centre goes from before to after.
func (d *Dial) move() align.Vec2 {
	return align.Vec2{X: d.After.X - d.Before.X, Y: d.After.Y - d.Before.Y}
}

// moveFelt is the least move that is worth dialling.
const moveFelt = 5e-4 * tolerance.Millimetre

// expect chooses the bore that an option moves most and works out what a dial will read there; nil when it moves none.
func (a *Advice) expect(o *Option) (*Dial, error) {
	bores, from := watched(a.Box)
	if len(bores) < 2 {
		return nil, nil
	}
	before, err := offsets(a.Box.Stack, bores, from)
	if err != nil {
		return nil, err
	}
	after, err := offsets(o.Stack, bores, from)
	if err != nil {
		return nil, err
	}
	d := &Dial{From: from}
	at := -1
	most := moveFelt
	for i := range bores {
		m := (align.Vec2{X: after[i].X - before[i].X, Y: after[i].Y - before[i].Y}).Size()
		if m > most {
			most, at = m, i
		}
	}
	if at < 0 {
		return nil, nil
	}
	d.Bore, d.Before, d.After = bores[at], before[at], after[at]
	if err := a.surely(d, o, bores, at); err != nil {
		return nil, err
	}
	ranges, _, err := o.Stack.Ranges([]align.Output{{What: align.TIRSize, Of: d.Bore, From: from}})
	if err != nil {
		return nil, err
	}
	r := ranges[0]
	d.Least, d.Greatest = tolerance.TIR(r.Low.Value), tolerance.TIR(r.High.Value)
	return d, nil
}

// mostWatched is how many bores are watched.
const mostWatched = 40

// watched lists the bores that a dial may be put in, those that carry shafts and those with limits, and the reference to dial from.
func watched(b Box) (bores []string, from string) {
	add := func(name string) {
		if len(bores) < mostWatched && !slices.Contains(bores, name) {
			bores = append(bores, name)
		}
	}
	for _, s := range b.Stack.Shafts {
		for _, p := range s.Supports {
			add(p.Bore)
		}
	}
	for _, l := range b.Limits {
		if e := quantity.Of(l.Output.What); e.Size() && e.Measure == quantity.Length {
			add(l.Output.Of)
			if from == "" {
				from = l.Output.From
			}
		}
	}
	if from == "" && len(b.Stack.References) > 0 {
		from = b.Stack.References[0].Name
	}
	for _, r := range b.Stack.References { // a line needs more than the bore that is dialled
		if r.Name == from {
			for _, n := range append([]string{r.Axis}, append(r.Best, r.Through[:]...)...) {
				if n != "" {
					add(n)
				}
			}
		}
	}
	return bores, from
}

// components asks for the offsets of bores from a reference, x and y by turns.
func components(bores []string, from string) []align.Output {
	var out []align.Output
	for _, b := range bores {
		out = append(out, align.Output{What: align.OffsetX, Of: b, From: from}, align.Output{What: align.OffsetY, Of: b, From: from})
	}
	return out
}

// dialled is the stack at rest without what a dial does not need.
func dialled(s align.Stack) align.Stack {
	s = atRest(s)
	s.Candidates, s.States, s.Chains = nil, nil, nil
	return s
}

// offsets are the offsets of bores from a reference, the joints at rest.
func offsets(s align.Stack, bores []string, from string) ([]align.Vec2, error) {
	r, _, err := dialled(s).Ranges(components(bores, from))
	if err != nil {
		return nil, err
	}
	out := make([]align.Vec2, len(bores))
	for i := range out {
		out[i] = align.Vec2{X: tolerance.Length(r[2*i].Rest.Value), Y: tolerance.Length(r[2*i+1].Rest.Value)}
	}
	return out, nil
}

// surely works out the expanded uncertainty of a dial's TIR, from that of the components of the offset: a size near zero would say nothing of them.
//
// Source: JCGM 100:2008, 5.1.2 (combined), 4.3.7 (rectangular), 6.2.1 (expanded, k = 2).
func (a *Advice) surely(d *Dial, o *Option, bores []string, at int) error {
	s := dialled(o.Stack)
	readings, err := study.Uncertainties(s, study.GaugeSources(&s), components([]string{d.Bore}, d.From))
	if err != nil {
		return err
	}
	xx, yy := readings[0]*readings[0], readings[1]*readings[1]
	for _, v := range a.varied(o.Corrections) {
		moved, err := offsets(v, bores, d.From)
		if err != nil {
			return err
		}
		x, y := float64(moved[at].X-d.After.X), float64(moved[at].Y-d.After.Y)
		xx, yy = xx+x*x, yy+y*y
	}
	dial := float64(a.Shop.Dial)
	d.U = tolerance.Length(2 * math.Sqrt(4*math.Max(xx, yy)+dial*dial)) // TIR is twice the offset
	return nil
}
