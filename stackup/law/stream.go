package law

import (
	"math"
	"math/bits"
)

// StreamVersion changes when the same key gives other numbers than before; a stored study says which one it was drawn with.
const StreamVersion = 1

// A Stream is the random numbers of one input in one block of samples.
//
// It is xoshiro256++ started from a key of (seed, name, block) by the SplitMix64 finaliser, so that the numbers of one input do not depend on which other inputs there are, and any block can be drawn again alone.
// The zero Stream is not usable; make one with [NewStream]. A Stream is for one goroutine.
//
// Source: Blackman and Vigna, Scrambled linear pseudorandom number generators, ACM TOMS 47 (2021), section 4; Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014, for the finaliser.
type Stream struct {
	s0, s1, s2, s3 uint64
}

// NewStream returns the stream of one input of a study in one block.
func NewStream(seed uint64, name string, block uint64) Stream {
	key := mix(mix(seed+golden) ^ hash(name))
	key = mix(key ^ mix(block+golden))
	next := func() uint64 {
		key += golden
		return mix(key)
	}
	s := Stream{next(), next(), next(), next()}
	if s.s0|s.s1|s.s2|s.s3 == 0 { // the one state that xoshiro cannot leave
		s.s0 = golden
	}
	return s
}

// golden is 2⁶⁴ divided by the golden ratio, odd: SplitMix64's increment.
const golden = 0x9e3779b97f4a7c15

// mix is SplitMix64's finaliser.
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// hash is FNV-1a over the bytes of a name.
func hash(name string) uint64 {
	h := uint64(0xcbf29ce484222325)
	for i := range len(name) {
		h = (h ^ uint64(name[i])) * 0x100000001b3
	}
	return h
}

// Uint64 returns the next 64 random bits.
func (s *Stream) Uint64() (word uint64) {
	word, s.s0, s.s1, s.s2, s.s3 = advance(s.s0, s.s1, s.s2, s.s3)
	return word
}

// advance is one step of xoshiro256++: a word, and the state after it.
func advance(s0, s1, s2, s3 uint64) (word, t0, t1, t2, t3 uint64) {
	word = bits.RotateLeft64(s0+s3, 23) + s0
	s2 ^= s0
	t3 = s3 ^ s1
	t1 = s1 ^ s2
	t0 = s0 ^ t3
	return word, t0, t1, s2 ^ s1<<17, bits.RotateLeft64(t3, 45)
}

// Float64 returns the next uniform number, strictly between 0 and 1: an odd multiple of 2⁻⁵³.
func (s *Stream) Float64() float64 {
	return unit(s.Uint64())
}

// unit is the middle of one of 2⁵² equal cells of (0, 1).
func unit(word uint64) float64 {
	return (float64(int64(word>>12)) + 0.5) * 0x1p-52
}

// Uniforms fills dst with numbers strictly between 0 and 1.
func (s *Stream) Uniforms(dst []float64) { s.uniforms(dst, 0, 1) }

// uniforms fills dst with lowest + width·u. As in [Stream.normals], the state is kept in locals, which are registers; through s it would be memory.
func (s *Stream) uniforms(dst []float64, lowest, width float64) {
	s0, s1, s2, s3 := s.s0, s.s1, s.s2, s.s3
	for i := range dst {
		var word uint64
		word, s0, s1, s2, s3 = advance(s0, s1, s2, s3)
		dst[i] = float64(width*unit(word)) + lowest
	}
	*s = Stream{s0, s1, s2, s3}
}

// Normals fills dst with standard normal numbers, by a ziggurat.
//
// Source: Marsaglia and Tsang, The ziggurat method for generating random variables, J. Stat. Software 5(8) (2000); the layer and the height come from bits of one word that do not overlap, which the original lacks (Doornik, An improved ziggurat method to generate normal random samples, 2005).
func (s *Stream) Normals(dst []float64) { s.normals(dst, 0, 1) }

// normals fills dst with mean + sd·z.
func (s *Stream) normals(dst []float64, mean, sd float64) {
	s0, s1, s2, s3 := s.s0, s.s1, s.s2, s.s3
	for i := range dst {
		var word uint64
		word, s0, s1, s2, s3 = advance(s0, s1, s2, s3)

		layer := &layers[word&(layerCount-1)]
		j := int64(word) >> 11
		z := float64(j) * layer.width
		if uint64(j+layer.inside) >= uint64(2*layer.inside) { // |j| < inside does for most, but for the one value that is -inside
			*s = Stream{s0, s1, s2, s3}
			z = s.slowNormal(word)
			s0, s1, s2, s3 = s.s0, s.s1, s.s2, s.s3
		}
		dst[i] = float64(sd*z) + mean
	}
	*s = Stream{s0, s1, s2, s3}
}

// Normal returns the next standard normal number.
func (s *Stream) Normal() float64 {
	var one [1]float64
	s.Normals(one[:])
	return one[0]
}

// slowNormal settles a word that fell outside its layer's core.
func (s *Stream) slowNormal(word uint64) float64 {
	for {
		index := int(word & (layerCount - 1))
		j := int64(word) >> 11
		x := float64(j) * layers[index].width
		switch {
		case uint64(j+layers[index].inside) < uint64(2*layers[index].inside):
			return x
		case index == 0:
			return s.tail(j < 0)
		case densities[index+1]+s.Float64()*(densities[index]-densities[index+1]) < math.Exp(-0.5*x*x):
			return x
		}
		word = s.Uint64()
	}
}

// tail draws a normal number beyond the last edge. Source: Marsaglia, Generating a variable from the tail of the normal distribution, Technometrics 6 (1964).
func (s *Stream) tail(negative bool) float64 {
	for {
		x := -math.Log(s.Float64()) / tailEdge
		y := -math.Log(s.Float64())
		if 2*y > x*x {
			if negative {
				return -tailEdge - x
			}
			return tailEdge + x
		}
	}
}
