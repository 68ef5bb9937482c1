package law

import "math"

// The normal density is covered by layerCount strips of equal area; tailEdge is where the lowest one ends and the tail begins. With so many strips 1 word in 230 needs a second look; with the 256 of the source it is 1 in 67.
// Source: Marsaglia and Tsang, The ziggurat method for generating random variables, J. Stat. Software 5(8) (2000); the edge solves their equation for 1024 strips, which TestEdges_closeAtTheTop checks.
const (
	layerCount = 1024
	tailEdge   = 4.038849846109505
)

// A layer holds one strip: a signed 53-bit integer j gives j·width, and lies under the curve for certain when |j| < inside.
type layer struct {
	inside int64
	width  float64
}

// layers and densities never change after the program has started.
var (
	layers    = newLayers()
	densities = newDensities() // at the edges, over the density at 0
)

func newDensities() (out [layerCount + 1]float64) {
	for i, x := range edges() {
		out[i] = math.Exp(-x * x / 2)
	}
	return out
}

func newLayers() (out [layerCount]layer) {
	edge := edges()
	for i := range out {
		out[i] = layer{inside: int64(edge[i+1] / edge[i] * (1 << 52)), width: edge[i] * 0x1p-52}
	}
	return out
}

// edges returns the right ends of the strips from the widest, which stands for strip and tail together, to 0 at the top.
func edges() (edge [layerCount + 1]float64) {
	density := func(x float64) float64 { return math.Exp(-x * x / 2) }
	area := tailEdge*density(tailEdge) + math.Sqrt(math.Pi/2)*math.Erfc(tailEdge/math.Sqrt2)
	edge[0], edge[1] = area/density(tailEdge), tailEdge
	for i := 2; i < layerCount; i++ {
		edge[i] = math.Sqrt(-2 * math.Log(area/edge[i-1]+density(edge[i-1])))
	}
	return edge
}
