package browsertest

import (
	"os"
	"testing"

	"example.com/borestack/examples/internal/browser"
)

var site string

func TestMain(m *testing.M) {
	os.Exit(browser.Main(m, "example.com/borestack/examples/bench", "../../..", &site))
}

func TestScratch(t *testing.T) {
	b := browser.Open(t, site, 1280, 1500)
	b.Do(`load('start', 'three')`)
	b.Until(`document.documentElement.dataset.full === String(turn)`)
	b.View("a")
	b.Do(`scrollTo(0, 1300)`)
	b.View("b")
	b = browser.Open(t, site, 390, 1000, browser.Dark())
	b.Do(`load('start', 'crank')`)
	b.Until(`document.documentElement.dataset.full === String(turn)`)
	b.View("c")
	b.Do(`scrollTo(0, 6000)`)
	b.View("d")
}
