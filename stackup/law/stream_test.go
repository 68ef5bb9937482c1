package law_test

import (
	"fmt"
	"math"
	"math/bits"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// reference is xoshiro256++ written again from the published description, on an array and with explicit shifts.
//
// Source: Blackman and Vigna, Scrambled linear pseudorandom number generators, ACM TOMS 47 (2021), section 4 and figure 4.
type reference [4]uint64

func (s *reference) next() uint64 {
	turn := func(x uint64, k uint) uint64 { return x<<k | x>>(64-k) }
	out := turn(s[0]+s[3], 23) + s[0]
	t := s[1] << 17
	s[2] ^= s[0]
	s[3] ^= s[1]
	s[1] ^= s[2]
	s[0] ^= s[3]
	s[2] ^= t
	s[3] = turn(s[3], 45)
	return out
}

// splitMix is the generator whose finaliser mixes the keys, written again.
//
// Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014, figure 19 (variant 13).
type splitMix uint64

func (s *splitMix) next() uint64 {
	*s += 0x9e3779b97f4a7c15
	z := uint64(*s)
	z ^= z >> 30
	z *= 0xbf58476d1ce4e5b9
	z ^= z >> 27
	z *= 0x94d049bb133111eb
	return z ^ z>>31
}

// Source: SplitMix64 for seeds 1234567 and 0 (from memory, recomputed); xoshiro256++ for the state 0, 0, 0, 1, made with the authors' reference code, from the public test data of a Fortran implementation.
func TestReference_knownAnswers(t *testing.T) {
	for seed, want := range map[uint64][]uint64{
		1234567: {6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821},
		0:       {0xe220a8397b1dcdaf, 0x6e789e6aa1b965f4, 0x06c45d188009454f, 0xf88bb8a8724c81ec},
	} {
		s := splitMix(seed)
		for i, w := range want {
			if got := s.next(); got != w {
				t.Errorf("SplitMix64 %d, number %d: %x, want %x", seed, i, got, w)
			}
		}
	}
	x := reference{0, 0, 0, 1}
	for i, w := range []uint64{
		0x0000000000800000, 0x0000000000800011, 0x0002200000800011, 0x0002200044000020, 0x00022000448008a1,
		0x01102100802208a0, 0x0114002284200880, 0x0402896644a64095, 0x8a14a0a244acc891, 0x8c88ba4680b20495,
	} {
		if got := x.next(); got != w {
			t.Errorf("xoshiro256++ number %d: %x, want %x", i, got, w)
		}
	}
}

// finalise is SplitMix64's finaliser, from its generator.
func finalise(z uint64) uint64 {
	s := splitMix(z - 0x9e3779b97f4a7c15)
	return s.next()
}

func TestStream_isXoshiroFromTheKey(t *testing.T) {
	for _, c := range []struct {
		seed, block uint64
		name        string
	}{{1, 0, "pilot clearance"}, {1, 1, "pilot clearance"}, {0, 0, ""}, {math.MaxUint64, 1 << 40, "Zapfenspiel ø"}} {
		name := uint64(0xcbf29ce484222325) // FNV-1a
		for _, b := range []byte(c.name) {
			name ^= uint64(b)
			name *= 0x100000001b3
		}
		first := splitMix(c.seed)
		second := splitMix(c.block)
		key := splitMix(finalise(finalise(first.next()^name) ^ second.next()))
		want := reference{key.next(), key.next(), key.next(), key.next()}
		got := law.NewStream(c.seed, c.name, c.block)
		for i := range 1000 {
			if g, w := got.Uint64(), want.next(); g != w {
				t.Fatalf("%+v: number %d is %x, want %x", c, i, g, w)
			}
		}
		u := law.NewStream(c.seed, c.name, c.block)
		v := law.NewStream(c.seed, c.name, c.block)
		row := make([]float64, 100)
		v.Uniforms(row)
		for i, x := range row {
			if got := u.Float64(); got != x || !(x > 0 && x < 1) {
				t.Fatalf("uniform number %d: %v and %v", i, got, x)
			}
		}
	}
}

// Numbers never change between machines or releases without a new StreamVersion.
//
// Source: self (regression only).
func TestStream_versionOne(t *testing.T) {
	if law.StreamVersion != 1 {
		t.Fatal("set new numbers")
	}
	s := law.NewStream(2026, "tail housing pilot", 3)
	for i, want := range []uint64{0x330bf2bbed5aba47, 0x446b97729aaf5c84} {
		if got := s.Uint64(); got != want {
			t.Errorf("word %d: %#x, want %#x", i, got, want)
		}
	}
	z := s.Normal()
	if math.Abs(z+0.7379987566844869) > 1e-14 { // the table goes through math.Exp
		t.Errorf("normal: %v, want %v", z, -0.7379987566844869)
	}
}

// 1e7 numbers in 1000 cells, the gaps between visits to a range, and the balance of every bit.
func TestStream_uniform(t *testing.T) {
	const n = 10_000_000
	s := law.NewStream(7, "uniformity", 0)
	var cells [1000]int
	var gaps [64]int // lengths of runs outside [0, 1/16), the last cell for 63 and more
	var ones [64]int
	gap := 0
	for range n {
		word := s.Uint64()
		hi, _ := bits.Mul64(word, 1000)
		cells[hi]++
		if word>>60 == 0 {
			gaps[min(gap, 63)]++
			gap = 0
		} else {
			gap++
		}
		if word&0xffff == 0 { // a sample of the words, by their low bits, for the high ones
			for b := range ones {
				ones[b] += int(word >> b & 1)
			}
		}
	}
	check := func(what string, chi2, freedom float64) {
		t.Helper()
		// Source: Wilson and Hilferty 1931: (χ²/k)^⅓ is nearly normal with mean 1 − 2/(9k) and variance 2/(9k).
		z := (math.Cbrt(chi2/freedom) - (1 - 2/(9*freedom))) / math.Sqrt(2/(9*freedom))
		if math.Abs(z) > 4.9 { // 1e-6 on both sides
			t.Errorf("%s: χ² %v of %v degrees of freedom", what, chi2, freedom)
		}
	}
	var chi2 float64
	for _, c := range cells {
		d := float64(c) - n/1000
		chi2 += d * d / (n / 1000)
	}
	check("cells", chi2, 999)
	var visits int
	for _, c := range gaps {
		visits += c
	}
	chi2 = 0
	for k, c := range gaps {
		p := math.Pow(15.0/16, float64(k))
		if k < 63 {
			p /= 16
		}
		d := float64(c) - p*float64(visits)
		chi2 += d * d / (p * float64(visits))
	}
	check("gaps", chi2, 63)
	picked := n / 65536.0
	for b := 16; b < 64; b++ {
		if z := (float64(ones[b]) - picked/2) / math.Sqrt(picked/2); math.Abs(z) > 6 {
			t.Errorf("bit %d: %d ones of about %v", b, ones[b], picked)
		}
	}
}

// Streams whose keys are neighbours share nothing: products and equal bits of numbers at the same place.
func TestStream_neighboursAreUncorrelated(t *testing.T) {
	const n, streams = 2000, 200
	key := map[string]func(i int) law.Stream{
		"blocks":          func(i int) law.Stream { return law.NewStream(1, "wedge", uint64(i)) },
		"seeds":           func(i int) law.Stream { return law.NewStream(uint64(i), "wedge", 0) },
		"names":           func(i int) law.Stream { return law.NewStream(1, fmt.Sprint("wedge ", i), 0) },
		"seeds as blocks": func(i int) law.Stream { return law.NewStream(uint64(i/2), "wedge", uint64(i%2)) },
	}
	for what, stream := range key {
		var product, equal, first float64
		before := stream(0)
		for i := 1; i <= streams; i++ {
			a, b := before, stream(i)
			before = b
			for j := range n {
				u, v := a.Uint64(), b.Uint64()
				if u == v {
					t.Fatalf("%s: stream %d repeats number %d of the one before", what, i, j)
				}
				x := (float64(u>>11)*0x1p-53 - 0.5) * (float64(v>>11)*0x1p-53 - 0.5) * 12
				product += x
				if j == 0 {
					first += x
				}
				equal += float64(bits.OnesCount64(u^v)) - 32
			}
		}
		const total = n * streams
		if z := product / math.Sqrt(total); math.Abs(z) > 5 {
			t.Errorf("%s: correlation at %.1f standard errors", what, z)
		}
		if z := first / math.Sqrt(streams); math.Abs(z) > 5 {
			t.Errorf("%s: correlation of first numbers at %.1f standard errors", what, z)
		}
		if z := equal / (4 * math.Sqrt(total)); math.Abs(z) > 5 {
			t.Errorf("%s: bits differ at %.1f standard errors", what, z)
		}
	}
}

// Source: Irwin–Hall law, exact fractions.
func TestStream_sumsOfUniforms(t *testing.T) {
	const draws = 50_000
	rows := table(t, "irwin_hall.csv")
	hits := make([]int, len(rows))
	s := law.NewStream(3, "sum", 0)
	row := make([]float64, 12)
	for range draws {
		s.Uniforms(row)
		for i, r := range rows {
			var sum float64
			for _, u := range row[:int(r[0])] {
				sum += u
			}
			if sum <= r[1] {
				hits[i]++
			}
		}
	}
	for i, r := range rows {
		p := r[3]
		if z := (float64(hits[i]) - p*draws) / math.Sqrt(draws*p*(1-p)); math.Abs(z) > 5 && math.Abs(float64(hits[i])-p*draws) > 5 {
			t.Errorf("%v numbers up to %v: %v, want %v (%.1f standard errors)", r[0], r[1], float64(hits[i])/draws, p, z)
		}
		if r[0] == 2 {
			triangular := stacktest.Must(law.NewTriangular(1, 1))
			check.Relative(t, "triangular", triangular.CDF(r[1]), p, 1e-15)
		}
	}
}

func TestStream_addingAnInputLeavesTheOthersAlone(t *testing.T) {
	draw := func(names ...string) map[string][5]float64 {
		out := map[string][5]float64{}
		l := stacktest.Must(law.NewNormal(0, 1))
		for _, name := range names {
			s := law.NewStream(9, name, 4)
			var x [5]float64
			l.Draw(x[:], &s)
			out[name] = x
		}
		return out
	}
	few, more := draw("a", "c"), draw("a", "b", "c")
	for name, x := range few {
		if more[name] != x {
			t.Errorf("input %q: %v, then %v", name, x, more[name])
		}
	}
	if more["b"] == more["a"] {
		t.Error("two inputs with the same numbers")
	}
}
