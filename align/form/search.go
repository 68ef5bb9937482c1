package form

import "math"

// square is a patch of a search in the plane: |x - u| ≤ s, |y - v| ≤ s on one of several faces.
type square struct {
	face    int
	u, v, s float64
	bound   float64 // nothing in the square is less
}

// far is the distance of its farthest corner from the face's origin.
func (p square) far() float64 { return math.Hypot(math.Abs(p.u)+p.s, math.Abs(p.v)+p.s) }

// slack is how much better, in a cloud of size 1, another feature may be and still count as the same: rounding.
const slack = 1e-14

// search proves that nothing in the squares is less than value, to within slack, by quartering them, largest first. Look raises a square's bound and reports true when it has come upon something less, which ends the search. When the effort is spent the squares left over lower the bound that is returned.
func search(queue []square, value float64, spent func() bool, look func(p *square) (less bool)) (bound float64, less bool) {
	bound = value
	for len(queue) > 0 {
		p := queue[0]
		queue = queue[1:]
		if p.bound < value-slack && !spent() {
			if look(&p) {
				return bound, true
			}
			if p.bound < value-slack {
				h := p.s / 2
				for _, d := range [4][2]float64{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
					queue = append(queue, square{p.face, p.u + d[0], p.v + d[1], h, p.bound})
				}
				continue
			}
		}
		bound = math.Min(bound, p.bound)
	}
	return bound, false
}

// maxEffort limits a proof, in points looked at; a program over n points is worth effortOf(n) of them.
const maxEffort = 30_000_000

func effortOf(n int) int { return 10*n + 2000 }
