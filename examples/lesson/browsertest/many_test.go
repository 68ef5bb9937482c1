package browsertest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

// The whole page draws without being scrolled to: every picture is there once the page has come to rest.
func TestMany_drawnUnseen(t *testing.T) {
	b := open(t, 390, 844)
	if blank := browser.Eval[string](b.Tab, `[...document.querySelectorAll('[data-picture]')].filter((e) => !e.querySelector('svg')).map((e) => e.dataset.picture).join()`); blank != "" {
		t.Errorf("not drawn before they are scrolled to: %s", blank)
	}
	if y := browser.Eval[float64](b.Tab, `scrollY`); y != 0 {
		t.Errorf("the page scrolled itself to %g", y)
	}
	stale := browser.Eval[string](b.Tab, `document.querySelector('[data-picture=line]').innerHTML`)
	b.Run(chromedp.Evaluate(`change({wedge: 0.15})`, nil))
	b.rest()
	if browser.Eval[string](b.Tab, `document.querySelector('[data-picture=line]').innerHTML`) == stale {
		t.Error("a picture off the screen was not drawn anew")
	}
}

// handle is where the fixture's wedge stands on the screen, and how many pixels are a unit of its picture.
func (b *tab) handle() (x, y, unit float64) {
	b.T.Helper()
	p := browser.Eval[[]float64](b.Tab, `(() => { document.querySelector('.ch-handle').scrollIntoView({block: 'center'}); const r = document.querySelector('.ch-handle .d-hit').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2, r.width / 52]; })()`)
	return p[0], p[1], p[2]
}

// The fixture's wedge is dragged with the mouse: the clock follows, and the batch names the fixture.
func TestMany_dragFixture(t *testing.T) {
	b := open(t, 1200, 1000)
	if s := b.Text("#maker-words"); !strings.Contains(s, "nothing in common; there is nothing to adjust. From scatter") {
		t.Errorf("a true fixture is told to do: %s", s)
	}
	x, y, unit := b.handle()
	b.mouse(input.MousePressed, x, y)
	for i := 0.0; i <= 40; i += 4 {
		b.mouse(input.MouseMoved, x+i*unit, y)
	}
	b.mouse(input.MouseReleased, x+40*unit, y)
	b.rest()
	if got := browser.Eval[string](b.Tab, `many.maker.wedge.toFixed(3) + ' ' + many.maker.clock`); got != "0.032 90" {
		t.Errorf("the fixture's wedge was drawn to %s, want 40 units of 1,250 to a millimetre, at 3 o'clock", got)
	}
	if got := browser.Eval[string](b.Tab, `document.querySelector('[data-many=maker][data-name=clock]').getAttribute('aria-valuetext')`); got != "3:00" {
		t.Errorf("the slider stands at %q", got)
	}
	s := b.Text("#maker-words")
	if !strings.Contains(s, "From the fixture: it keeps its place in the fixture") || !strings.Contains(s, "From scatter: the plates have nothing in common") {
		t.Errorf("the batches say: %s", s)
	}
	if sheet := b.Text("#maker-sheet"); !strings.Contains(strings.Join(strings.Fields(sheet), " "), "the fixture can explain it") {
		t.Errorf("the sheet says: %s", sheet)
	}
	b.mouse(input.MouseMoved, x, y) // no longer held
	if got := browser.Eval[float64](b.Tab, `many.maker.wedge`); got < 0.03 {
		t.Errorf("a handle that was let go followed the mouse to %g", got)
	}
	b.Run(chromedp.Evaluate(`document.querySelector('[name=lay][value=alike]').click()`, nil))
	b.rest()
	if s := b.Text("#maker-words"); !strings.Contains(s, "cannot be told") {
		t.Errorf("laid alike, the batch says: %s", s)
	}
	b.Shot("maker")
}

// A finger drags the fixture's wedge and does not scroll the page under it.
func TestMany_touch(t *testing.T) {
	b := open(t, 390, 844, emulation.SetTouchEmulationEnabled(true))
	x, y, unit := b.handle()
	point := func(x, y float64) []*input.TouchPoint { return []*input.TouchPoint{{X: x, Y: y}} }
	b.Run(input.DispatchTouchEvent(input.TouchStart, point(x, y)))
	for i := 4.0; i <= 60; i += 4 {
		b.Run(input.DispatchTouchEvent(input.TouchMove, point(x, y-i*unit)))
	}
	b.Run(input.DispatchTouchEvent(input.TouchEnd, []*input.TouchPoint{}))
	b.rest()
	if got := browser.Eval[float64](b.Tab, `many.maker.wedge`); got < 0.045 {
		t.Errorf("a finger drew the fixture's wedge to %g", got)
	}
}

