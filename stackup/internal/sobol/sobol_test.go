package sobol

import (
	"bufio"
	"fmt"
	"hash/fnv"
	"math"
	"math/big"
	"math/bits"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func TestPlain_published(t *testing.T) {
	f, err := os.Open("testdata/first16.csv") // Source: in the file
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var columns [8]Column
	for d := range columns {
		columns[d] = plain(d)
	}
	rows := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		cells := strings.Split(lines.Text(), ",")
		if len(cells) != 9 || cells[0] == "n" {
			continue
		}
		rows++
		for d := range columns {
			var got [1]float64
			columns[d].Fill(got[:])
			if want, err := strconv.ParseFloat(cells[1+d], 64); err != nil || got[0] != want {
				t.Errorf("point %s, dimension %d: %v, want %v", cells[0], d+1, got[0], want)
			}
		}
	}
	if rows != 16 {
		t.Errorf("%d points", rows)
	}
}

// Every polynomial is primitive, each once, in ascending degree; every integer is odd and has at most as many digits as its place.
func TestDirections_valid(t *testing.T) {
	seen := map[uint16]bool{}
	last := 0
	for i, row := range directions {
		degree := bits.Len16(row[0]) - 1
		if seen[row[0]] || degree < last || len(row) != 1+degree || !primitive(uint32(row[0]), degree) {
			t.Errorf("dimension %d: polynomial %b", i+2, row[0])
		}
		seen[row[0]], last = true, degree
		for k, m := range row[1:] {
			if m&1 == 0 || bits.Len16(m) > k+1 {
				t.Errorf("dimension %d: m%d = %d", i+2, k+1, m)
			}
		}
	}
}

// The table is that which was read from the published file: property A does not see every digit.
//
// Source: self (regression only).
func TestDirections_unchanged(t *testing.T) {
	h := fnv.New64a()
	for _, row := range directions {
		fmt.Fprintln(h, row)
	}
	if got := h.Sum64(); got != 0x3b6f023d7784dc3c {
		t.Errorf("%#x", got)
	}
}

// primitive reports whether x has the full order 2^degree − 1 modulo the polynomial.
func primitive(polynomial uint32, degree int) bool {
	x := uint32(1)
	order := 0
	for {
		x <<= 1
		if x>>degree&1 == 1 {
			x ^= polynomial
		}
		order++
		if x == 1 {
			return order == 1<<degree-1
		}
		if x == 0 || order > 1<<degree {
			return false
		}
	}
}

// The first binary digits of the direction numbers of any first d dimensions are independent, so that the first 2ᵈ points have one in each orthant (Sobol's property A). One wrong digit in the table would mostly break it.
//
// Source: Sobol, Uniformly distributed sequences with an additional uniform property, USSR Comput. Math. Math. Phys. 16 (1976); that the table has it: Joe and Kuo, ACM Trans. Math. Softw. 29 (2003).
func TestDirections_propertyA(t *testing.T) {
	rows := make([]*big.Int, Dimensions) // first digits of the direction numbers, as many as there are dimensions
	for d := range rows {
		rows[d] = new(big.Int)
		degree, polynomial := 0, uint16(1)
		if d > 0 {
			polynomial = directions[d-1][0]
			degree = bits.Len16(polynomial) - 1
		}
		m := make([]*big.Int, Dimensions)
		for k := range m {
			switch {
			case d == 0:
				m[k] = big.NewInt(1)
			case k < degree:
				m[k] = big.NewInt(int64(directions[d-1][1+k]))
			default:
				m[k] = new(big.Int).Set(m[k-degree])
				for i := 1; i <= degree; i++ {
					if polynomial>>(degree-i)&1 == 1 {
						m[k].Xor(m[k], new(big.Int).Lsh(m[k-i], uint(i)))
					}
				}
			}
			rows[d].SetBit(rows[d], k, m[k].Bit(k))
		}
	}
	// elimination without exchange of columns goes through when all leading minors are 1
	for d, row := range rows {
		if row.Bit(d) == 0 {
			t.Fatalf("the first %d dimensions", d+1)
		}
		for _, below := range rows[d+1:] {
			if below.Bit(d) == 1 {
				below.Xor(below, row)
			}
		}
	}
}

// Scrambled or not, any 2ᵏ points from the first on have one in each interval of 2⁻ᵏ, in every dimension.
func TestColumn_Fill_stratified(t *testing.T) {
	const n = 1 << 10
	x := make([]float64, n)
	words := rand.New(rand.NewPCG(1, 2))
	for d := range Dimensions {
		for _, c := range []Column{plain(d), scrambled(d, 10, words)} {
			c.Fill(x)
			var seen [n]bool
			for _, v := range x {
				if !(v >= 0 && v < 1) {
					t.Fatal(v)
				}
				seen[int(v*n)] = true
			}
			for i, s := range seen {
				if !s {
					t.Fatalf("dimension %d: no point in interval %d", d, i)
				}
			}
		}
	}
}

