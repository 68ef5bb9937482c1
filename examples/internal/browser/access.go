package browser

import (
	"context"
	"fmt"
	"strings"

	"github.com/chromedp/chromedp"
)

// contrastScript lists texts whose contrast with what is behind them is below 4.5 (3 for large type), by the formula of the web's accessibility guidelines. SVG text is held against the picture's own paper.
//
// Source: WCAG 2.2, success criterion 1.4.3 and the definitions of contrast ratio and relative luminance.
const contrastScript = `(() => {
	const parse = (c) => { const m = c.match(/[\d.]+/g).map(Number); return {r: m[0], g: m[1], b: m[2], a: m.length > 3 ? m[3] : 1}; };
	const lum = (c) => { const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(c.r) + 0.7152 * f(c.g) + 0.0722 * f(c.b); };
	const behind = (e) => {
		const svg = e.closest('svg'), paper = svg && svg.querySelector('[class$=-paper]');
		if (paper) return parse(getComputedStyle(paper).fill);
		for (; e; e = e.parentElement) { const c = parse(getComputedStyle(e).backgroundColor); if (c.a > 0.99) return c; }
		return {r: 255, g: 255, b: 255};
	};
	const bad = [];
	for (const e of document.querySelectorAll('body *')) {
		const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
		const style = getComputedStyle(e);
		if (!own || !e.getClientRects().length || e.closest('title, desc, noscript, script, style') || e.matches(':disabled, .unseen')) continue;
		const svg = e instanceof SVGElement;
		const a = lum(parse(svg ? style.fill : style.color)), b = lum(behind(e));
		const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
		const size = parseFloat(style.fontSize), large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
		if (ratio < (large ? 3 : 4.5)) bad.push(e.tagName + ' "' + e.textContent.trim().slice(0, 40) + '": ' + ratio.toFixed(2));
	}
	return bad;
})()`

// Contrast fails the test for every text that is hard to read.
func (b *Tab) Contrast(where string) {
	b.T.Helper()
	for _, bad := range Eval[[]string](b, contrastScript) {
		b.T.Errorf("%s: %s", where, bad)
	}
}

// overlapScript lists elements with text of their own, and controls, that cover each other without one holding the other; texts of one picture among them.
const overlapScript = `((selector, apart) => {
	const seen = (e) => e.getClientRects().length && !e.closest(apart) && (e.textContent.trim() || /INPUT|SELECT|BUTTON/.test(e.tagName));
	const rect = (e) => { const r = e.getBoundingClientRect(); return {e, l: r.left, r: r.right, t: r.top, b: r.bottom}; };
	const list = [...document.querySelectorAll(selector)].filter(seen).map(rect).sort((a, b) => a.t - b.t), bad = [];
	list.forEach((p, i) => {
		for (let k = i + 1; k < list.length && list[k].t < p.b - 2; k++) {
			const q = list[k];
			if (p.e.contains(q.e) || q.e.contains(p.e)) continue;
			if (Math.min(p.r, q.r) - Math.max(p.l, q.l) > 2 && Math.min(p.b, q.b) - Math.max(p.t, q.t) > 2) bad.push(p.e.outerHTML.slice(0, 70) + ' and ' + q.e.outerHTML.slice(0, 70));
		}
	});
	return bad;
})`

// Overlap fails the test for every two of the elements that lie on each other, but for those in apart.
func (b *Tab) Overlap(where, selector, apart string) {
	b.T.Helper()
	for _, bad := range Eval[[]string](b, fmt.Sprintf("%s(%q, %q)", overlapScript, selector, apart)) {
		b.T.Errorf("%s: %s lie on each other", where, bad)
	}
}

// Narrow fails the test when the page is wider than its window.
func (b *Tab) Narrow(where string, width int64) {
	b.T.Helper()
	if wide := Eval[int64](b, `document.documentElement.scrollWidth`); wide > width {
		b.T.Errorf("%s: the page is %d wide in a window of %d: %s", where, wide, width,
			Eval[string](b, fmt.Sprintf(`[...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect().right > %d + 1).map((e) => e.outerHTML.slice(0, 60)).slice(0, 3).join(' ')`, width)))
	}
}

// Named is something of the accessibility tree: its role and its name.
type Named struct{ Role, Name string }

// Tree is what a screen reader is told of the page.
func (b *Tab) Tree() (out []Named) {
	b.T.Helper()
	// read as plain JSON: the driver's own type refuses property names that it does not know yet
	var tree struct {
		Nodes []struct {
			Ignored bool `json:"ignored"`
			Role    struct {
				Value any `json:"value"`
			} `json:"role"`
			Name struct {
				Value any `json:"value"`
			} `json:"name"`
		} `json:"nodes"`
	}
	b.Run(chromedp.ActionFunc(func(ctx context.Context) error {
		return chromedp.FromContext(ctx).Target.Execute(ctx, "Accessibility.getFullAXTree", nil, &tree)
	}))
	text := func(v any) string { s, _ := v.(string); return s }
	for _, n := range tree.Nodes {
		if !n.Ignored {
			out = append(out, Named{text(n.Role.Value), strings.TrimSpace(text(n.Name.Value))})
		}
	}
	return out
}

// Targets fails the test for everything that a finger must hit and that is less than that many CSS pixels high or wide, with its label.
func (b *Tab) Targets(least int, selector string) {
	b.T.Helper()
	for _, small := range Eval[[]string](b, fmt.Sprintf(`[...document.querySelectorAll(%q)].flatMap((e) => {
		const r = (e.matches('[type=radio], [type=checkbox]') ? e.closest('label') : e).getBoundingClientRect();
		return r.height && (r.height < %[2]d || r.width < %[2]d) ? [e.outerHTML.slice(0, 80) + ': ' + Math.round(r.width) + ' x ' + Math.round(r.height)] : [];
	})`, selector, least)) {
		b.T.Error(small)
	}
}

// Order fails the test where headings skip a level, where Tab goes backwards or to what cannot be seen, or where it is caught; tabs is how often it is pressed, and least how many places it must reach.
func (b *Tab) Order(tabs, least int) {
	b.T.Helper()
	levels := Eval[[]int](b, `[...document.querySelectorAll('h1, h2, h3, h4, h5')].filter((e) => e.getClientRects().length).map((e) => Number(e.tagName[1]))`)
	for i, l := range levels {
		if (i == 0 && l != 1) || (i > 0 && l > levels[i-1]+1) {
			b.T.Errorf("heading %d has level %d in %v", i, l, levels)
		}
	}
	b.Do(`window.stops = []; addEventListener('focusin', (e) => stops.push(e.target))`)
	for range tabs {
		b.Keys("\t")
	}
	for _, f := range Eval[[]string](b, `stops.flatMap((e, i) => {
		const r = e.getBoundingClientRect(), out = [], next = stops[i + 1];
		if (!r.width || !r.height) out.push('not to be seen: ' + e.outerHTML.slice(0, 80));
		if (next && stops.indexOf(e) === i && stops.indexOf(next) === i + 1 && !(e.compareDocumentPosition(next) & Node.DOCUMENT_POSITION_FOLLOWING)) out.push('backwards to ' + next.outerHTML.slice(0, 80));
		return out;
	})`) {
		b.T.Error(f)
	}
	if reached := Eval[int](b, `new Set(stops).size`); reached < least {
		b.T.Errorf("Tab reaches %d places", reached)
	}
	if Eval[bool](b, `stops.length > 3 && stops.at(-1) === stops.at(-2)`) {
		b.T.Error("Tab is caught")
	}
}
