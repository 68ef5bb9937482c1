package browsertest

import (
	"bytes"
	"context"
	"fmt"
	"regexp"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

// laid are the elements that must not lie on each other; what is sticky lies on others by design.
const (
	laid  = "h1, h2, h3, h4, h5, p, label, button, input, select, summary, figcaption, pre, .dial, #sketch, #sketch text, .dial text, #pictures text"
	apart = ".unseen, #verdict, #report, #file, details:not([open]) > .fields"
)

func TestLayout(t *testing.T) {
	for _, c := range []struct {
		width, height int64
		dark          bool
	}{{390, 844, false}, {390, 844, true}, {1280, 900, false}, {1280, 900, true}} {
		name := fmt.Sprintf("%d-dark-%v", c.width, c.dark)
		t.Run(name, func(t *testing.T) {
			var before []chromedp.Action
			if c.dark {
				before = append(before, browser.Dark())
			}
			b := open(t, c.width, c.height, before...)
			for _, what := range []string{"empty", "three", "crank", "demonstration", "wrong"} {
				switch what {
				case "demonstration":
					b.load(demonstration(t))
				case "wrong":
					b.Do(`(() => { for (const at of ['/parts/1/rear/z', '/shafts/0/supports/0/clearance', '/parts/0/name']) { const e = document.getElementById('f' + at); e.value = at.endsWith('z') ? '1.2.3' : ''; e.dispatchEvent(new Event('input', {bubbles: true})); } })()`)
				default:
					b.Do(fmt.Sprintf(`load('start', %q)`, what))
				}
				if what != "empty" && what != "wrong" {
					b.settled()
				}
				b.Narrow(what, c.width)
				b.Overlap(what, laid, apart)
				b.Contrast(what)
				if c.width < 500 {
					b.Targets(44, "button, select, input[type=text], summary, #links a")
				}
				b.Shot("layout-" + name + "-" + what)
			}
		})
	}
}

// Texts of the pictures of entries are at least 11 CSS pixels high on a telephone.
func TestLayout_readable(t *testing.T) {
	b := open(t, 390, 844)
	b.Do(`load('start', 'three')`)
	for _, small := range browser.Eval[[]string](b.Tab, `[...document.querySelectorAll('#sketch text, .dial text')].filter((e) => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a < 11).map((e) => e.textContent)`) {
		t.Errorf("%q is too small", small)
	}
}

// The print is one page, on white, without the form.
func TestLayout_print(t *testing.T) {
	b := open(t, 1280, 900, browser.Dark())
	b.load(demonstration(t))
	b.settled()
	b.Run(emulation.SetEmulatedMedia().WithMedia("print"))
	if shown := browser.Eval[int](b.Tab, `[...document.querySelectorAll('button, select, input')].filter((e) => e.getClientRects().length).length`); shown > 0 {
		t.Errorf("%d controls are printed", shown)
	}
	if paper := browser.Eval[string](b.Tab, `getComputedStyle(document.body).backgroundColor`); paper != "rgb(255, 255, 255)" {
		t.Errorf("it is printed on %s", paper)
	}
	b.Run(emulation.SetEmulatedMedia(), chromedp.ActionFunc(func(ctx context.Context) error {
		pdf, _, err := page.PrintToPDF().WithPreferCSSPageSize(true).WithPrintBackground(true).Do(ctx)
		if err != nil {
			return err
		}
		if sheets := len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1)); !bytes.HasPrefix(pdf, []byte("%PDF")) || sheets != 1 {
			t.Errorf("%d sheets in %d bytes", sheets, len(pdf))
		}
		return nil
	}))
}
