package draw

import (
	"fmt"
	"io"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Case is one of the two boxes that [BeforeAfter] compares: a name for it, and its stack with its result.
type Case struct {
	Label    string
	Stack    align.Stack
	Assembly *align.Assembly
}

// The pens of the two boxes, kept apart by a shift that the notes state.
const apart = 4

// BeforeAfter draws two boxes, one before and one after a correction, on one scale in side and top view: before dashed with open marks, after in full. Each is drawn from its own main reference line. Below stand the offsets of both.
//
// Each assembly must be the result of its stack. It returns [ErrNothingToDraw] when a stack has no shafts, an error that wraps [fault.ErrConflict] when an assembly is not of its stack, or a fault of the options.
func BeforeAfter(w io.Writer, before, after Case, o Options) error {
	o, was, err := sceneOf("before and after", &before.Stack, before.Assembly, o)
	if err != nil {
		return fmt.Errorf("before: %w", err)
	}
	o, is, err := sceneOf("before and after", &after.Stack, after.Assembly, o)
	if err != nil {
		return fmt.Errorf("after: %w", err)
	}
	label := func(s, otherwise string) string {
		if s = spell.Name(s); s == "" {
			return otherwise
		}
		return s
	}
	one, two := label(before.Label, "before"), label(after.Label, "after")
	pens := [2]pen{
		{line: old, bar: old, end: thin, fill: hollow, tick: 4, shift: -apart, word: one + ": "},
		{line: accent, bar: ink, end: ink, fill: solid, tick: 4, shift: apart, word: two + ": "},
	}
	c := newCanvas(o, "Before and after", after.Assembly.Title)
	wasWords, _ := lineWords(c.p, before.Assembly)
	isWords, _ := lineWords(c.p, after.Assembly)
	lines := []string{"Before, " + one + ": " + wasWords, "After, " + two + ": " + isWords}
	c.head(append(lines, append(warnings(before.Assembly), warnings(after.Assembly)...)...)...)

	scenes := [2]*scene{was, is}
	f := newFrame(c, was, is)
	flags := supportFlags(f, is, labelled(len(is.supports)+len(is.pockets)))
	for _, q := range was.supports {
		if find(is, q.name) < 0 {
			flags = append(flags, flag{x: f.px(q.z), text: spell.Name(q.name) + " (before)"})
		}
	}
	c.flagsAbove(flags, c.w-margin)
	from := c.y
	for _, v := range [2]view{side, top} {
		foot := f.open(c, v)
		c.line(chain, f.x0, f.zero, f.x1, f.zero)
		for i, sc := range scenes {
			c.bars(f, sc, v, pens[i])
			c.shafts(f, sc, v, pens[i])
		}
		tags := []tag{
			{f.zero, "reference", c.stroke(chain)},
			{f.zero, "before", func(x, y float64) { c.line(old, x-10, y, x+10, y); c.circle(hollow, x, y, 3.3) }},
			{f.zero, "after", func(x, y float64) { c.line(accent, x-10, y, x+10, y); c.circle(solid, x, y, 3.3) }},
		}
		c.put(muted, f.x1+8, c.y-1, smallSize, start, v.title())
		c.y = max(foot, c.tags(tags, f.x1, c.y+4, foot))
		if v == side {
			c.line(faint, f.x0, c.y, f.x1, c.y)
		}
	}
	c.guides(flags, f, is, from, c.y)
	c.flagsBelow(jointFlags(f, is, after.Assembly, c.p), c.w-margin)
	c.scales(f)
	words := c.changeTable(before.Assembly, after.Assembly)
	shift := "Marks and bars of before stand a little left of their place along the shaft line, those of after a little right; lines of shafts are in place."
	origins := "before " + was.reference + ", after " + is.reference
	if was.reference == is.reference {
		origins = is.reference
	}
	c.notes("Lengths in "+o.Unit.String()+". Offsets are centre to centre, each from its own main reference: "+origins+".", viewWords, f.scaleWords()+". "+shift)
	c.describe(append(append([]string{viewWords}, lines...), append(words, f.scaleWords(), shift)...)...)
	return write(w, c)
}

// find is the index of a support in a scene, -1 when it is not there.
func find(sc *scene, bore string) int {
	for i := range sc.supports {
		if sc.supports[i].name == bore {
			return i
		}
	}
	return -1
}

// changeTable is the offsets of every support before and after, and by how much it moved; it returns them in words.
func (c *canvas) changeTable(before, after *align.Assembly) []string {
	n := func(s string) column { return column{title: s, right: true, most: 80} }
	cols := []column{{title: "support"}, n("offset before"), n("at"), n("offset after"), n("at"), n("moved by"), n("towards")}
	var cells [][]string
	var words []string
	was, shown := map[string]align.Vec2{}, map[string]bool{}
	for i := range before.Supports {
		was[before.Supports[i].Bore] = before.Supports[i].Offset
	}
	row := func(bore string, old, now tolerance.Optional[align.Vec2]) {
		r := []string{spell.Name(bore), "-", "-", "-", "-", "-", "-"}
		if v, ok := old.Get(); ok {
			r[1], r[2] = c.p.plain(sizeOf(v)), c.p.clock(v)
		}
		if v, ok := now.Get(); ok {
			r[3], r[4] = c.p.plain(sizeOf(v)), c.p.clock(v)
		}
		if old.Given && now.Given {
			d := align.Vec2{X: now.Value.X - old.Value.X, Y: now.Value.Y - old.Value.Y}
			r[5], r[6] = c.p.plain(sizeOf(d)), c.p.clock(d)
		}
		cells = append(cells, r)
		words = append(words, r[0]+": offset before "+r[1]+", after "+r[3]+" "+c.o.Unit.String())
	}
	for i := range after.Supports {
		b := &after.Supports[i]
		v, ok := was[b.Bore]
		row(b.Bore, tolerance.Optional[align.Vec2]{Value: v, Given: ok}, tolerance.Given(b.Offset))
		shown[b.Bore] = true
	}
	for i := range before.Supports {
		if b := &before.Supports[i]; !shown[b.Bore] {
			row(b.Bore, tolerance.Given(b.Offset), tolerance.Optional[align.Vec2]{})
		}
	}
	c.table(cols, cells)
	return words
}
