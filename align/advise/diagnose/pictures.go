package diagnose

import (
	"bytes"

	"example.com/borestack/align/draw"
	"example.com/borestack/tolerance"
)

// Pictures draws the probabilities of what can explain the sights, as SVG by name.
func (f *Finding) Pictures(unit tolerance.Unit) (map[string][]byte, error) {
	list := draw.Contributions{Of: "what can explain what is seen", Note: "Probabilities from how parts of this kind scatter; none is shown to be the cause."}
	others := 0.0
	add := func(name string, p float64) {
		list.Shares = append(list.Shares, tolerance.Share{Name: name, Share: min(1, max(0, p))})
	}
	for i := range f.Explanations {
		if e := &f.Explanations[i]; e.Probability >= least {
			add(e.Name, e.Probability)
		} else {
			others += e.Probability
		}
	}
	add("no fault, the usual scatter", f.Nothing)
	add("all others together", others)
	var b bytes.Buffer
	err := draw.Shares(&b, list, draw.Options{Unit: unit})
	return map[string][]byte{"probabilities": b.Bytes()}, err
}
