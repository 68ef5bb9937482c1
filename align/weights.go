package align

// Weights says by how much the mean reading of each station moves what is fitted to a round: its
// mean, and the parts of its first harmonic along cos θ and sin θ. A station that was not read has
// weight 0. alone fits the first harmonic without higher ones beside it, as a thickness round is
// fitted; a sweep is fitted with all that its stations can tell. A stack feels a round through
// these three numbers alone, its thickness variation apart.
func (r *Readings) Weights(alone bool) (mean, cos, sin []float64) {
	g := ring{planeOnly: alone}
	g.theta, g.value = r.stations(g.theta, g.value)
	g.weights(r.equalSteps())
	n := len(r.Values)
	mean, cos, sin = make([]float64, n), make([]float64, n), make([]float64, n)
	at := 0
	for k, v := range r.Values {
		if len(v) == 0 {
			continue
		}
		mean[k], cos[k], sin[k] = g.mean[at], g.cos[at], g.sin[at]
		at++
	}
	return mean, cos, sin
}
