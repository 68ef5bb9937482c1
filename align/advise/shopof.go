package advise

import (
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// What is tried where a record names no shop: how far a joint is reamed and dowelled anew, and how much
// comes off a face, once somebody has said how thin the part may become.
//
// Source: common practice, no published source.
const (
	usualMost  = 0.25 * tolerance.Millimetre
	usualStock = 0.25 * tolerance.Millimetre
)

// ShopOf is what a record says that its shop can do and has. Where it says nothing, usual is true and
// the shop does what needs no stock but offset dowels: it pushes, puts in candidates, and moves doweled
// joints by offset dowels or by reaming them in place. It would skim the plates that were measured round,
// which is refused until a shop says how thin they may become.
func ShopOf(rec *record.Record) (shop Shop, usual bool) {
	w := rec.Shop
	if w == nil {
		return usualShop(rec), true
	}
	unit := recordUnit(rec.LengthUnit())
	shop = Shop{
		Push: yes(w.Push, true), Swap: yes(w.Swap, true), Keep: w.Keep,
		Step: unit.one(w.Step), Within: unit.one(w.Within), Dial: unit.one(w.Dial), Graduation: unit.one(w.Graduation),
		Strips: unit.several(w.Strips), Works: unit.works(w),
	}
	if w.ClockStep != nil {
		shop.ClockStep = tolerance.Angle(w.ClockStep.Value) * tolerance.Degree
	}
	if w.Pairs != nil {
		shop.Pairs = int(w.Pairs.Value)
	}
	return shop, false
}

// recordUnit is the unit of a record's lengths.
type recordUnit tolerance.Length

// one is a length; 0 where none is given.
func (u recordUnit) one(n *record.Number) tolerance.Length {
	if n == nil {
		return 0
	}
	return tolerance.Length(n.Value) * tolerance.Length(u)
}

func (u recordUnit) several(list []record.Number) (out []tolerance.Length) {
	for i := range list {
		out = append(out, u.one(&list[i]))
	}
	return out
}

func yes(b *bool, otherwise bool) bool {
	if b == nil {
		return otherwise
	}
	return *b
}

// works lists what a shop can do to parts and joints.
func (u recordUnit) works(w *record.Shop) (out []Work) {
	add := func(q Work) { out = append(out, q) }
	for _, part := range w.TurnOver {
		add(Work{Kind: TurnOver, Place: part})
	}
	for _, q := range w.Reclock {
		add(Work{Kind: Reclock, Place: q.Part, Holes: int(q.Holes.Value), Redrill: yes(q.Redrill, false)})
	}
	for _, q := range w.Skims {
		cut := Work{Kind: Skim, Place: q.Face, Most: u.one(&q.Stock), Thin: u.one(q.Clean), Across: u.one(q.Across)}
		if q.Least != nil {
			cut.Least = tolerance.Given(u.one(q.Least))
		}
		add(cut)
		if cut.Kind = SkimWedge; yes(q.Wedge, false) {
			add(cut)
		}
	}
	for _, q := range w.Bores {
		if q.Most != nil {
			add(Work{Kind: Sleeve, Place: q.Bore, Most: u.one(q.Most), Across: u.one(q.Wall)})
		}
		if len(q.Offsets) > 0 {
			add(Work{Kind: Bush, Place: q.Bore, Sizes: u.several(q.Offsets)})
		}
	}
	for _, q := range w.Shims {
		if len(q.Thicknesses) > 0 {
			add(Work{Kind: Shim, Place: q.Joint, Sizes: u.several(q.Thicknesses), Replace: yes(q.Replace, false)})
		}
		if q.Taper != nil {
			add(Work{Kind: TaperShim, Place: q.Joint, Most: u.one(q.Taper), Thin: u.one(q.Thin), Across: u.one(q.Across), Replace: yes(q.Replace, false)})
		}
	}
	for _, q := range w.Dowels {
		add(Work{Kind: OffsetDowels, Place: q.Joint, Sizes: u.several(q.Steps)})
	}
	for _, q := range w.Redowel {
		add(Work{Kind: Redowel, Place: q.Joint, Most: u.one(&q.Most), Across: u.one(q.Pin)})
	}
	return out
}

// usualShop is what is tried where a record names no shop.
func usualShop(rec *record.Record) Shop {
	shop := Shop{Push: true, Swap: true}
	add := func(place string, works ...Work) {
		for _, w := range works {
			w.Place = place
			shop.Works = append(shop.Works, w)
		}
	}
	s, err := rec.Stack()
	if err != nil {
		return shop
	}
	for _, p := range s.Parts {
		if p.Rear != nil && p.Rear.Thickness != nil {
			add(p.Name+"/rear", Work{Kind: Skim, Most: usualStock}, Work{Kind: SkimWedge, Most: usualStock})
		}
	}
	// Source: Dodge Dakota technical service bulletin 1989, offset dowel chart: offsets as sold, end from end.
	dowels := []tolerance.Length{7 * tolerance.Thou, 14 * tolerance.Thou, 21 * tolerance.Thou}
	for i, j := range s.Joints {
		if len(j.Pins) > 0 {
			add(s.JointName(i), Work{Kind: OffsetDowels, Sizes: dowels}, Work{Kind: Redowel, Most: usualMost})
		}
	}
	return shop
}
