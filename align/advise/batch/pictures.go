package batch

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align/draw"
	"example.com/borestack/tolerance"
)

// Pictures draws the vectors of the parts, with their mean, and every chart, as SVG by name.
func (f *Finding) Pictures(unit tolerance.Unit) (map[string][]byte, error) {
	out := map[string][]byte{}
	var b bytes.Buffer
	o := draw.Options{Unit: unit}
	cloud := draw.Cloud{Of: f.Of, At: f.At, Mean: f.Mean, Limit: f.Greatest}
	if !math.IsInf(float64(f.Radius), 0) {
		cloud.Region = f.Radius
	}
	if err := draw.Vectors(&b, cloud, o); err != nil {
		return nil, err
	}
	out["vectors"] = slices.Clone(b.Bytes())
	for i := range f.Charts {
		b.Reset()
		if err := draw.Line(&b, f.Charts[i].series(unit), o); err != nil {
			return nil, err
		}
		out[fmt.Sprintf("chart-%d", i+1)] = slices.Clone(b.Bytes())
	}
	return out, nil
}

// series is the chart to draw, lengths in the unit.
func (c *Chart) series(unit tolerance.Unit) draw.Series {
	size := 1.0
	s := draw.Series{Of: c.Name + ", " + c.Of, Because: "Limits: " + c.Limits}
	if c.IsLength {
		size, s.Unit = float64(unit.Size()), unit.String()
	}
	limit := func(v float64) tolerance.Optional[float64] {
		if math.IsInf(v, 0) {
			return tolerance.Optional[float64]{}
		}
		return tolerance.Given(v / size)
	}
	s.Centre, s.Limits = c.Centre/size, tolerance.Limits{Least: limit(c.Low), Greatest: limit(c.High)}
	for _, p := range c.Points {
		s.Points = append(s.Points, p/size)
	}
	for _, g := range c.Signals {
		s.Signals = append(s.Signals, g.Part)
	}
	return s
}