// What is dragged changes the words, the picture and, of the chains, the table; a step that is set again begins anew.
func TestMany_sliders(t *testing.T) {
	b := open(t, 390, 844)
	for _, c := range []struct{ name, slider, to, want string }{
		{"ways", "off", "0.15", "0.150 mm"}, {"count", "doublings", "6", "6,400"}, {"lot", "alike", "0.8", "0.80"},
	} {
		words, picture := b.Text("#"+c.name+"-words"), b.Text("[data-picture="+c.name+"]")
		drawn := browser.Eval[string](b.Tab, `document.querySelector('[data-picture=`+c.name+`]').innerHTML`)
		table := b.Text("#ways-table")
		b.Run(chromedp.Evaluate(fmt.Sprintf(`(() => { const e = document.querySelector('[data-name=%s]'); e.value = %s; e.dispatchEvent(new Event('input')); })()`, c.slider, c.to), nil))
		b.rest()
		if b.Text("#"+c.name+"-words") == words || browser.Eval[string](b.Tab, `document.querySelector('[data-picture=`+c.name+`]').innerHTML`) == drawn {
			t.Errorf("%s: nothing moved: %s", c.name, picture)
		}
		if got := browser.Eval[string](b.Tab, `document.querySelector('[data-name=`+c.slider+`]').getAttribute('aria-valuetext')`); got != c.want {
			t.Errorf("%s: the slider says %q, want %q", c.name, got, c.want)
		}
		if moved := b.Text("#ways-table") != table; moved != (c.name == "ways") {
			t.Errorf("%s: the table of the chains moved: %v", c.name, moved)
		}
		if said := b.Text("#many-spoken"); said != b.Text("#"+c.name+"-words") {
			t.Errorf("%s: spoken is %q", c.name, said)
		}
	}
	b.Run(chromedp.Evaluate(`go(steps.findIndex((s) => s.about === 'count'))`, nil))
	b.rest()
	if got := browser.Eval[string](b.Tab, `JSON.stringify(many.count) + many.ways.off`); got != `{"doublings":2}0.15` {
		t.Errorf("the step's own picture is to begin anew, and no other: %s", got)
	}
}

// On a telephone nothing is cut off, in either unit and in the browser.Dark(), and no text of any picture is below 11 pixels.
func TestMany_telephone(t *testing.T) {
	for _, before := range [][]chromedp.Action{nil, {browser.Dark()}} {
		b := open(t, 390, 844, before...)
		b.Run(chromedp.Evaluate(`move('ways', {off: 0.2}); move('lot', {alike: -0.9}); move('count', {doublings: 8}); move('maker', {wedge: 0.05}); document.querySelector('#maker-figure details').open = true`, nil))
		b.rest()
		for _, unit := range []string{"mm", "in"} {
			b.Run(chromedp.Evaluate(`document.querySelector('[name=unit][value=`+unit+`]').click()`, nil))
			b.rest()
			if wide := browser.Eval[int](b.Tab, `document.documentElement.scrollWidth`); wide > 390 {
				t.Errorf("%s: the page is %d wide", unit, wide)
			}
			for _, bad := range browser.Eval[[]string](b.Tab, `[...document.querySelectorAll('.fits text, div.scroll, .scroll text, #sketch text, #many table, #many p')].flatMap((e) => {
				const r = e.getBoundingClientRect(), out = [], svg = e.closest('svg');
				if (!r.width) return [];
				const frame = svg ? svg.getBoundingClientRect() : {left: 0, right: innerWidth, top: -1e9, bottom: 1e9};
				if (r.left < frame.left - 1 || r.right > frame.right + 1 || r.top < frame.top - 1 || r.bottom > frame.bottom + 1) out.push('cut off');
				if (!svg && e.scrollWidth > e.clientWidth + 1 && e.clientWidth) out.push('wider than its box');
				if (svg && parseFloat(getComputedStyle(e).fontSize) * svg.getScreenCTM().a < 11) out.push('small');
				return out.map((s) => s + ': ' + e.textContent.slice(0, 60));
			})`) {
				t.Errorf("%s: %s", unit, bad)
			}
			for _, bad := range browser.Eval[[]string](b.Tab, `[...document.querySelectorAll('.fits svg')].flatMap((svg) => { const t = [...svg.querySelectorAll('text')]; return t.flatMap((a, i) => t.slice(i + 1).filter((c) => { const p = a.getBoundingClientRect(), q = c.getBoundingClientRect(); return Math.min(p.right, q.right) - Math.max(p.left, q.left) > 1 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 3; }).map((c) => a.textContent + ' and ' + c.textContent)); })`) {
				t.Errorf("%s: %s lie on each other", unit, bad)
			}
			b.Shot(fmt.Sprintf("telephone-%s-%d", unit, len(before)))
		}
	}
}
