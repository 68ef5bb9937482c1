package draw

import "strings"

// asciiWidths are the advances of " " to "~" in thousandths of the type size: of each character the wider of DejaVu Sans 2.37 and Liberation Sans 2.1 (which has the widths of the other usual sans serif faces), so that whichever of the picture's typefaces a reader has, no text is wider than reckoned.
//
// Source: horizontal advances (hmtx) of the two open typefaces.
var asciiWidths = [...]uint16{
	318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337,
	637, 637, 637, 637, 637, 637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 557,
	1016, 685, 687, 723, 771, 667, 611, 778, 752, 295, 500, 667, 558, 863, 749, 788,
	667, 788, 723, 667, 611, 732, 685, 989, 686, 667, 686, 391, 337, 391, 838, 557,
	500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612,
	635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
}

// boldWider bounds how much wider a bold character is ("I" of DejaVu Sans Bold, 1.265).
const boldWider = 1.27

// advance is the advance of r in thousandths of the type size; exact is false where it is only typical.
func advance(r rune) (w float64, exact bool) {
	switch {
	case r >= ' ' && r <= '~':
		return float64(asciiWidths[r-' ']), true
	case r == '…':
		return 1000, true
	case r == '°', r == '–', r == '·':
		return 557, true
	case r == '×', r == '±', r == '≤', r == '≥':
		return 838, true
	case r == 'µ', r == 'λ':
		return 637, true
	case r >= 0xA0 && r <= 0xFF:
		return 1000, true
	case r < 0x0E00:
		return 750, false
	}
	return 1000, false
}

// textWidth is how wide s is at a type size, in user units; exact is false where a character's width depends on typefaces that are not in the table, and the text must be held to that width.
func textWidth(s string, size float64, bold bool) (w float64, exact bool) {
	exact = true
	for _, r := range s {
		a, ok := advance(r)
		w += a
		exact = exact && ok
	}
	w *= size / 1000
	if bold {
		w *= boldWider
	}
	return w, exact
}

// cut shortens s to a width, with "…" for what is left out.
func cut(s string, size, width float64) string {
	if w, _ := textWidth(s, size, false); w <= width {
		return s
	}
	r := []rune(s)
	for n := len(r) - 1; n > 0; n-- {
		t := strings.TrimRight(string(r[:n]), " ") + "…"
		if w, _ := textWidth(t, size, false); w <= width {
			return t
		}
	}
	return ""
}

// wrap breaks s into lines of at most a width, at spaces; a longer word is cut.
func wrap(s string, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		word = cut(word, size, width)
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if w, _ := textWidth(longer, size, false); w <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