// Two scrambled dimensions remain a net: dimensions 1 and 2 have one point of 2ᵏ in each box of area 2⁻ᵏ.
func TestScrambled_net(t *testing.T) {
	const k, n = 8, 1 << 8
	words := rand.New(rand.NewPCG(3, 4))
	a, b := scrambled(0, k, words), scrambled(1, k, words)
	x, y := make([]float64, n), make([]float64, n)
	a.Fill(x)
	b.Fill(y)
	for split := range k + 1 {
		seen := map[[2]int]bool{}
		for i := range x {
			seen[[2]int{int(math.Ldexp(x[i], split)), int(math.Ldexp(y[i], k-split))}] = true
		}
		if len(seen) != n {
			t.Errorf("boxes of 2^-%d by 2^-%d: %d of %d hold a point", split, k-split, len(seen), n)
		}
	}
}

// Every single point is uniform over scrambles, and two points of a column are not tied but for their strata.
func TestScrambled_uniform(t *testing.T) {
	const n, bins = 20000, 16
	words := rand.New(rand.NewPCG(5, 6))
	var counts [2][bins]int
	var product float64
	for range n {
		c := scrambled(7, 2, words)
		var x [3]float64
		c.Fill(x[:])
		counts[0][int(x[0]*bins)]++
		counts[1][int(x[2]*bins)]++
		product += (x[0] - 0.5) * (x[2] - 0.5)
	}
	for p := range counts {
		var chi2 float64
		for _, c := range counts[p] {
			d := float64(c) - n/bins
			chi2 += d * d / (n / bins)
		}
		if chi2 > 44.3 { // Source: chi-squared law, 15 degrees of freedom: 44.26 is exceeded once in 10 000
			t.Errorf("point %d: chi-squared %v", p, chi2)
		}
	}
	// Source: hand calculation: the two are always in opposite halves, and uniform there: ¼·(−¼)
	if c := product / n; math.Abs(c+1.0/16) > 0.002 {
		t.Errorf("covariance %v, want -1/16", c)
	}
}

// The mean of a smooth product over scrambled points has far less error than at random, and none on average.
func TestScrambled_variance(t *testing.T) {
	const d, n, scrambles = 5, 1 << 10, 200
	words := rand.New(rand.NewPCG(7, 8))
	x := make([][]float64, d)
	var sum, squares float64
	for range scrambles {
		for k := range x {
			x[k] = make([]float64, n)
			c := scrambled(k, 10, words)
			c.Fill(x[k])
		}
		var mean float64
		for i := range n {
			y := 1.0
			for k := range x {
				y *= 1 + (x[k][i]-0.5)/float64(k+1)
			}
			mean += y / n
		}
		sum += mean - 1 // Source: hand calculation: every factor has mean 1
		squares += (mean - 1) * (mean - 1)
	}
	sd := math.Sqrt(squares / scrambles)
	if z := sum / scrambles / (sd / math.Sqrt(scrambles)); math.Abs(z) > 4 {
		t.Errorf("biased by %v", z)
	}
	// Source: hand calculation: variance Π (1 + 1/12k²) − 1 = 0.126
	plain := math.Sqrt(0.126 / n)
	if sd > plain/30 {
		t.Errorf("error %v, at random %v", sd, plain)
	}
}

func TestColumn_Fill_allocs(t *testing.T) {
	c := scrambled(3, 6, rand.New(rand.NewPCG(1, 1)))
	x := make([]float64, 64)
	if n := testing.AllocsPerRun(10, func() { c.Fill(x) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkColumn_Fill(b *testing.B) {
	c := scrambled(9, 12, rand.New(rand.NewPCG(1, 1)))
	x := make([]float64, 256)
	for b.Loop() {
		c.Fill(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/256, "ns/point")
}

func ExampleColumn_Scramble() {
	c := scrambled(0, 2, rand.New(rand.NewPCG(1, 1)))
	x := make([]float64, 4)
	c.Fill(x)
	var quarters [4]int
	for _, v := range x {
		quarters[int(4*v)]++
	}
	fmt.Println(quarters)
	// Output: [1 1 1 1]
}

// plain is dimension d as published.
func plain(d int) Column {
	var c Column
	c.plain(d)
	return c
}

// scrambled is dimension d, scrambled for 2ᵏ points.
func scrambled(d, k int, words Source) Column {
	var c Column
	c.Scramble(d, k, words)
	return c
}

// ones is a source whose words are all ones.
type ones struct{}

func (ones) Uint64() uint64 { return math.MaxUint64 }

// A dimension beyond the table takes each of 2ᵏ parts once, strictly between 0 and 1 whatever the words.
func TestColumn_latin(t *testing.T) {
	for name, words := range map[string]Source{"random": rand.New(rand.NewPCG(1, 2)), "ones": ones{}} {
		for _, k := range []int{0, 4, 20} {
			var c Column
			c.Scramble(Dimensions+1, k, words)
			x := make([]float64, 1<<k)
			c.Fill(x)
			seen := make([]bool, len(x))
			for _, v := range x {
				if !(v > 0 && v < 1) {
					t.Fatalf("%s, 2^%d: %v", name, k, v)
				}
				seen[int(v*float64(len(x)))] = true
			}
			if name == "random" && slices.Contains(seen, false) { // ones round up to the next part
				t.Errorf("%s, 2^%d: parts without a point", name, k)
			}
		}
	}
}
