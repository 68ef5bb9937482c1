package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// greatest is the greatest diameter of a part's meeting faces; ok is false where neither has one.
func (p *boxPart) greatest() (d tolerance.Length, ok bool) {
	for _, f := range []*align.Face{p.Front, p.Rear} {
		if f != nil && f.Diameter.Given {
			d, ok = max(d, f.Diameter.Value), true
		}
	}
	return d, ok
}

// boreDoubts asks of every bore whether it lies in its part: across the line within the part's
// greatest face diameter of a pilot's centre (of its z axis, without a pilot), and along it within
// half that diameter of its two faces.
//
// Source: common practice, no published source.
func (b *box) boreDoubts(p *boxPart) {
	d, ok := p.greatest()
	if !ok {
		return
	}
	for i, c := range p.lies.Bores {
		at := p.at + "/bores/" + strconv.Itoa(i)
		far, from := math.Inf(1), "the part's z axis"
		for _, f := range []align.LocatedFace{p.lies.Front, p.lies.Rear} {
			if f.Pilot.Given {
				far, from = min(far, math.Hypot(float64(c.X-f.Pilot.Value.X), float64(c.Y-f.Pilot.Value.Y))), "the part's pilot"
			}
		}
		if math.IsInf(far, 1) {
			far = math.Hypot(float64(c.X), float64(c.Y))
		}
		if exceeds(far, float64(d), float64(d)) {
			b.doubt(at, fmt.Sprintf("its centre lies %s from %s, outside a part of diameter %s: are x, y and z in their places?", b.say(tolerance.Length(far)), from, b.say(d)), b.centreNumbers(p, i)...)
			continue
		}
		if !p.lies.Front.Given || !p.lies.Rear.Given {
			continue
		}
		ahead, behind := p.lies.Front.Z-c.Z, c.Z-p.lies.Rear.Z
		where, by, zFace, face := "ahead of its front face", ahead, p.lies.Front.Z, b.faceNumbers(p, "/front")
		if behind > ahead {
			where, by, zFace, face = "behind its rear face", behind, p.lies.Rear.Z, b.faceNumbers(p, "/rear")
		}
		numbers := b.zNumbers(p, i)
		if len(numbers) == 0 { // the bore is at 0 unsaid, so the face says that it is elsewhere
			numbers = face
		}
		if exceeds(float64(by), float64(d)/2, float64(d)+math.Abs(float64(c.Z))) {
			b.doubt(at, fmt.Sprintf("its centre at z %s lies %s %s, which is at z %s: more than half the part's diameter of %s outside it", b.say(c.Z), b.say(by), where, b.say(zFace), b.say(d)), numbers...)
		}
	}
}

// first are the pointers to the numbers at the first of several places below another that holds any.
func (b *box) first(at string, keys ...string) []string {
	for _, key := range keys {
		if list := b.rec.leaves(at + key); len(list) > 0 {
			return list
		}
	}
	return nil
}

// centreNumbers are the pointers to what says where bore i of a part is.
func (b *box) centreNumbers(p *boxPart, i int) []string {
	at := p.at + "/bores/" + strconv.Itoa(i)
	if list := b.first(at, "/centre", "/round/centre"); list != nil {
		return list
	}
	return append(b.rec.leaves(at+"/sweep/readings"), b.rec.leaves(at+"/z")...)
}

// zNumbers are the pointers to what says where bore i of a part is along its z axis; none where
// nothing does, and it is at 0.
func (b *box) zNumbers(p *boxPart, i int) []string {
	return b.first(p.at+"/bores/"+strconv.Itoa(i), "/centre/2", "/round/centre/2", "/z")
}

// faceNumbers are the pointers to what says where a face lies along its part's z axis; none where
// it is at 0 unsaid.
func (b *box) faceNumbers(p *boxPart, side string) []string {
	list := b.first(p.at+side, "/z", "/thickness/readings", "/points")
	return slices.DeleteFunc(list, func(at string) bool { return strings.Contains(at, "/points/") && !strings.HasSuffix(at, "/2") })
}

