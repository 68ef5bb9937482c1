package floatset

import (
	"math"
	"slices"

	"example.com/borestack/internal/gauss"
)

// cut is a set seen along q: the chord that a line leaves in it, n·d being where the line lies.
type cut struct {
	set    *shiftSet
	room   float64
	lq, ln float64 // of a lens: how far its second disc is from the first, against q and n
	off    float64 // what the line lies farther along n than in the first set
	slope  float64 // of a slab: how its chord moves with the line
}

// cutOf sees a set along (qx, qy). It reports false for a slab along q, whose chord has no end.
func cutOf(d *shiftSet, qx, qy, off float64) (cut, bool) {
	c := cut{set: d, room: d.Radius, off: off}
	switch {
	case d.Slab:
		over := d.NX*qx + d.NY*qy
		if !(math.Abs(over) > noArm) {
			return c, false
		}
		c.room, c.slope = d.Radius/math.Abs(over), (d.NX*qy-d.NY*qx)/over
	case d.lens:
		c.lq, c.ln = d.lx*qx+d.ly*qy, d.ly*qx-d.lx*qy
	}
	return c, true
}

// chord is where the line at t cuts the set.
func (c *cut) chord(t float64) (lo, hi float64) {
	t += c.off
	if c.set.Slab {
		return c.slope*t - c.room, c.slope*t + c.room
	}
	hi = math.Sqrt(max((c.room-t)*(c.room+t), 0))
	if !c.set.lens {
		return -hi, hi
	}
	t += c.ln
	half := math.Sqrt(max((c.room-t)*(c.room+t), 0))
	lo, hi = max(-hi, -c.lq-half), min(hi, half-c.lq)
	return lo, max(lo, hi)
}

// along is the point of the chord at t that leaves a share u of it behind.
func (c *cut) along(t, u float64) float64 {
	lo, hi := c.chord(t)
	return lo + (hi-lo)*u
}

// chords are the cuts of one set or two, seen from t along n = (−qy, qx).
type chords struct {
	cuts   []cut
	qx, qy float64
	rules  *rules
}

// density is the product of the chords' lengths.
func (c *chords) density(t float64) float64 {
	product := 1.0
	for i := range c.cuts {
		lo, hi := c.cuts[i].chord(t)
		product *= hi - lo
	}
	return product
}

// ends lists where the density begins, where its formula changes at a lens's corners, and where it
// ends.
func (c *chords) ends(out []float64) []float64 {
	lo, hi := math.Inf(-1), math.Inf(1)
	for i := range c.cuts {
		d := c.cuts[i].set
		if d.Slab {
			continue
		}
		for _, sign := range [2]float64{-1, 1} {
			x, y := d.point(-sign*c.qy, sign*c.qx)
			at := y*c.qx - x*c.qy - c.cuts[i].off
			if sign < 0 {
				lo = math.Max(lo, at)
			} else {
				hi = math.Min(hi, at)
			}
		}
	}
	out = append(out, lo)
	for i := range c.cuts {
		d := c.cuts[i].set
		if !d.lens {
			continue
		}
		for _, sign := range [2]float64{-1, 1} { // along the chord that the two discs share
			x, y := d.point(-sign*d.ly, sign*d.lx)
			if at := y*c.qx - x*c.qy - c.cuts[i].off; at > lo && at < hi {
				out = append(out, at)
			}
		}
	}
	slices.Sort(out[1:])
	return append(out, math.Max(lo, hi))
}

// Of the inverse of a share.
const (
	piecesMost = 5     // of the density: two lenses have four corners
	shareNodes = 12    // of a rule over a whole piece
	stepNodes  = 5     // of a rule over one of Newton's steps
	shareSteps = 40    // of Newton or halving; three are the rule
	shareDone  = 1e-12 // of the whole: what a share may be off
)

// share is the t that leaves a share u of the density behind.
//
// Each piece is taken in x, t = middle + half·(3x − x³)/2, over −1 to 1: the square roots that a
// chord ends in are smooth in x.
func (c *chords) share(u float64) (float64, bool) {
	var room [piecesMost + 1]float64
	ends := c.ends(room[:0])
	lo, hi := ends[0], ends[len(ends)-1]
	if math.IsInf(hi-lo, 0) {
		return 0, false
	}
	var sums [piecesMost][shareNodes]float64
	var all float64
	for k := range len(ends) - 1 {
		all += (&piece{c, ends[k], ends[k+1]}).sums(&sums[k])
	}
	if !(all > 0) { // a point, or thinner than numbers tell
		return lo + (hi-lo)*u, all == 0
	}
	left := u * all
	k := 0
	for k < len(ends)-2 && left > sums[k][shareNodes-1] {
		left -= sums[k][shareNodes-1]
		k++
	}
	p := piece{c, ends[k], ends[k+1]}
	return p.at(p.invert(left, &sums[k], shareDone*all)), true
}

// piece is a part of the density that has one formula.
type piece struct {
	c      *chords
	lo, hi float64
}

// at is t at x.
func (p *piece) at(x float64) float64 {
	half := (p.hi - p.lo) / 2
	if x < 0 {
		return p.lo + half*(1+x)*(1+x)*(2-x)/2
	}
	return p.hi - half*(1-x)*(1-x)*(2+x)/2
}

// of is the density in x.
func (p *piece) of(x float64) float64 {
	return p.c.density(p.at(x)) * (p.hi - p.lo) * 0.75 * (1 - x) * (1 + x)
}

// sums fills to with the integral up to behind each node of the long rule, and returns the whole.
func (p *piece) sums(to *[shareNodes]float64) float64 {
	sum := 0.0
	for i, x := range p.c.rules.longX {
		sum += p.c.rules.longW[i] * p.of(x)
		to[i] = sum
	}
	return sum
}

// over is the integral from one x to another, by a rule.
func (p *piece) over(from, to float64, x, w []float64) (sum float64) {
	half, middle := (to-from)/2, (to+from)/2
	for i, x := range x {
		sum += w[i] * p.of(middle+half*x)
	}
	return sum * half
}

// invert is the x that leaves so much behind, the sums at the nodes being known: Newton's method
// within a bracket, each step adding its own integral.
func (p *piece) invert(left float64, sums *[shareNodes]float64, done float64) float64 {
	r := p.c.rules
	lo, hi := -1.0, 1.0
	x, before := -1.0, 0.0
	for i, sum := range sums { // a node's weight is about as wide as its share of −1 to 1
		if left <= sum {
			if sum > before {
				x += r.longW[i] * (left - before) / (sum - before)
			}
			break
		}
		x += r.longW[i]
		before = sum
	}
	x = min(x, 1)
	behind := p.over(-1, x, r.longX[:], r.longW[:])
	for range shareSteps {
		miss := left - behind
		if math.Abs(miss) <= done {
			break
		}
		if miss > 0 {
			lo = x
		} else {
			hi = x
		}
		next := x + miss/p.of(x)
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if next == x {
			break
		}
		behind += p.over(x, next, r.shortX[:], r.shortW[:])
		x = next
	}
	return x
}

// rules are those of Gauss and Legendre over −1 to 1.
type rules struct {
	longX, longW   [shareNodes]float64
	shortX, shortW [stepNodes]float64
}

func newRules() *rules {
	r := &rules{}
	gauss.Legendre(r.longX[:], r.longW[:], -1, 1)
	gauss.Legendre(r.shortX[:], r.shortW[:], -1, 1)
	slices.Reverse(r.longX[:]) // rising; the weights are symmetrical
	slices.Reverse(r.shortX[:])
	return r
}
