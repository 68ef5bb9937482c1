package draw

import (
	"fmt"
	"strings"
)

// Classes of elements. Colour only repeats what dash, weight, shape and label say.
const (
	paper  = "paper"  // the picture's own background
	ink    = "ink"    // outlines
	thin   = "thin"   // secondary lines
	faint  = "faint"  // guides and grids
	dash   = "dash"   // secondary, dashed
	dots   = "dots"   // joints, ends of a range
	chain  = "chain"  // reference line: long, short
	heavy  = "heavy"  // limits
	accent = "accent" // the answer: straight shafts, wedge
	alarm  = "alarm"  // a shaft out of its room
	solid  = "solid"  // filled marks
	hollow = "hollow" // open marks
	mark   = "mark"   // filled marks of the answer
	pale   = "pale"   // fields
	bar    = "bar"    // bars
	hatch  = "hatch"  // bars outside a limit
	text   = "text"
	muted  = "muted"
	warn   = "warn" // text that must not be missed
	halo   = "halo" // text over lines
)

// look is a class's rules, light and dark. %[1]s is the prefix of ids.
type look struct{ class, light, dark string }

var looks = [...]look{
	{paper, "fill:#fff;stroke:none", "fill:#15181d;stroke:none"},
	{ink, "fill:none;stroke:#1b1f24;stroke-width:1.3", "stroke:#e6e9ed"},
	{thin, "fill:none;stroke:#59616c;stroke-width:.9", "stroke:#a5aebb"},
	{faint, "fill:none;stroke:#d3d8de;stroke-width:.7", "stroke:#363d47"},
	{dash, "fill:none;stroke:#59616c;stroke-width:1;stroke-dasharray:5 3", "stroke:#a5aebb"},
	{dots, "fill:none;stroke:#59616c;stroke-width:1.2;stroke-dasharray:1.2 3;stroke-linecap:round", "stroke:#a5aebb"},
	{chain, "fill:none;stroke:#59616c;stroke-width:.9;stroke-dasharray:12 3 2 3", "stroke:#a5aebb"},
	{heavy, "fill:none;stroke:#1b1f24;stroke-width:2.2;stroke-dasharray:8 4", "stroke:#e6e9ed"},
	{accent, "fill:none;stroke:#0a5fb4;stroke-width:2.2", "stroke:#74b6ff"},
	{alarm, "fill:none;stroke:#a51d24;stroke-width:3", "stroke:#ff9a94"},
	{solid, "fill:#1b1f24;stroke:none", "fill:#e6e9ed"},
	{hollow, "fill:#fff;stroke:#1b1f24;stroke-width:1.3", "fill:#15181d;stroke:#e6e9ed"},
	{mark, "fill:#0a5fb4;stroke:#fff;stroke-width:.8", "fill:#74b6ff;stroke:#15181d"},
	{pale, "fill:#edf0f4;stroke:none", "fill:#242a32"},
	{bar, "fill:#b9c6d4;stroke:#1b1f24;stroke-width:.6", "fill:#465463;stroke:#e6e9ed"},
	{hatch, "fill:url(#%[1]s-hatch);stroke:#1b1f24;stroke-width:.9", "stroke:#e6e9ed"},
	{text, "fill:#1b1f24;stroke:none", "fill:#e6e9ed"},
	{muted, "fill:#4a525d;stroke:none", "fill:#b3bcc8"},
	{warn, "fill:#a51d24;stroke:none", "fill:#ff9a94"},
	{halo, "fill:#1b1f24;stroke:#fff;stroke-width:3;stroke-linejoin:round;paint-order:stroke", "fill:#e6e9ed;stroke:#15181d"},
}

// typeface names the open typefaces whose widths metrics.go covers; the usual sans serif faces have the widths of the first.
const typeface = "'Liberation Sans','DejaVu Sans',sans-serif"

// css is the picture's style sheet: simple class selectors, which every viewer knows; dark on screens where the reader prefers it, light on paper always.
func css(id string) string {
	var light, dark strings.Builder
	for _, l := range looks {
		rule := l.light
		if strings.Contains(rule, "%") {
			rule = fmt.Sprintf(rule, id)
		}
		fmt.Fprintf(&light, ".%s-%s{%s}\n", id, l.class, rule)
		fmt.Fprintf(&dark, ".%s-%s{%s}\n", id, l.class, l.dark)
	}
	return light.String() + "@media screen and (prefers-color-scheme:dark){\n" + dark.String() + "}\n"
}