// holder finds the part and the bore that a support names.
func (b *box) holder(bore string) (part, index int) {
	for i := range b.parts {
		for k := range b.parts[i].Bores {
			if b.parts[i].Name+"/"+b.parts[i].Bores[k].Name == bore {
				return i, k
			}
		}
	}
	return -1, -1
}

// orderDoubts asks of every support of a shaft whether it lies ahead of one in an earlier part.
//
// Source: common practice, no published source.
func (b *box) orderDoubts(shaft int, z map[string]tolerance.Length) {
	supports := b.stack.Shafts[shaft].Supports
	for k := range supports {
		later, bore := b.holder(supports[k].Bore)
		by, of := tolerance.Length(0), -1
		for n := range supports {
			earlier, _ := b.holder(supports[n].Bore)
			ahead := z[supports[n].Bore] - z[supports[k].Bore]
			scale := math.Abs(float64(z[supports[n].Bore])) + math.Abs(float64(z[supports[k].Bore]))
			if earlier < later && b.between(earlier, later) && ahead > by && exceeds(float64(ahead), 0, scale) {
				by, of = ahead, n
			}
		}
		if of < 0 {
			continue
		}
		earlier, first := b.holder(supports[of].Bore)
		place := fmt.Sprintf("/shafts/%d/supports/%d", shaft, k)
		candidates := b.parts[later].at + "/bores/" + strconv.Itoa(bore)
		if b.only != later { // the candidate is the earlier part, or lies between
			candidates = b.parts[max(b.only, 0)].at
		}
		b.doubt(b.place(place, candidates), fmt.Sprintf("%s lies %s ahead of %s, which is in an earlier part: no shaft meets its supports in that order. Check its z, and the parts' thickness between",
			spell.Name(supports[k].Bore), b.say(by), spell.Name(supports[of].Bore)), b.orderNumbers(earlier, first, later, bore)...)
	}
}

// between reports whether what lies from one part to another is a matter of this box: of a
// candidate's only when it is one of those parts or lies between.
func (b *box) between(earlier, later int) bool {
	return b.only < 0 || earlier <= b.only && b.only <= later
}

// orderNumbers are the pointers to what says where two bores lie along the line from each other.
func (b *box) orderNumbers(earlier, first, later, bore int) []string {
	out := b.zNumbers(&b.parts[earlier], first)
	for i := earlier; i <= later; i++ {
		p := &b.parts[i]
		front, rear := i > earlier, i < later // as mounted
		if p.Turned {
			front, rear = rear, front
		}
		if front {
			out = append(out, b.faceNumbers(p, "/front")...)
		}
		if rear {
			out = append(out, b.faceNumbers(p, "/rear")...)
		}
		if i < later && b.rec.Joints[i].Gasket != nil {
			out = append(out, fmt.Sprintf("/joints/%d/gasket/thickness", i))
		}
	}
	return append(out, b.zNumbers(&b.parts[later], bore)...)
}

// radiusDoubts asks whether faces were read where they are: a radius outside the face is a diameter.
//
// Source: common practice, no published source.
func (b *box) radiusDoubts(p *boxPart) {
	const outside = 0.75 // of the face's diameter, half of which is its edge
	eachRound(p.written, p.at, b.rec.Units.Length, func(q *round) {
		if q.radius == nil || q.face.Diameter == nil || !exceeds(q.radius.Value, outside*q.face.Diameter.Value, q.radius.Value) {
			return
		}
		side := q.at[:strings.LastIndexByte(q.at, '/')]
		b.doubt(q.at+"/radius", fmt.Sprintf("read at a radius of %s %v on a face of diameter %s: is it the diameter?", q.radius.written(), b.unit, q.face.Diameter.written()), q.at+"/radius", side+"/diameter")
	})
}
