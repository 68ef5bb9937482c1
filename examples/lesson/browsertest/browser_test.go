// Package browsertest tries the lesson in a real browser. It is a module of its own because it needs a browser driver.
//
// Set PAGE_SHOTS to a folder to keep the screenshots, to be looked at.
package browsertest

import (
	"os"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

// site is the folder that the page was written to.
var site string

func TestMain(m *testing.M) {
	os.Exit(browser.Main(m, "example.com/borestack/examples/lesson", "../../..", &site))
}

// tab is one tab on the page.
type tab struct{ *browser.Tab }

// open loads the page from disk in a browser of that size, and waits until it rests.
func open(t testing.TB, width, height int64, before ...chromedp.Action) *tab {
	t.Helper()
	b := &tab{browser.Open(t, site, width, height, before...)}
	b.rest()
	return b
}

// rest waits until the page has drawn what last changed, and nothing more is due.
func (b *tab) rest() {
	b.T.Helper()
	last := -1
	for range 100 {
		time.Sleep(400 * time.Millisecond)
		n := browser.Eval[int](b.Tab, `Number(document.querySelector('main').dataset.drawn)`)
		if n == last {
			return
		}
		last = n
	}
	b.T.Fatal("the page never comes to rest")
}
