package paper

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/borestack/tolerance"
)

// heads are arrow heads, clockwise from 12 o'clock.
const heads = "↑↗→↘↓↙←↖"

// dialFace is a clock with an arrow, in characters, that prints on anything: a character is about twice as high as wide.
type dialFace [7][]rune

// newFace draws the hours; crossed has 3 and 9 change places, as on a part that was turned over.
func newFace(crossed bool) (f dialFace) {
	for r, row := range []string{
		"   .  12   .   ",
		" .           . ",
		"               ",
		"9      o      3",
		"               ",
		" .           . ",
		"   .   6   .   ",
	} {
		f[r] = []rune(row)
		if crossed && r == 3 {
			slices.Reverse(f[r])
		}
	}
	return f
}

// put sets a character in a direction, at a share of the rim's radius.
func (f dialFace) put(clock tolerance.Angle, share float64, r rune) {
	sn, cs := math.Sincos(float64(clock))
	row, col := 3-int(math.Round(3*share*cs)), 7+int(math.Round(7*share*sn))
	if f[row][col] == ' ' || f[row][col] == '.' {
		f[row][col] = r
	}
}

// arrow points from the middle in a direction.
func (f dialFace) arrow(clock tolerance.Angle) dialFace {
	head := []rune(heads)
	eighth := int(math.Round(clock.Normalized().Degrees()/45)) % len(head)
	for _, share := range []float64{0.25, 0.45} {
		f.put(clock, share, '*')
	}
	f.put(clock, 0.7, head[eighth])
	return f
}

// Clock is a clock in characters with its caption.
type Clock struct {
	face    dialFace
	caption string
}

// Arrow is a clock whose arrow points in a direction.
func Arrow(caption string, at tolerance.Angle) Clock { return Clock{newFace(false).arrow(at), caption} }

// Crossed is a clock whose 3 and 9 o'clock have changed places, as on a part that was turned over; its arrow points to 12.
func Crossed(caption string) Clock { return Clock{newFace(true).arrow(0), caption} }

// Middle is a clock without an arrow.
func Middle(caption string) Clock { return Clock{newFace(false), caption} }

// Clocks adds clocks beside each other, each with its caption below.
func (s *Section) Clocks(clocks ...Clock) {
	const gap = 6
	width := len(newFace(false)[0])
	for _, c := range clocks {
		width = max(width, utf8.RuneCountInString(c.caption))
	}
	rows := make([]string, len(dialFace{})+1)
	for _, c := range clocks {
		for r := range rows {
			line := c.caption
			if r < len(c.face) {
				line = string(c.face[r])
			}
			pad := width - utf8.RuneCountInString(line)
			rows[r] += strings.Repeat(" ", pad/2) + line + strings.Repeat(" ", pad-pad/2+gap)
		}
	}
	s.Drawing(rows)
}
