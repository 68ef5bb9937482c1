package form

import (
	"fmt"
	"html"
	"math"
	"strings"
	"unicode/utf8"

	"example.com/borestack/examples/bench/internal/draft"
)

// The sketch is as wide as a telephone's page, so that its texts stay as large as the page's.
const (
	sketchWide = 360.0
	sketchEdge = 14.0
	sketchHigh = 150.0 // of the tallest part
	textHigh   = 14.0
	textWide   = 7.2 // of a character, at most
)

// extent is where a part lies, in the record's unit: its faces or what there is of them, and how wide it is.
type extent struct {
	at, name       string
	lo, hi, across float64
	from           float64 // of its own z = 0 in the stack
	known          bool
}

// extents lays the parts one behind the other. What is not said yet is drawn as it might be, and dashed.
func extents(d *draft.Draft) []extent {
	var out []extent
	usual := 100.0
	for i := range d.Count("/parts") {
		for _, side := range []string{"front", "rear"} {
			if v, ok := d.Number(fmt.Sprintf("/parts/%d/%s/diameter", i, side)); ok && v > 0 {
				usual = v
			}
		}
	}
	next := 0.0 // where the next part's front face meets
	for i := range d.Count("/parts") {
		e := extentOf(d, fmt.Sprintf("/parts/%d", i), usual)
		front, hasFront := faceZ(d, e.at+"/front")
		rear, hasRear := faceZ(d, e.at+"/rear")
		if hasFront {
			e.from = next - front
		} else {
			e.from = next - e.lo
		}
		next = e.from + e.hi
		if hasRear {
			next = e.from + rear
		}
		out = append(out, e)
	}
	return out
}

// faceZ is where a face meets its part's axis.
func faceZ(d *draft.Draft, at string) (z float64, ok bool) {
	if !d.Has(at) {
		return 0, false
	}
	if v, ok := d.Number(at + "/z"); ok {
		return v, true
	}
	var sum, n float64
	for k := range d.Count(at + "/thickness/readings") {
		if v, ok := d.Number(fmt.Sprintf("%s/thickness/readings/%d", at, k)); ok {
			sum += v
			n++
		}
	}
	if n > 0 {
		return sum / n * inRecord(d, at+"/thickness"), true
	}
	return 0, strings.HasSuffix(at, "/front")
}

// inRecord is the unit of a round in that of the record.
func inRecord(d *draft.Draft, round string) float64 {
	size := map[string]float64{"mm": 1, "um": 1e-3, "m": 1e3, "in": 25.4, "thou": 0.0254}
	own, all := size[d.UnitOf(round+"/closing")], size[d.Text("/units/length")]
	if own == 0 || all == 0 {
		return 1
	}
	return own / all
}

func extentOf(d *draft.Draft, at string, usual float64) extent {
	e := extent{at: at, name: d.Text(at + "/name"), lo: math.Inf(1), hi: math.Inf(-1), across: 0}
	reach := func(z float64) { e.lo, e.hi = min(e.lo, z), max(e.hi, z) }
	faces := 0
	for _, side := range []string{"/front", "/rear"} {
		if z, ok := faceZ(d, at+side); ok {
			reach(z)
			faces++
		}
		if v, ok := d.Number(at + side + "/diameter"); ok {
			e.across = max(e.across, v)
		}
	}
	if faces < 2 {
		for k := range d.Count(at + "/bores") {
			if z, ok := boreZ(d, fmt.Sprintf("%s/bores/%d", at, k)); ok {
				reach(z - 0.05*usual)
				reach(z + 0.05*usual)
			}
		}
	}
	if e.known = e.hi > e.lo; !e.known {
		if e.hi < e.lo {
			e.lo, e.hi = 0, 0
		}
		e.hi = e.lo + 0.3*usual
	}
	if e.across <= 0 {
		e.across, e.known = usual, false
	}
	return e
}

func boreZ(d *draft.Draft, at string) (float64, bool) {
	if v, ok := d.Number(at + "/z"); ok {
		return v, true
	}
	return d.Number(at + "/centre/2")
}

// label is a text that wants to stand at x.
type label struct {
	x    float64
	text string
}

