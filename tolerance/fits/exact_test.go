package fits_test

import (
	"math/big"
	"testing"

	"example.com/borestack/tolerance"
	"example.com/borestack/tolerance/fits"
)

// Three rings against Lamé's formulas in exact fractions, down to a middle wall of one micrometre on 50 mm, where the two interfaces are all but one.
//
// Source: Lamé 1852, thick-walled cylinder, solved by Cramer's rule in rational numbers.
func TestPressFit_Solve_exact(t *testing.T) {
	q := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	add := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
	sub := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
	mul := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
	quo := func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
	k := func(a, b *big.Rat) *big.Rat { return quo(add(mul(b, b), mul(a, a)), sub(mul(b, b), mul(a, a))) }
	check := func(what string, wall, got float64, want *big.Rat, relative float64) {
		if w, _ := want.Float64(); !near(got, w, relative) {
			t.Errorf("wall %v: %s %.17g, want %.17g", wall, what, got, w)
		}
	}
	one := q(1)
	for _, c := range []struct{ wall, relative float64 }{{10, 4e-15}, {1, 4e-14}, {0.125, 4e-13}, {0.015625, 4e-12}, {0.0009765625, 6e-11}} {
		f := fits.PressFit{
			[]fits.Ring{ring(20, 50, 206000, 0.25, 0), ring(50, 50+c.wall, 105000, 0.375, 0), ring(50+c.wall, 80, 71000, 0.3125, 0)},
			[]fits.Interference{0.015625, 0.03125},
		}
		d := []*big.Rat{q(20), q(50), q(50 + c.wall), q(80)}
		var kk, e, v [3]*big.Rat
		for i, r := range f.Rings {
			kk[i], e[i], v[i] = k(d[i], d[i+1]), q(r.Modulus), q(r.Poisson)
		}
		a11 := add(quo(sub(kk[0], v[0]), e[0]), quo(add(kk[1], v[1]), e[1]))
		a22 := add(quo(sub(kk[1], v[1]), e[1]), quo(add(kk[2], v[2]), e[2]))
		a12, a21 := quo(add(kk[1], one), e[1]), quo(sub(kk[1], one), e[1])
		b1, b2 := quo(q(0.015625), d[1]), quo(q(0.03125), d[2])
		det := sub(mul(a11, a22), mul(a12, a21))
		p1 := quo(add(mul(b1, a22), mul(b2, a12)), det)
		p2 := quo(add(mul(b2, a11), mul(b1, a21)), det)
		got := solved(t, f)
		check("inner pressure", c.wall, got.Interfaces[0].Pressure, p1, c.relative)
		check("outer pressure", c.wall, got.Interfaces[1].Pressure, p2, c.relative)
		check("hoop stress", c.wall, got.Rings[1].HoopBore, sub(mul(p1, kk[1]), mul(p2, add(kk[1], one))), c.relative)
		// The bore closes by what the pressure outside does: 2 b²/(b² - a²) p/E of its diameter.
		closes := mul(d[0], quo(mul(p1, add(kk[0], one)), e[0]))
		check("bore", c.wall, -float64(got.Rings[0].Bore.Total()/tolerance.Millimetre), closes, c.relative)
	}
}
