// Package browsertest tries the lesson in a real browser: headless Chromium, as Debian packages it. It is a module of its own because it needs a browser driver.
//
// Set LESSON_SHOTS to a folder to keep the screenshots, to be looked at.
package browsertest

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
)

// site is the folder that the page was written to.
var site string

func TestMain(m *testing.M) {
	if _, err := exec.LookPath("chromium"); err != nil {
		fmt.Fprintln(os.Stderr, "chromium is not on the path; Debian's package is named chromium:", err)
		os.Exit(1)
	}
	dir, err := os.MkdirTemp("", "lesson")
	if err == nil {
		site = dir
		cmd := exec.Command("go", "run", "example.com/borestack/examples/lesson", "-out", dir)
		cmd.Dir = filepath.Join("..", "..", "..") // the library's own module
		var out []byte
		if out, err = cmd.CombinedOutput(); err != nil {
			err = fmt.Errorf("%w\n%s", err, out)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "the page was not written:", err)
		os.Exit(1)
	}
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}

// browser is one tab on the page.
type browser struct {
	t       testing.TB
	ctx     context.Context
	mu      sync.Mutex
	errors  []string // of the console
	fetched []string // addresses that are not in the site
}

// open starts a browser of that size and loads the page from disk. Console errors and fetches from elsewhere fail the test when it ends.
func open(t testing.TB, width, height int64, before ...chromedp.Action) *browser {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.ExecPath("chromium"), chromedp.WindowSize(int(width), int(height)))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	tab, stopTab := chromedp.NewContext(alloc)
	ctx, stop := context.WithTimeout(tab, 4*time.Minute)
	b := &browser{t: t, ctx: ctx}
	home := "file://" + site + "/index.html"
	chromedp.ListenTarget(tab, func(event any) {
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
			if u := e.Request.URL; !strings.HasPrefix(u, "file://"+site+"/") && !strings.HasPrefix(u, "data:") {
				b.fetched = append(b.fetched, u)
			}
		}
	})
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
	b.run(network.Enable(), log.Enable(), emulation.SetDeviceMetricsOverride(width, height, 1, width < 500))
	b.run(before...)
	b.run(chromedp.Navigate(home), chromedp.WaitReady("html[data-ready]"))
	b.rest()
	return b
}

func (b *browser) run(actions ...chromedp.Action) {
	b.t.Helper()
	if err := chromedp.Run(b.ctx, actions...); err != nil {
		b.t.Fatal(err)
	}
}

// eval evaluates a script to a value.
func eval[T any](b *browser, script string) T {
	b.t.Helper()
	var v T
	b.run(chromedp.Evaluate(script, &v))
	return v
}

// rest waits until the page has drawn what last changed, and nothing more is due.
func (b *browser) rest() {
	b.t.Helper()
	last := -1
	for range 100 {
		time.Sleep(400 * time.Millisecond)
		n := eval[int](b, `Number(document.querySelector('main').dataset.drawn)`)
		if n == last {
			return
		}
		last = n
	}
	b.t.Fatal("the page never comes to rest")
}

// text is what an element says.
func (b *browser) text(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`document.querySelector(%q).textContent`, selector))
}

// shot keeps a screenshot of the whole page where it is asked for.
func (b *browser) shot(name string) {
	b.t.Helper()
	dir := os.Getenv("LESSON_SHOTS")
	if dir == "" {
		return
	}
	var png []byte
	b.run(chromedp.FullScreenshot(&png, 100))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}