// rows puts labels in as few rows as they need without touching, and returns the height that they take.
func rows(b *strings.Builder, class string, list []label, y, step float64) float64 {
	var ends []float64
	for _, l := range list {
		wide := float64(utf8.RuneCountInString(l.text)) * textWide
		x := math.Min(math.Max(l.x-wide/2, 2), math.Max(2, sketchWide-2-wide))
		row := 0
		for row < len(ends) && x < ends[row]+6 {
			row++
		}
		if row == len(ends) {
			ends = append(ends, 0)
		}
		ends[row] = x + wide
		fmt.Fprintf(b, `<text class="%s" x="%.1f" y="%.1f">%s</text>`, class, x, y+step*float64(row), html.EscapeString(l.text))
	}
	return math.Abs(step) * float64(len(ends))
}

// shorten keeps a label from being wider than the sketch.
func shorten(s string) string {
	const most = 28
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// sketch is the box from the side as it was entered so far, front to the left: parts between their faces, bores, pilots, and what runs in them. It is a picture of the entries and works nothing out.
func sketch(d *draft.Draft) string {
	list := extents(d)
	if len(list) == 0 {
		return ""
	}
	lo, hi, across := math.Inf(1), math.Inf(-1), 0.0
	for _, e := range list {
		lo, hi, across = min(lo, e.from+e.lo), max(hi, e.from+e.hi), max(across, e.across)
	}
	scale := min((sketchWide-2*sketchEdge)/(hi-lo), sketchHigh/across)
	if !(scale > 0) || math.IsInf(scale, 0) {
		return ""
	}
	left := (sketchWide - (hi-lo)*scale) / 2
	x := func(z float64) float64 { return left + (z-lo)*scale }
	carried := map[string]bool{}
	for i := range d.Count("/shafts") {
		for k := range d.Count(fmt.Sprintf("/shafts/%d/supports", i)) {
			carried[d.Text(fmt.Sprintf("/shafts/%d/supports/%d/bore", i, k))] = true
		}
	}
	var body, above, below strings.Builder
	var bores, names []label
	mid := across * scale / 2
	for i, e := range list {
		high := e.across * scale
		class := "sk-part"
		if !e.known {
			class += " sk-guess"
		}
		from, to := x(e.from+e.lo), x(e.from+e.hi)
		fmt.Fprintf(&body, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, class, from, mid-high/2, max(to-from, 1.5), high)
		pilots(&body, d, e, x, mid, scale)
		name := e.name
		if name == "" {
			name = fmt.Sprintf("part %d", i+1)
		}
		if d.Text(e.at+"/turned") == "true" {
			name += ", turned"
		}
		names = append(names, label{(from + to) / 2, shorten(name)})
		for k := range d.Count(e.at + "/bores") {
			at := fmt.Sprintf("%s/bores/%d", e.at, k)
			z, ok := boreZ(d, at)
			if !ok {
				continue
			}
			class := "sk-bore"
			if carried[e.name+"/"+d.Text(at+"/name")] {
				class += " sk-carries"
			}
			fmt.Fprintf(&body, `<circle class="%s" cx="%.1f" cy="%.1f" r="4.5"/>`, class, x(e.from+z), mid)
			bores = append(bores, label{x(e.from + z), shorten(d.Text(at + "/name"))})
		}
	}
	over := rows(&above, "sk-text", bores, -6, -textHigh) + 6
	under := rows(&below, "sk-text sk-name", names, 2*mid+textHigh+2, textHigh) + 8
	return fmt.Sprintf(`<svg viewBox="0 %.1f %g %.1f" role="img" aria-label="The box from the side as entered, front to the left: %s"><path class="sk-axis" d="M0 %.1f H%g"/>%s%s%s</svg>`,
		-over-2, sketchWide, over+2*mid+under+4, html.EscapeString(spokenNames(names)), mid, sketchWide, body.String(), above.String(), below.String())
}

func spokenNames(list []label) string {
	var out []string
	for _, l := range list {
		out = append(out, l.text)
	}
	return strings.Join(out, ", ")
}

// pilots marks a part's registers: a step outward on a spigot, inward on a bore.
func pilots(b *strings.Builder, d *draft.Draft, e extent, x func(float64) float64, mid, scale float64) {
	for side, out := range map[string]float64{"/front": -1, "/rear": 1} {
		size, ok := d.Number(e.at + side + "/pilot/diameter")
		z, placed := faceZ(d, e.at+side)
		if !ok || !placed || size <= 0 {
			continue
		}
		if d.Text(e.at+side+"/pilot/kind") == "bore" {
			out = -out
		}
		at := x(e.from + z)
		for _, y := range []float64{mid - size*scale/2, mid + size*scale/2} {
			fmt.Fprintf(b, `<path class="sk-pilot" d="M%.1f %.1f H%.1f"/>`, at, y, at+5*out)
		}
	}
}
