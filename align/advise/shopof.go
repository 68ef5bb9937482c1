package advise

import (
	"example.com/borestack/align"
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

// usualDowels are the offsets in which offset dowels are sold, as end from end.
//
// Source: Dodge Dakota technical service bulletin 1989, offset dowel chart.
func usualDowels() []tolerance.Length {
	return []tolerance.Length{7 * tolerance.Thou, 14 * tolerance.Thou, 21 * tolerance.Thou}
}

// ShopOf is what a record says that its shop can do and has. Where it says nothing, usual is true and
// the shop does what needs no stock but offset dowels: it pushes, puts in candidates, and moves doweled
// joints by offset dowels or by reaming them in place. It would skim the plates that were measured round,
// which is refused until a shop says how thin they may become.
func ShopOf(rec *record.Record) (shop Shop, usual bool) {
	w := rec.Shop
	if w == nil {
		return usualShop(rec), true
	}
	unit := rec.LengthUnit()
	one := func(n *record.Number) tolerance.Length {
		if n == nil {
			return 0
		}
		return tolerance.Length(n.Value) * unit
	}
	several := func(list []record.Number) (out []tolerance.Length) {
		for i := range list {
			out = append(out, one(&list[i]))
		}
		return out
	}
	yes := func(b *bool, otherwise bool) bool {
		if b == nil {
			return otherwise
		}
		return *b
	}
	shop = Shop{
		Push: yes(w.Push, true), Swap: yes(w.Swap, true), TurnOver: w.TurnOver, Keep: w.Keep,
		Step: one(w.Step), Within: one(w.Within), Dial: one(w.Dial), Graduation: one(w.Graduation), Strips: several(w.Strips),
	}
	if w.ClockStep != nil {
		shop.ClockStep = tolerance.Angle(w.ClockStep.Value) * tolerance.Degree
	}
	if w.Pairs != nil {
		shop.Pairs = int(w.Pairs.Value)
	}
	for _, q := range w.Reclock {
		shop.Reclock = append(shop.Reclock, ReclockWork{q.Part, int(q.Holes.Value), yes(q.Redrill, false)})
	}
	for _, q := range w.Dowels {
		shop.Dowels = append(shop.Dowels, DowelWork{q.Joint, several(q.Steps)})
	}
	for _, q := range w.Shims {
		shop.Shims = append(shop.Shims, ShimWork{q.Joint, several(q.Thicknesses), yes(q.Replace, false), one(q.Taper), one(q.Thin), one(q.Across)})
	}
	for _, q := range w.Skims {
		s := SkimWork{Face: q.Face, Stock: one(&q.Stock), Clean: one(q.Clean), Wedge: yes(q.Wedge, false), Across: one(q.Across)}
		if q.Least != nil {
			s.Least = tolerance.Given(one(q.Least))
		}
		shop.Skims = append(shop.Skims, s)
	}
	for _, q := range w.Redowel {
		shop.Redowel = append(shop.Redowel, RedowelWork{q.Joint, one(&q.Most), one(q.Pin)})
	}
	for _, q := range w.Bores {
		shop.Bores = append(shop.Bores, BoreWork{q.Bore, one(q.Most), one(q.Wall), several(q.Offsets)})
	}
	return shop, false
}

// usualShop is what is tried where a record names no shop.
func usualShop(rec *record.Record) Shop {
	shop := Shop{Push: true, Swap: true}
	s := align.Stack{}
	for i := range rec.Parts {
		p := &rec.Parts[i]
		s.Parts = append(s.Parts, align.Part{Name: p.Name})
		if p.Rear != nil && p.Rear.Thickness != nil {
			shop.Skims = append(shop.Skims, SkimWork{Face: p.Name + "/rear", Stock: usualStock, Wedge: true})
		}
	}
	for i := range rec.Joints {
		s.Joints = append(s.Joints, align.Joint{Name: rec.Joints[i].Name})
		if len(rec.Joints[i].Pins) > 0 {
			shop.Dowels = append(shop.Dowels, DowelWork{s.JointName(i), usualDowels()})
			shop.Redowel = append(shop.Redowel, RedowelWork{Joint: s.JointName(i), Most: usualMost})
		}
	}
	return shop
}
