package browsertest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// dark asks the page for its dark colours.
func dark() chromedp.Action {
	return emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}})
}

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

func TestAccess_contrast(t *testing.T) {
	for name, before := range map[string][]chromedp.Action{"light": nil, "dark": {dark()}} {
		t.Run(name, func(t *testing.T) {
			b := open(t, 1600, 4000, before...)
			paper := eval[string](b, `getComputedStyle(document.body).backgroundColor`)
			if (paper == "rgb(255, 255, 255)") != (name == "light") {
				t.Errorf("the paper is %s", paper)
			}
			for _, step := range []string{`go(0)`, `go(3)`, `go(6)`, `change({dowels: 2, case: 80})`} { // every verdict
				b.run(chromedp.Evaluate(step, nil))
				b.rest()
				for _, bad := range eval[[]string](b, contrastScript) {
					t.Errorf("%s: %s", step, bad)
				}
			}
		})
	}
}

// Everything that can be worked has a name and a role, and nothing has the name of another.
func TestAccess_names(t *testing.T) {
	b := open(t, 1600, 4000)
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
	b.run(chromedp.ActionFunc(func(ctx context.Context) error {
		return chromedp.FromContext(ctx).Target.Execute(ctx, "Accessibility.getFullAXTree", nil, &tree)
	}))
	text := func(v any) string { s, _ := v.(string); return s }
	wants := map[string]int{"button": 0, "slider": 0, "radio": 0, "checkbox": 0, "textbox": 0, "spinbutton": 0, "combobox": 0, "region": 0, "image": 0, "heading": 0, "group": -1}
	seen := map[string]bool{}
	for _, n := range tree.Nodes {
		role, name := text(n.Role.Value), text(n.Name.Value)
		count, wanted := wants[role]
		if n.Ignored || !wanted {
			continue
		}
		wants[role]++
		if strings.TrimSpace(name) == "" && count >= 0 {
			t.Errorf("a %s has no name", role)
		}
		key := role + " " + name
		if seen[key] && role != "group" && role != "textbox" { // every answer is "Answer in mm"; its question describes it
			t.Errorf("two of the same name: %s", key)
		}
		seen[key] = true
	}
	for role, count := range wants {
		if count == 0 {
			t.Errorf("no %s is on the page", role)
		}
	}
	if missing := eval[int](b, `[...document.querySelectorAll('#tasks input')].filter((e) => !e.getAttribute('aria-describedby').split(' ').every((id) => document.getElementById(id))).length`); missing > 0 {
		t.Errorf("%d answers are not described by their questions", missing)
	}
}

// Headings go down one level at a time, and Tab goes the way the page is read: never to something that stands before in the document, and never to what cannot be seen.
func TestAccess_order(t *testing.T) {
	b := open(t, 800, 900)
	levels := eval[[]int](b, `[...document.querySelectorAll('h1, h2, h3, h4')].filter((e) => e.getClientRects().length).map((e) => Number(e.tagName[1]))`)
	for i, l := range levels {
		if (i == 0 && l != 1) || (i > 0 && l > levels[i-1]+1) {
			t.Errorf("heading %d has level %d in %v", i, l, levels)
		}
	}
	b.run(chromedp.Evaluate(`window.stops = []; addEventListener('focusin', (e) => stops.push(e.target))`, nil))
	for range 90 {
		b.keys("\t")
	}
	faults := eval[[]string](b, `stops.flatMap((e, i) => {
		const r = e.getBoundingClientRect(), out = [], next = stops[i + 1];
		if (!r.width || !r.height) out.push('not to be seen: ' + e.outerHTML.slice(0, 80));
		if (next && stops.indexOf(e) === i && stops.indexOf(next) === i + 1 && !(e.compareDocumentPosition(next) & Node.DOCUMENT_POSITION_FOLLOWING)) out.push('backwards to ' + next.outerHTML.slice(0, 80));
		return out;
	})`)
	for _, f := range faults {
		t.Error(f)
	}
	if reached := eval[int](b, `new Set(stops).size`); reached < 40 {
		t.Errorf("Tab reaches %d places", reached)
	}
	if trap := eval[bool](b, `stops.length > 3 && stops.at(-1) === stops.at(-2)`); trap {
		t.Error("Tab is caught")
	}
}

// What a finger must hit is at least 40 CSS pixels high, with its label.
func TestAccess_targets(t *testing.T) {
	b := open(t, 360, 740)
	small := eval[[]string](b, `[...document.querySelectorAll('button, select, input, .jump, [data-handle] .d-hit')].flatMap((e) => {
		const r = (e.matches('[type=radio], [type=checkbox]') ? e.closest('label') : e).getBoundingClientRect();
		return r.height && (r.height < 40 || r.width < 40) ? [e.outerHTML.slice(0, 60) + ': ' + Math.round(r.width) + ' x ' + Math.round(r.height)] : [];
	})`)
	for _, s := range small {
		t.Error(s)
	}
}

// The verdict is spoken once things come to rest, not at every frame.
func TestAccess_spoken(t *testing.T) {
	b := open(t, 800, 900)
	b.run(chromedp.Evaluate(`window.spokenTimes = 0; new MutationObserver(() => spokenTimes++).observe(document.querySelector('#spoken'), {childList: true, characterData: true, subtree: true})`, nil))
	b.slide("wedge", 30)
	b.rest()
	if n := eval[int](b, `spokenTimes`); n < 1 || n > 15 {
		t.Errorf("thirty steps of a slider are spoken %d times", n)
	}
	if want, got := b.text("#verdict strong"), b.text("#spoken"); !strings.HasPrefix(got, want+". ") {
		t.Errorf("the verdict is %q, spoken %q", want, fmt.Sprint(got))
	}
}
