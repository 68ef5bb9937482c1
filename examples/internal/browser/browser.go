// Package browser drives the examples' pages in a real browser: headless Chromium, as Debian packages it. It is a module of its own because it needs a browser driver; the tests that use it are, too.
package browser

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Main writes an example's page to a folder, runs the tests with it, and returns the exit status. page is the command's import path, root the folder of the library's own module.
func Main(m *testing.M, page, root string, site *string) int {
	if _, err := exec.LookPath("chromium"); err != nil {
		fmt.Fprintln(os.Stderr, "chromium is not on the path; Debian's package is named chromium:", err)
		return 1
	}
	dir, err := os.MkdirTemp("", "page")
	if err == nil {
		defer os.RemoveAll(dir)
		*site = dir
		cmd := exec.Command("go", "run", page, "-out", dir)
		cmd.Dir = root
		var out []byte
		if out, err = cmd.CombinedOutput(); err != nil {
			err = fmt.Errorf("%w\n%s", err, out)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "the page was not written:", err)
		return 1
	}
	return m.Run()
}

// Tab is one tab on a page.
type Tab struct {
	T       testing.TB
	Ctx     context.Context
	Site    string
	mu      sync.Mutex
	errors  []string // of the console
	fetched []string // addresses that are not in the site
}

// longestTest is how long one tab may be used.
const longestTest = 4 * time.Minute

// Open starts a browser of that size and loads the page from disk, once it says that it is ready. Console errors and fetches from elsewhere fail the test when it ends.
func Open(t testing.TB, site string, width, height int64, before ...chromedp.Action) *Tab {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.ExecPath("chromium"), chromedp.WindowSize(int(width), int(height)))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	tab, stopTab := chromedp.NewContext(alloc)
	ctx, stop := context.WithTimeout(tab, longestTest)
	b := &Tab{T: t, Ctx: ctx, Site: site}
	chromedp.ListenTarget(tab, b.listen)
	t.Cleanup(func() {
		stop()
		stopTab()
		stopAlloc()
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, e := range b.errors {
			t.Error("console: ", e)
		}
		for _, u := range b.fetched {
			t.Error("fetched from elsewhere: ", u)
		}
	})
	b.Run(network.Enable(), log.Enable(), emulation.SetDeviceMetricsOverride(width, height, 1, width < 500))
	b.Run(before...)
	b.Run(chromedp.Navigate("file://"+site+"/index.html"), chromedp.WaitReady("html[data-ready]"))
	return b
}

// listen keeps what the console says and what is fetched from elsewhere.
func (b *Tab) listen(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		b.errors = append(b.errors, e.ExceptionDetails.Error())
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.APITypeError || e.Type == runtime.APITypeWarning {
			b.errors = append(b.errors, fmt.Sprint(e.Type, e.Args))
		}
	case *log.EventEntryAdded:
		b.errors = append(b.errors, e.Entry.Text)
	case *network.EventRequestWillBeSent:
		u := e.Request.URL
		for _, own := range []string{"file://" + b.Site + "/", "data:", "blob:"} {
			if strings.HasPrefix(u, own) {
				return
			}
		}
		b.fetched = append(b.fetched, u)
	}
}

// Run runs actions; an error ends the test.
func (b *Tab) Run(actions ...chromedp.Action) {
	b.T.Helper()
	if err := chromedp.Run(b.Ctx, actions...); err != nil {
		b.T.Fatal(err)
	}
}

// Do evaluates a script for what it does.
func (b *Tab) Do(script string) {
	b.T.Helper()
	b.Run(chromedp.Evaluate(script, nil))
}

// Eval evaluates a script to a value.
func Eval[V any](b *Tab, script string) V {
	b.T.Helper()
	var v V
	b.Run(chromedp.Evaluate(script, &v))
	return v
}

// Text is what an element says.
func (b *Tab) Text(selector string) string {
	b.T.Helper()
	return Eval[string](b, fmt.Sprintf(`document.querySelector(%q).textContent`, selector))
}

// Keys presses keys, one after the other.
func (b *Tab) Keys(keys ...string) {
	b.T.Helper()
	for _, k := range keys {
		b.Run(chromedp.KeyEvent(k))
	}
}

// mostTabs is how often Tab is pressed to come to an element.
const mostTabs = 400

// TabTo presses Tab until the element has the focus.
func (b *Tab) TabTo(selector string) {
	b.T.Helper()
	for range mostTabs {
		if Eval[bool](b, fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) {
			return
		}
		b.Keys(kb.Tab)
	}
	b.T.Fatalf("Tab does not come to %s", selector)
}

// Until waits until a script is true.
func (b *Tab) Until(script string) {
	b.T.Helper()
	for range 600 {
		if Eval[bool](b, script) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.T.Fatalf("never: %s", script)
}

// Shot keeps a screenshot of the whole page in the folder that PAGE_SHOTS names, to be looked at.
func (b *Tab) Shot(name string) {
	b.T.Helper()
	dir := os.Getenv("PAGE_SHOTS")
	if dir == "" {
		return
	}
	var png []byte
	b.Run(chromedp.FullScreenshot(&png, 100))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.T.Fatal(err)
	}
}

// Dark asks the page for its dark colours.
func Dark() chromedp.Action {
	return emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}})
}

// View keeps a screenshot of what the window shows, as Shot does of the whole page.
func (b *Tab) View(name string) {
	b.T.Helper()
	dir := os.Getenv("PAGE_SHOTS")
	if dir == "" {
		return
	}
	var png []byte
	b.Run(chromedp.CaptureScreenshot(&png))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.T.Fatal(err)
	}
}
