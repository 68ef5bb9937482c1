package align

import "example.com/borestack/align/internal/shaftline"

// layCircles lists the circles, supports in order, then pockets, one for each mouth. A circle's
// holder is the place in that list of supports and pockets.
func (k *kernel) layCircles() {
	add := func(c shaftline.Circle, wide bool) {
		if k.circles = append(k.circles, c); wide {
			k.circles = append(k.circles, c)
		}
	}
	for i, at := range k.lay.supports {
		add(shaftline.Circle{Shaft: at.shaft, Other: -1, Holder: i}, k.support(i).Kind == Bush)
	}
	for i, two := range k.lay.pockets {
		add(shaftline.Circle{Shaft: two[0], Other: two[1], Holder: k.pocketHolder(i)}, k.stack.Pockets[i].Width.Given)
	}
	k.line.Circles, k.line.Groups, k.line.Shafts = k.circles, k.lay.groups, len(k.stack.Shafts)
}

// setCircles puts the circles where the parts now are.
func (k *kernel) setCircles() {
	k.placing++
	n := 0
	for i := range k.lay.supports {
		at := k.lay.supports[i].boreAt
		p := k.centre(at)
		a := axisAt{x: p.X, y: p.Y, z: p.Z}
		if k.support(i).Kind == Bush {
			a.sx, a.sy = k.slope(at)
		}
		c, _ := k.clearance(i)
		n = k.setSupport(n, i, &a, c-float64(k.support(i).Runout))
	}
	for i := range k.lay.pockets {
		n = k.setPocket(n, i, float64(k.stack.Pockets[i].Clearance))
	}
}

// setSupport sets the circles of support i, the next being n, where its bore's axis is, and returns
// the next after them. What is left of the clearance is diametral.
func (k *kernel) setSupport(n, i int, a *axisAt, left float64) int {
	sup := k.support(i)
	return k.setMouths(n, a, sup.Kind == Bush, float64(sup.Width), left)
}

// setPocket sets the circles of pocket i, the next being n, and returns the next after them. A
// pocket's circle is about the other shaft, wherever that is.
func (k *kernel) setPocket(n, i int, left float64) int {
	p := &k.stack.Pockets[i]
	return k.setMouths(n, &axisAt{z: float64(p.Z)}, p.Width.Given, float64(p.Width.Value), left)
}

// setMouths sets circle n about an axis, or n and the next at the two mouths of what is wide, and
// returns the next after them.
func (k *kernel) setMouths(n int, a *axisAt, wide bool, width, left float64) int {
	k.bentOf = nil
	mouths, along := 1, [2]float64{}
	if wide {
		mouths, along = 2, [2]float64{-width / 2, width / 2}
	}
	for _, d := range along[:mouths] {
		q := &k.circles[n]
		q.Z, q.X, q.Y, q.Radius = a.z+d, a.x+a.sx*d, a.y+a.sy*d, shaftline.RadiusOf(left)
		n++
	}
	return n
}
