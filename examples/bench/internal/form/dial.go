package form

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/examples/bench/internal/draft"
)

// Radii of the picture of a round, in its own units.
const (
	dialText  = 92.0
	dialRing  = 74.0
	dialMean  = 52.0
	dialSwing = 18.0
	dialMost  = 24 // stations whose numbers have room
)

// dials are the pictures of every round, by its pointer.
func dials(d *draft.Draft) map[string]string {
	out := map[string]string{}
	d.Each("", func(pointer string, _ *draft.Node) {
		if round, ok := strings.CutSuffix(pointer, "/readings"); ok {
			out[round] = dial(d, round)
		}
	})
	return out
}

// dial is a round's stations as seen from the tail, 12 o'clock up, with what was read so far: how each reading differs from their mean, drawn large.
func dial(d *draft.Draft, round string) string {
	n := d.Count(round + "/readings")
	values, read := make([]float64, n), make([]bool, n)
	var sum, count float64
	for k := range n {
		if values[k], read[k] = d.Number(fmt.Sprintf("%s/readings/%d", round, k)); read[k] {
			sum += values[k]
			count++
		}
	}
	mean, most := sum/max(count, 1), 0.0
	for k := range n {
		if read[k] {
			most = max(most, math.Abs(values[k]-mean))
		}
	}
	var marks, line strings.Builder
	begun := "M"
	for k := range n {
		a := stationClock(d, round, k) * math.Pi / 180
		if d.Text(round+"/seen_from") == "nose" {
			a = -a
		}
		sin, cos := math.Sincos(a)
		class := "dl-empty"
		if read[k] {
			class = "dl-read"
			r := dialMean
			if most > 0 {
				r += dialSwing * (values[k] - mean) / most
			}
			fmt.Fprintf(&line, "%s%.1f %.1f", begun, r*sin, -r*cos)
			begun = " L"
			fmt.Fprintf(&marks, `<circle class="dl-point" cx="%.1f" cy="%.1f" r="3"/>`, r*sin, -r*cos)
		}
		fmt.Fprintf(&marks, `<circle class="%s" cx="%.1f" cy="%.1f" r="4"/>`, class, dialRing*sin, -dialRing*cos)
		if n <= dialMost || k%((n+dialMost-1)/dialMost) == 0 {
			fmt.Fprintf(&marks, `<text class="dl-text" x="%.1f" y="%.1f">%d</text>`, dialText*sin, -dialText*cos+4, k+1)
		}
	}
	if count == float64(n) && n > 2 {
		line.WriteString(" Z")
	}
	path := ""
	if count > 1 {
		path = fmt.Sprintf(`<path class="dl-line" d="%s"/>`, line.String())
	}
	return fmt.Sprintf(`<svg viewBox="-108 -108 216 216" role="img" aria-label="Stations seen from the tail: %d of %d read"><circle class="dl-ring" r="%g"/><circle class="dl-mean" r="%g"/>%s%s<text class="dl-text" y="4">tail view</text></svg>`,
		int(count), n, dialRing, dialMean, path, marks.String())
}
