package browsertest

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/borestack/examples/internal/browser"
)

// From a key to its verdict on the page, as the joints rest, for the demonstration: the median.
func BenchmarkKey(b *testing.B) {
	tab := open(b, 1280, 900)
	tab.load(demonstration(b))
	tab.settled()
	tab.Do(`document.getElementById('f/parts/2/rear/thickness/readings/0').focus(); took.length = 0`)
	n := 0
	for b.Loop() {
		tab.Keys(kb.Backspace)
		tab.Run(chromedp.KeyEvent(fmt.Sprint(n % 10)))
		time.Sleep(100 * time.Millisecond)
		n++
	}
	b.ReportMetric(browser.Eval[float64](tab.Tab, `took.sort((a, b) => a - b)[took.length >> 1]`), "ms-median")
	b.ReportMetric(browser.Eval[float64](tab.Tab, `took.at(-1)`), "ms-worst")
}

// From the last key to the verdict in full.
func BenchmarkFull(b *testing.B) {
	tab := open(b, 1280, 900)
	tab.load(demonstration(b))
	tab.settled()
	tab.Do(`document.getElementById('f/parts/2/rear/thickness/readings/0').focus()`)
	for b.Loop() {
		tab.Keys(kb.Backspace, "8")
		tab.settled()
	}
}

// How long after the navigation began the page can be used, from disk.
func BenchmarkOpen(b *testing.B) {
	total, n := 0.0, 0
	for b.Loop() {
		total += browser.Eval[float64](open(b, 1280, 900).Tab, `Number(document.documentElement.dataset.ready)`)
		n++
	}
	b.ReportMetric(total/float64(n), "ms-to-interactive")
}
