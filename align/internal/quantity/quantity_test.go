package quantity_test

import (
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/tolerance"
)

// Every quantity has one entry, that no other is said like, and its word in a record leads back to it.
func TestOf_everyQuantity(t *testing.T) {
	said, words := map[string]bool{}, 0
	for q := align.Margin; q <= align.AssemblyUse; q++ {
		e := quantity.Of(q)
		if e.What != q || e.Name == "" || said[e.Name] {
			t.Errorf("quantity %d: %+v", q, e)
		}
		said[e.Name] = true
		if e.Word == "" {
			continue
		}
		words++
		if back, ok := quantity.ByWord(e.Word); !ok || back.What != q {
			t.Errorf("%q leads to %d, want %d", e.Word, back.What, q)
		}
	}
	if len(quantity.Words()) != words {
		t.Errorf("%d words of %d quantities", len(quantity.Words()), words)
	}
	for _, q := range []align.Quantity{0, align.AssemblyUse + 1} {
		if e := quantity.Of(q); e.Name != "" || e.Word != "" {
			t.Errorf("no such quantity: %+v", e)
		}
	}
	if _, ok := quantity.ByWord(""); ok {
		t.Error("the components, which have no word, are found by none")
	}
}

// Sizes are lengths of vectors whose components are measured alike, on the same thing.
func TestOf_sizes(t *testing.T) {
	for q := align.Margin; q <= align.AssemblyUse; q++ {
		e := quantity.Of(q)
		if e.Size() != (e.Scale > 0) {
			t.Errorf("%s: components %v, scale %v", e.Name, e.Components, e.Scale)
		}
		for _, c := range e.Components {
			if of := quantity.Of(c); e.Size() && (of.Measure != e.Measure || of.Thing != e.Thing || of.Size()) {
				t.Errorf("%s: component %s", e.Name, of.Name)
			}
		}
	}
	// Source: ISO 1101, run-out: the total reading over a turn is twice the distance of the axes.
	if e := quantity.Of(align.TIRSize); e.Scale != 2 || e.Components != quantity.Of(align.OffsetSize).Components {
		t.Errorf("TIR: %+v", e)
	}
}

// Source: hand calculation: an inch is 25.4 mm, a degree π/180.
func TestMeasure_units(t *testing.T) {
	for _, c := range []struct {
		m            quantity.Measure
		label        string
		size, record float64
	}{
		{quantity.Length, "in", 25.4, 25.4},
		{quantity.Share, "%", 0.01, 1},
		{quantity.Slope, "mrad", 0.001, 1},
		{quantity.Turn, "°", math.Pi / 180, math.Pi / 180},
		{quantity.Force, "N", 1, 1},
		{quantity.YesNo, "", 0, 1},
	} {
		label, size := c.m.Unit(tolerance.Inches)
		if label != c.label || size != c.size || c.m.InRecord(tolerance.Inches) != c.record {
			t.Errorf("measure %d: %q, %v, %v in a record", c.m, label, size, c.m.InRecord(tolerance.Inches))
		}
	}
}

func TestSay(t *testing.T) {
	quoted := func(s string) string { return "<" + s + ">" }
	for _, c := range []struct {
		o    align.Output
		want string
	}{
		{align.Output{What: align.Margin, From: "line"}, "margin of the shaft line"},
		{align.Output{What: align.TIRSize, Of: "tail/bush", From: "line"}, "TIR of <tail/bush> from <line>"},
		{align.Output{What: align.TiltY, Of: "tail/bush"}, "tilt upwards of <tail/bush>"},
		{align.Output{What: align.GapSize, Of: "case|tail", From: "line"}, "greatest gap at <case|tail>"},
	} {
		if got := quantity.Say(c.o, quoted); got != c.want {
			t.Errorf("%+v: %q, want %q", c.o, got, c.want)
		}
	}
}
