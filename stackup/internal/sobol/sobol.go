// Package sobol gives the points of Sobol sequences, as they are or scrambled: column by column, so that each input of a study has a dimension of its own.
package sobol

import "math/bits"

// Dimensions is how many there are.
const Dimensions = len(directions) + 1

// width is the number of binary digits in which points differ; depth that of a number in [0, 1).
const (
	width = 32
	depth = 52
)

// Column is one dimension of a sequence. The zero value is not usable; make one with [Column.Scramble].
type Column struct {
	v      [width]uint64 // direction numbers, their first binary digit at bit depth−1
	state  uint64
	index  uint64
	words  Source   // nil: not scrambled
	strata []int32  // of a Latin column: the part that each point lies in; nil: a Sobol column
	known  int      // digits of a scrambled point that are the sequence's
	flips  []uint64 // a bit for every node of the binary tree of these digits: is the next digit flipped? The root is node 1, node n has the children 2n and 2n + 1.
}

// A Source gives random words.
type Source interface{ Uint64() uint64 }

func (c *Column) plain(d int) {
	c.state, c.index = 0, 0
	for k, m := range initial(d) {
		c.v[k] = m << (depth - 1 - k)
	}
}

// initial are the integers m of all digits of a dimension, by the recurrence of its polynomial.
//
// Source: Bratley and Fox, Algorithm 659, ACM Trans. Math. Softw. 14 (1988), section 2.
func initial(d int) (m [width]uint64) {
	if d == 0 {
		for k := range m {
			m[k] = 1
		}
		return m
	}
	row := directions[d-1]
	polynomial := row[0]
	degree := bits.Len16(polynomial) - 1
	for k := range m {
		if k < degree {
			m[k] = uint64(row[1+k])
			continue
		}
		m[k] = m[k-degree]
		for i := 1; i <= degree; i++ {
			if polynomial>>(degree-i)&1 == 1 {
				m[k] ^= m[k-i] << i
			}
		}
	}
	return m
}

// Scramble makes the column dimension d for at most 2ᵏ points, in the memory that it has, with Owen's nested scrambling:
// every digit is flipped or not as the digits before it say, by random bits, and the digits after the k-th are random.
// Every point is uniform on (0, 1), the first 2ʲ points remain as even as they were, and columns scrambled by
// independent words are independent. Further words are taken by [Column.Fill]. A dimension that there is not is a column of
// a Latin hypercube: one number in each of 2ᵏ equal parts of (0, 1), in random order.
//
// Source: Owen, Randomly permuted (t,m,s)-nets and (t,s)-sequences, in Monte Carlo and Quasi-Monte Carlo Methods,
// Springer 1995; McKay, Beckman and Conover, A comparison of three methods for selecting values of input variables,
// Technometrics 21 (1979) (Latin hypercube).
//
// It panics unless d ≥ 0 and 0 ≤ k ≤ 32.
func (c *Column) Scramble(d, k int, words Source) {
	if k < 0 || k > width {
		panic("sobol: k beyond 0 to 32")
	}
	if c.words = words; d >= Dimensions {
		c.shuffle(1 << k)
		return
	}
	c.plain(d)
	c.strata, c.known = nil, k
	n := (1<<k + 63) / 64
	if cap(c.flips) < n {
		c.flips = make([]uint64, n)
	}
	c.flips = c.flips[:n]
	for i := range c.flips {
		c.flips[i] = words.Uint64()
	}
}

// shuffle makes a Latin column of n points.
func (c *Column) shuffle(n int) {
	if c.index = 0; len(c.strata) != n {
		c.strata = make([]int32, n)
	}
	for k := range c.strata {
		j, _ := bits.Mul64(c.words.Uint64(), uint64(k+1))
		c.strata[k] = c.strata[j]
		c.strata[j] = int32(k)
	}
}

// Fill sets dst to the next points, of a sequence in the order of the Gray code.
func (c *Column) Fill(dst []float64) {
	const digit = 1.0 / (1 << depth)
	for i := range dst {
		if c.strata != nil {
			within := (float64(c.words.Uint64()>>(64-depth)) + 0.5) * digit
			dst[i] = min((float64(c.strata[c.index])+within)/float64(len(c.strata)), 1-digit/2) // rounding may reach 1
			c.index++
			continue
		}
		if c.words == nil {
			dst[i] = float64(c.state) * digit
		} else {
			dst[i] = (float64(c.scrambled()) + 0.5) * digit
		}
		c.index++
		c.state ^= c.v[bits.TrailingZeros64(c.index|1<<(width-1))]
	}
}

// scrambled is the point of the state.
func (c *Column) scrambled() uint64 {
	in, out, node := c.state>>(depth-c.known), uint64(0), uint64(1)
	for l := c.known - 1; l >= 0; l-- {
		bit := in >> l & 1
		out = out<<1 | bit ^ c.flips[node/64]>>(node%64)&1
		node = node<<1 | bit
	}
	rest := depth - c.known
	return out<<rest | c.words.Uint64()>>(64-rest)
}
