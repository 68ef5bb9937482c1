package specify

import (
	"bytes"
	"fmt"

	"example.com/borestack/align/draw"
	"example.com/borestack/tolerance"
)

// Pictures draws, for each limit, what every callout takes of it at its worst box, as SVG by name.
func (r *Result) Pictures(unit tolerance.Unit) (map[string][]byte, error) {
	out := map[string][]byte{}
	for i := range r.Worst {
		w, sum := &r.Worst[i], 0.0
		for _, v := range w.Takes {
			sum += v
		}
		if sum == 0 {
			continue // nothing that is called out bears on it
		}
		list := draw.Contributions{
			Of:   "what callouts take of the " + w.Limit,
			Note: fmt.Sprintf("Of all that callouts take together, which is %.0f %% of what the box as drawn leaves of the limit.", 100*sum),
		}
		for k, v := range w.Takes {
			list.Shares = append(list.Shares, tolerance.Share{Name: r.Callouts[k].Name(), Share: v / sum})
		}
		var b bytes.Buffer
		if err := draw.Shares(&b, list, draw.Options{Unit: unit}); err != nil {
			return nil, err
		}
		out[fmt.Sprintf("limit-%d", i+1)] = b.Bytes()
	}
	return out, nil
}
