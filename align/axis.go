package align

// axisAt is where a bore lies in S: its centre and, where it is wanted, the slope of its axis.
type axisAt struct{ x, y, z, sx, sy float64 }

// axisLine is x = x + sx z, y = y + sy z.
type axisLine struct{ x, y, sx, sy float64 }

func (l axisLine) at(z float64) (x, y float64) { return l.x + l.sx*z, l.y + l.sy*z }

// offset is how far a centre lies from the line, at its own z.
func (l *axisLine) offset(a *axisAt) (x, y float64) {
	return a.x - (l.x + l.sx*a.z), a.y - (l.y + l.sy*a.z)
}

// tilt is how an axis leans from the line.
func (l *axisLine) tilt(a *axisAt) (x, y float64) { return a.sx - l.sx, a.sy - l.sy }

// line is the line along the axis.
func (a *axisAt) line() axisLine { return lineThrough(a.x, a.y, a.z, a.sx, a.sy) }

// lineThrough is the line through a point with a slope.
func lineThrough(x, y, z, sx, sy float64) axisLine { return axisLine{x - sx*z, y - sy*z, sx, sy} }

// lineOfTwo is the line through two centres, one behind the other: the least-squares line through
// them to rounding, and quicker.
func lineOfTwo(a, b *axisAt) axisLine {
	inv := 1 / (b.z - a.z)
	return lineThrough(a.x, a.y, a.z, (b.x-a.x)*inv, (b.y-a.y)*inv)
}

// bestLine is the least-squares line through centres.
func bestLine(at []axisAt) axisLine {
	var x, y, z float64
	for i := range at {
		x, y, z = x+at[i].x, y+at[i].y, z+at[i].z
	}
	share := 1 / float64(len(at))
	x, y, z = x*share, y*share, z*share
	var zz, xz, yz float64
	for i := range at {
		d := at[i].z - z
		zz += d * d
		xz += (at[i].x - x) * d
		yz += (at[i].y - y) * d
	}
	if !(zz > 0) {
		return axisLine{x: x, y: y}
	}
	return lineThrough(x, y, z, xz/zz, yz/zz)
}
