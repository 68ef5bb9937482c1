package batch

import (
	"fmt"
	"math"
	"strings"

	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// pictures are the vectors of the parts, with their mean, and every chart.
func (f *Finding) pictures(unit tolerance.Unit) (out []paper.Picture, err error) {
	var b strings.Builder
	cloud := draw.Cloud{Of: f.Of, At: f.At, Mean: f.Mean, Limit: f.Greatest}
	if !math.IsInf(float64(f.Radius), 0) {
		cloud.Region = f.Radius
	}
	if err := draw.Vectors(&b, cloud, draw.Options{Unit: unit, ID: "vectors"}); err != nil {
		return nil, err
	}
	out = append(out, paper.Picture{Caption: spell.Upper(f.Of) + ", part by part", SVG: b.String(), Name: "vectors"})
	for i := range f.Charts {
		b.Reset()
		if err := draw.Line(&b, f.Charts[i].series(unit), draw.Options{Unit: unit, ID: fmt.Sprintf("chart%d", i+1)}); err != nil {
			return nil, err
		}
		out = append(out, paper.Picture{Caption: spell.Upper(f.Charts[i].Name) + ", " + f.Charts[i].Of, SVG: b.String(), Name: fmt.Sprintf("chart-%d", i+1)})
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
