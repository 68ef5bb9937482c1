package draw_test

import (
	"testing"

	"example.com/borestack/align/draw"
)

// No text comes out wider in the picture's typefaces than it is reckoned.
//
// Source: getComputedTextLength of Chromium 156 on Debian 12 at 100 units, DejaVu Sans 2.37 (the wider of the two) and Liberation Sans 2.1.
func TestTextWidth_coversTypefaces(t *testing.T) {
	for _, tt := range []struct {
		text                               string
		dejavu, liberation, bold, boldLibe float64
	}{
		{"crank carrier/pilot bush", 1164.8, 1011.5, 1326.9, 1111.5},
		{"offset 0.0123 mm at 4:30, TIR 0.025 mm (radial)", 2440.7, 2130.6, 2722.6, 2217.6},
		{"WAVE Mm IIII llll fff", 931.1, 840.8, 1075.5, 892.6},
		{`x y 65 % < > & @ {} ~ ^ | \`, 1429.8, 1144.4, 1524.6, 1181.7},
		{"12 o'clock up; ± 0.5 ° × … – Ø µ", 1620.1, 1413.9, 1760.8, 1468.4},
	} {
		for _, bold := range []bool{false, true} {
			got, exact := draw.TextWidth(tt.text, 100, bold)
			widest := max(tt.dejavu, tt.liberation)
			if bold {
				widest = max(tt.bold, tt.boldLibe)
			}
			// kerning may widen a pair; never a whole text by a thousandth
			if !exact || got < widest*.999 {
				t.Errorf("%q bold %v: reckoned %g, exact %v, is %g", tt.text, bold, got, exact, widest)
			}
			if got > 1.35*widest {
				t.Errorf("%q bold %v: reckoned %g, is %g: too wary to be useful", tt.text, bold, got, widest)
			}
		}
	}
	// Source: common practice, no published source (an ideograph is as wide as it is high)
	if w, exact := draw.TextWidth("軸受", 100, false); exact || w != 200 {
		t.Errorf("two ideographs: %g, exact %v: want them held to 200", w, exact)
	}
}
