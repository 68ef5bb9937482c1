package draw

// Extent is the box that a text is reckoned to take: x0, y0, x1, y1.
func Extent(s string, x, y, size float64, at string, bold bool) [4]float64 {
	b, _ := extent(s, x, y, size, anchor(at), bold)
	return [4]float64{b.x0, b.y0, b.x1, b.y1}
}

// TextWidth is the reckoned width of a text, and whether it needs no holding to it.
func TextWidth(s string, size float64, bold bool) (float64, bool) { return textWidth(s, size, bold) }

// CSS is the style sheet of a picture.
func CSS(id string) string { return css(id) }

// RoundDown and FineDown are the round scales.
var (
	RoundDown = roundDown
	FineDown  = fineDown
	Ticks     = ticks
)
