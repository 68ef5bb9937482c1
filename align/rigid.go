package align

import "math"

// rigid carries coordinates in one frame to another: a rotation matrix, rows first, and a shift in
// mm.
type rigid struct {
	r [9]float64
	t [3]float64
}

func (p *rigid) rotate(x, y, z float64) (float64, float64, float64) {
	return p.r[0]*x + p.r[1]*y + p.r[2]*z, p.r[3]*x + p.r[4]*y + p.r[5]*z, p.r[6]*x + p.r[7]*y + p.r[8]*z
}

// seatRow is a seat before it floats.
type seatRow struct {
	r     [9]float64 // of B on A, flush, at nominal clock
	n     [3]float64 // normal of the meeting plane,
	mx    float64    // and its slopes
	my    float64
	q, qB [3]float64 // the registration point, in A and in B
	level bool       // B's face is square to its z axis
}

// least sets the normal of a meeting plane with slope (px, py) and the least rotation that lays a
// face with slope (bx, by) on it: with unit normals u to v, c = u × v and d = u·v, it is d I + [c]×
// + c cᵀ/(1 + d), Rodrigues' formula.
func (s *seatRow) least(px, py, bx, by float64) {
	iv := 1 / math.Sqrt(px*px+py*py+1)
	vx, vy, vz := px*iv, py*iv, -iv
	s.mx, s.my = px, py
	s.n[0], s.n[1], s.n[2] = -vx, -vy, iv
	if s.level = bx == 0 && by == 0; s.level { // u = −z
		h := 1 / (1 + iv)
		hx, xy := h*vx, -h*vx*vy
		s.r[0], s.r[1], s.r[2] = 1-hx*vx, xy, -vx
		s.r[3], s.r[4], s.r[5] = xy, 1-h*vy*vy, -vy
		s.r[6], s.r[7], s.r[8] = vx, vy, iv
		return
	}
	iu := 1 / math.Sqrt(bx*bx+by*by+1)
	ux, uy, uz := bx*iu, by*iu, -iu
	cx, cy, cz := uy*vz-uz*vy, uz*vx-ux*vz, ux*vy-uy*vx
	d := ux*vx + uy*vy + uz*vz
	h := 1 / (1 + d)
	hx, hy := h*cx, h*cy
	xy, xz, yz := hx*cy, hx*cz, hy*cz
	s.r[0], s.r[1], s.r[2] = d+hx*cx, xy-cz, xz+cy
	s.r[3], s.r[4], s.r[5] = xy+cz, d+hy*cy, yz-cx
	s.r[6], s.r[7], s.r[8] = xz-cy, yz+cx, d+h*cz*cz
}

// turn sets out to r followed by a turn about the unit vector n, by an angle of the given sine and
// versine (1 − cosine): (I + sin [n]× + versine (n nᵀ − I)) r.
func turn(out *[9]float64, n *[3]float64, sin, versine float64, r *[9]float64) {
	nx, ny, nz := n[0], n[1], n[2]
	keep := 1 - versine
	sx, sy, sz := sin*nx, sin*ny, sin*nz
	for c := range 3 {
		x, y, z := r[c], r[3+c], r[6+c]
		along := versine * (nx*x + ny*y + nz*z)
		out[c] = keep*x + sy*z - sz*y + along*nx
		out[3+c] = keep*y + sz*x - sx*z + along*ny
		out[6+c] = keep*z + sx*y - sy*x + along*nz
	}
}

// seriesAngle is the angle, in radians, below which the terms left out of the series of sine and
// versine are below rounding: a⁹/9! and a⁸/8! of a or of a²/2.
const seriesAngle = 1e-2

// sineVersine is the sine and 1 − cosine of an angle. Small angles, which turns within a float are,
// take the series, exact here to rounding.
func sineVersine(a float64) (sin, versine float64) {
	if q := a * a; q < seriesAngle*seriesAngle {
		return a * (1 - q*(1.0/6)*(1-q*(1.0/20)*(1-q*(1.0/42)))), q * 0.5 * (1 - q*(1.0/12)*(1-q*(1.0/30)))
	}
	half := math.Sin(a / 2)
	return math.Sin(a), 2 * half * half
}

// spin turns the seated part by g about the normal; on a level face that is B's own z axis.
func (s *seatRow) spin(g float64) {
	sin, versine := sineVersine(g)
	r := &s.r
	if !s.level {
		seated := *r
		turn(r, &s.n, sin, versine, &seated)
		return
	}
	cos := 1 - versine
	r[0], r[1] = cos*r[0]+sin*r[1], cos*r[1]-sin*r[0]
	r[3], r[4] = cos*r[3]+sin*r[4], cos*r[4]-sin*r[3]
	r[6], r[7] = cos*r[6]+sin*r[7], cos*r[7]-sin*r[6]
}
