package paper

import (
	"math"
	"strings"
	"unicode/utf8"

	"example.com/borestack/tolerance"
)

// Size of the clock picture in characters: a character is about twice as high as wide.
const (
	dialRows    = 7
	dialColumns = 15
)

// heads are arrow heads, clockwise from 12 o'clock.
const heads = "↑↗→↘↓↙←↖"

// dialFace is a clock with an arrow, in characters, that prints on anything. The zero value is blank.
type dialFace [dialRows][dialColumns]rune

// newFace draws the hours; crossed has 3 and 9 change places, as on a part that was turned over.
func newFace(crossed bool) *dialFace {
	f := &dialFace{}
	for r := range f {
		for c := range f[r] {
			f[r][c] = ' '
		}
	}
	right, left := '3', '9'
	if crossed {
		right, left = left, right
	}
	f[0][6], f[0][7] = '1', '2'
	f[dialRows-1][7] = '6'
	f[3][dialColumns-1], f[3][0] = right, left
	f[3][7] = 'o'
	for _, row := range []int{0, dialRows - 1} {
		f[row][3], f[row][dialColumns-4] = '.', '.'
	}
	for _, row := range []int{1, dialRows - 2} {
		f[row][1], f[row][dialColumns-2] = '.', '.'
	}
	return f
}

// put sets a character in a direction, at a share of the rim's radius.
func (f *dialFace) put(clock tolerance.Angle, share float64, r rune) {
	sn, cs := math.Sincos(float64(clock))
	row, col := 3-int(math.Round(3*share*cs)), 7+int(math.Round(7*share*sn))
	if f[row][col] == ' ' || f[row][col] == '.' {
		f[row][col] = r
	}
}

// arrow points from the middle in a direction.
func (f *dialFace) arrow(clock tolerance.Angle) *dialFace {
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
	face    *dialFace
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
	width := dialColumns
	for _, c := range clocks {
		width = max(width, utf8.RuneCountInString(c.caption))
	}
	rows := make([]string, dialRows+1)
	for _, c := range clocks {
		for r := range rows {
			line := c.caption
			if r < dialRows {
				line = string(c.face[r][:])
			}
			pad := width - utf8.RuneCountInString(line)
			rows[r] += strings.Repeat(" ", pad/2) + line + strings.Repeat(" ", pad-pad/2+gap)
		}
	}
	s.Drawing(rows)
}
