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

	"example.com/borestack/examples/internal/browser"
)

// laid are the elements that must not lie on each other; what is sticky lies on others by design.
const (
	laid  = "h1, h2, h3, p, button, input, select, dt, dd, figcaption, legend, output, .scroll, .fits, th, td, #sketch, #dial"
	apart = ".unseen, #verdict, details:not([open]) pre"
)

func TestLayout(t *testing.T) {
	for _, c := range []struct {
		name          string
		width, height int64
		before        []chromedp.Action
	}{
		{"360", 360, 740, nil}, {"800", 800, 1100, nil}, {"1200", 1200, 900, nil}, {"1600", 1600, 1000, nil}, {"1600-dark", 1600, 1000, []chromedp.Action{browser.Dark()}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := open(t, c.width, c.height, c.before...)
			b.Run(chromedp.Evaluate(`change({wedge: 0.12, wedgeClock: 30, offset: 0.03, offsetClock: 120, pilot: 0.1, bow: 0.03}); move('ways', {off: 0.1}); move('lot', {alike: 0.6}); move('maker', {wedge: 0.03}); document.querySelector('#maker-figure details').open = true`, nil))
			b.rest()
			for _, unit := range []string{"mm", "in"} {
				b.Run(chromedp.Evaluate(`document.querySelector('[name=unit][value=`+unit+`]').click()`, nil))
				b.rest()
				b.Narrow(unit, c.width)
				b.Overlap(unit, laid, apart)
				b.Shot("layout-" + c.name + "-" + unit)
			}
		})
	}
}

// On paper every step and exercise is there, and no control; nothing is wider than the sheet.
func TestLayout_print(t *testing.T) {
	b := open(t, 680, 900, browser.Dark())
	b.Run(chromedp.Evaluate(`dispatchEvent(new Event('beforeprint'))`, nil), emulation.SetEmulatedMedia().WithMedia("print"))
	b.rest()
	if shown := browser.Eval[int](b.Tab, `[...document.querySelectorAll('button, select, [type=range]')].filter((e) => e.getClientRects().length).length`); shown > 0 {
		t.Errorf("%d controls are printed", shown)
	}
	if steps := browser.Eval[int](b.Tab, `[...document.querySelectorAll('#all-steps > li')].filter((e) => e.getClientRects().length).length`); steps != len(byKeys) {
		t.Errorf("%d steps are printed", steps)
	}
	b.Narrow("the print", 680)
	if paper := browser.Eval[string](b.Tab, `getComputedStyle(document.body).backgroundColor`); paper != "rgb(255, 255, 255)" {
		t.Errorf("it is printed on %s", paper)
	}
	b.Overlap("the print", laid, apart)
	b.Run(emulation.SetEmulatedMedia(), chromedp.ActionFunc(func(ctx context.Context) error {
		pdf, _, err := page.PrintToPDF().WithPreferCSSPageSize(true).WithPrintBackground(true).Do(ctx)
		if err != nil {
			return err
		}
		if !bytes.HasPrefix(pdf, []byte("%PDF")) {
			return fmt.Errorf("%d bytes that are no PDF", len(pdf))
		}
		if dir := os.Getenv("PAGE_SHOTS"); dir != "" {
			return os.WriteFile(filepath.Join(dir, "print.pdf"), pdf, 0o644)
		}
		return nil
	}))
}
