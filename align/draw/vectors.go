package draw

import (
	"fmt"
	"io"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Cloud is the signed vectors of many parts. The zero value of what is optional leaves it out.
type Cloud struct {
	Of     string // what they are: "wedges of thirty plates"
	At     []align.Vec2
	Mean   align.Vec2
	Region tolerance.Length                     // radius of the confidence region of the mean; 0: not drawn
	Limit  tolerance.Optional[tolerance.Length] // greatest size
}

// Vectors draws the vectors of parts as seen from the tail, each as a point, with their mean, the region that holds the mean of
// all such parts, and the limit.
//
// It returns [ErrNothingToDraw] without vectors, an error that wraps [fault.ErrOutOfRange] or [fault.ErrNotFinite] with the
// place, or a fault of the options.
func Vectors(w io.Writer, list Cloud, o Options) error {
	o, err := o.check()
	if err != nil {
		return err
	}
	if len(list.At) == 0 {
		return nothing("vectors", "there are none")
	}
	most := math.Max(float64(list.Mean.Size()+list.Region), float64(list.Limit.Value))
	var wrong rules.List
	finite(&wrong, "/mean", most)
	wrong.Need(!(list.Region < 0 || list.Limit.Value < 0), "/limit", list.Limit.Value, "0 or more", fault.ErrOutOfRange)
	for i, v := range list.At {
		finite(&wrong, fmt.Sprintf("/at/%d", i), float64(v.Size()))
		most = math.Max(most, float64(v.Size()))
	}
	if err := wrong.First(); err != nil {
		return err
	}
	if most == 0 {
		most = 0.01 // all at the middle: any scale shows it
	}
	c := newCanvas(o, "Vectors: "+spell.Name(list.Of), "")
	answer := "Mean " + c.p.offset(list.Mean) + "."
	c.head(answer)
	c.y += 6
	t, x, y := c.target()
	t.scale = magnify(t.radius / most)
	t.rings()
	t.cloud(&list)
	c.y = math.Max(t.cy+t.radius+22, c.keys(x, y))
	scale := c.magnified(t.scale)
	c.notes(scale, "Seen from the tail, 12 o'clock up.")
	return c.write(w, "Seen from the tail, 12 o'clock up", answer, c.keyWords(), scale)
}

// cloud draws points, mean, region and limit, and explains them.
func (t *target) cloud(list *Cloud) {
	c := t.canvas
	if l, ok := list.Limit.Get(); ok {
		c.titled("limit", "limit", func() { c.circle(heavy, t.cx, t.cy, float64(l)*t.scale) })
		c.explain(c.stroke(heavy), "limit: size at most "+c.p.Length(l))
	}
	out := 0
	for i, v := range list.At {
		x, y := t.at(float64(v.X), float64(v.Y))
		class := solid
		if list.Limit.Given && v.Size() > list.Limit.Value {
			class, out = hollow, out+1
		}
		c.titled("part", fmt.Sprintf("part %d: %s", i+1, c.p.offset(v)), func() { c.circle(class, x, y, 2.6) })
	}
	c.explain(func(x, y float64) { c.circle(solid, x, y, 2.6) }, count(len(list.At))+" parts")
	if out > 0 {
		c.explain(func(x, y float64) { c.circle(hollow, x, y, 2.6) }, count(out)+" of them beyond the limit")
	}
	x, y := t.at(float64(list.Mean.X), float64(list.Mean.Y))
	c.show("mean", "mean of all", x, y, func(x, y float64) { c.cross(accent, x, y, 6) }, "mean of all")
	if list.Region > 0 {
		c.titled("region", "95 % region of the mean", func() { c.circle(dash, x, y, float64(list.Region)*t.scale) })
		c.explain(c.stroke(dash), "95 % region of the mean of all such parts, radius "+c.p.Length(list.Region))
	}
}
