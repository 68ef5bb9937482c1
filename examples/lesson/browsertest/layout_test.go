package browsertest

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// overlapScript lists elements with text of their own, and controls, that cover each other without one holding the other.
const overlapScript = `(() => {
	const list = [...document.querySelectorAll('h1, h2, h3, p, button, input, select, dt, dd, figcaption, legend, output, .scroll, .fits, th, td, #sketch, #dial')].filter((e) => e.getClientRects().length && !e.closest('.unseen, #verdict, details:not([open]) pre') && e.textContent.trim() + e.tagName !== 'P');
	const bad = [];
	list.forEach((a, i) => list.slice(i + 1).forEach((b) => {
		if (a.contains(b) || b.contains(a)) return;
		const p = a.getBoundingClientRect(), q = b.getBoundingClientRect();
		if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 2 && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 2) bad.push(a.outerHTML.slice(0, 60) + ' and ' + b.outerHTML.slice(0, 60));
	}));
	return bad;
})()`

func TestLayout(t *testing.T) {
	for _, c := range []struct {
		name          string
		width, height int64
		before        []chromedp.Action
	}{
		{"360", 360, 740, nil}, {"800", 800, 1100, nil}, {"1200", 1200, 900, nil}, {"1600", 1600, 1000, nil}, {"1600-dark", 1600, 1000, []chromedp.Action{dark()}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := open(t, c.width, c.height, c.before...)
			b.run(chromedp.Evaluate(`change({wedge: 0.12, wedgeClock: 30, offset: 0.03, offsetClock: 120, pilot: 0.1, bow: 0.03}); move('ways', {off: 0.1}); move('lot', {alike: 0.6}); move('maker', {wedge: 0.03}); document.querySelector('#maker-figure details').open = true`, nil))
			b.rest()
			for _, unit := range []string{"mm", "in"} {
				b.run(chromedp.Evaluate(`document.querySelector('[name=unit][value=`+unit+`]').click()`, nil))
				b.rest()
				if wide := eval[int](b, `document.documentElement.scrollWidth`); int64(wide) > c.width {
					t.Errorf("%s: the page is %d wide", unit, wide)
				}
				for _, bad := range eval[[]string](b, overlapScript) {
					t.Errorf("%s: %s lie on each other", unit, bad)
				}
				b.shot("layout-" + c.name + "-" + unit)
			}
		})
	}
}

// On paper every step and exercise is there, and no control; nothing is wider than the sheet.
func TestLayout_print(t *testing.T) {
	b := open(t, 680, 900, dark())
	b.run(chromedp.Evaluate(`dispatchEvent(new Event('beforeprint'))`, nil), emulation.SetEmulatedMedia().WithMedia("print"))
	b.rest()
	if shown := eval[int](b, `[...document.querySelectorAll('button, select, [type=range]')].filter((e) => e.getClientRects().length).length`); shown > 0 {
		t.Errorf("%d controls are printed", shown)
	}
	if steps := eval[int](b, `[...document.querySelectorAll('#all-steps > li')].filter((e) => e.getClientRects().length).length`); steps != len(byKeys) {
		t.Errorf("%d steps are printed", steps)
	}
	if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > 680 {
		t.Errorf("the print is %d wide on a sheet of 680", wide)
	}
	if paper := eval[string](b, `getComputedStyle(document.body).backgroundColor`); paper != "rgb(255, 255, 255)" {
		t.Errorf("it is printed on %s", paper)
	}
	for _, bad := range eval[[]string](b, overlapScript) {
		t.Errorf("%s lie on each other", bad)
	}
	b.run(emulation.SetEmulatedMedia(), chromedp.ActionFunc(func(ctx context.Context) error {
		pdf, _, err := page.PrintToPDF().WithPreferCSSPageSize(true).WithPrintBackground(true).Do(ctx)
		if err != nil {
			return err
		}
		if !bytes.HasPrefix(pdf, []byte("%PDF")) {
			return fmt.Errorf("%d bytes that are no PDF", len(pdf))
		}
		if dir := os.Getenv("LESSON_SHOTS"); dir != "" {
			return os.WriteFile(filepath.Join(dir, "print.pdf"), pdf, 0o644)
		}
		return nil
	}))
}
