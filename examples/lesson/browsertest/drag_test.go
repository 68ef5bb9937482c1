package browsertest

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

// at is where a handle of the dial is, and where the dial puts a wedge of most thickness at 12 o'clock, in CSS pixels of the window.
func (b *tab) at(handle string) (x, y, unit float64) {
	b.T.Helper()
	p := browser.Eval[[]float64](b.Tab, `(() => { const h = document.querySelector('[data-handle=`+handle+`] .d-hit'); h.scrollIntoView({block: 'center'}); const r = h.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2, r.width / 44]; })()`)
	return p[0], p[1], p[2]
}

func (b *tab) mouse(kind input.MouseType, x, y float64) {
	b.T.Helper()
	e := input.DispatchMouseEvent(kind, x, y).WithButton(input.Left).WithClickCount(1)
	if kind == input.MouseMoved {
		e = e.WithButtons(1)
	}
	b.Run(e)
}

func TestDrag_mouse(t *testing.T) {
	b := open(t, 1600, 1000)
	if v := b.Text("#verdict strong"); v != "Runs free" {
		t.Fatalf("at first the box says %q", v)
	}
	before := b.Text("[data-picture=sketch]")
	x, y, unit := b.at("wedge")
	b.mouse(input.MousePressed, x, y)
	for i := 1.0; i <= 42; i += 4 {
		b.mouse(input.MouseMoved, x, y-i*unit)
	}
	b.mouse(input.MouseMoved, x, y-60*unit) // past the end: the handle stays at its most
	b.mouse(input.MouseReleased, x, y-60*unit)
	b.rest()
	if v := b.Text("#verdict strong"); v != "No room" {
		t.Errorf("with the greatest wedge the box says %q", v)
	}
	if v := b.Text("#spoken"); v == "" || v[:7] != "No room" {
		t.Errorf("spoken: %q", v)
	}
	if got := browser.Eval[string](b.Tab, `document.querySelector('[data-knob=wedge]').getAttribute('aria-valuetext')`); got != "0.200 mm" {
		t.Errorf("the slider stands at %q", got)
	}
	if b.Text("[data-picture=sketch]") == before {
		t.Error("the sketch has not moved")
	}
	b.mouse(input.MouseMoved, x, y) // no longer held
	if got := browser.Eval[float64](b.Tab, `knobs.wedge`); got != 0.2 {
		t.Errorf("a handle that was let go followed the mouse to %g", got)
	}
	b.Shot("dragged")
}

func TestDrag_touch(t *testing.T) {
	b := open(t, 360, 740, emulation.SetTouchEmulationEnabled(true))
	x, y, unit := b.at("wedge")
	const top = `document.querySelector('[data-handle=wedge]').ownerSVGElement.getBoundingClientRect().top`
	before := browser.Eval[float64](b.Tab, top)
	point := func(x, y float64) []*input.TouchPoint { return []*input.TouchPoint{{X: x, Y: y}} }
	b.Run(input.DispatchTouchEvent(input.TouchStart, point(x, y)))
	for i := 4.0; i <= 44; i += 4 {
		b.Run(input.DispatchTouchEvent(input.TouchMove, point(x, y-i*unit)))
	}
	b.Run(input.DispatchTouchEvent(input.TouchEnd, []*input.TouchPoint{}))
	b.rest()
	if got := browser.Eval[float64](b.Tab, `knobs.wedge`); got < 0.19 {
		t.Errorf("a finger drew the wedge to %g", got)
	}
	if v := b.Text("#verdict strong"); v != "No room" {
		t.Errorf("with the greatest wedge the box says %q", v)
	}
	// scrollY may change: the browser makes up for words above that wrap anew.
	if now := browser.Eval[float64](b.Tab, top); math.Abs(now-before) > 1 {
		t.Errorf("the dial moved from %g to %g on the screen, under the finger", before, now)
	}
}

func TestDrag_turn(t *testing.T) {
	b := open(t, 800, 1200)
	x, y, unit := b.at("turn")
	b.mouse(input.MousePressed, x, y)
	b.mouse(input.MouseMoved, x+116*unit, y+116*unit)
	b.mouse(input.MouseReleased, x+116*unit, y+116*unit)
	if got := browser.Eval[float64](b.Tab, `knobs.turn`); got < 89 || got > 91 {
		t.Errorf("the plate turned by %g° to 3 o'clock", got)
	}
	b.rest()
}

// How many times a second the page draws while a handle is dragged: verdict, readings, sketch and whatever pictures are on the screen; all of them in the tall window. The page's own thread is reckoned beside it in processor time, which a busy machine does not lengthen.
func BenchmarkDrag(b *testing.B) {
	for name, height := range map[string]int64{"screen=1600x1000": 1000, "screen=1600x2800": 2800} {
		b.Run(name, func(b *testing.B) {
			tab := open(b, 1600, height)
			x, y, unit := tab.at("wedge")
			busy := func() float64 {
				var all []*performance.Metric
				tab.Run(chromedp.ActionFunc(func(ctx context.Context) (err error) {
					all, err = performance.GetMetrics().Do(ctx)
					return err
				}))
				for _, m := range all {
					if m.Name == "TaskDuration" {
						return m.Value
					}
				}
				b.Fatal("the browser does not say how busy it was")
				return 0
			}
			tab.Run(performance.Enable().WithTimeDomain(performance.EnableTimeDomainThreadTicks))
			drawn := func() int { return browser.Eval[int](tab.Tab, `frames`) }
			// the page's own drag, once a frame: what the driver takes to send a mouse event is not the page's
			script := fmt.Sprintf(`new Promise((resolve) => {
				let i = 0, t;
				dragging = 'wedge';
				const step = (now) => {
					t ??= now;
					if (i === %d) { dragging = ''; resolve(i / (now - t) * 1000); return; }
					drag({clientX: %g + i %% 40 * %[4]g, clientY: %[3]g - (10 + i %% 30) * %[4]g});
					i++;
					requestAnimationFrame(step);
				};
				requestAnimationFrame(step);
			})`, b.N, x, y, unit)
			before, from := drawn(), busy()
			var rate float64
			b.ResetTimer()
			tab.Run(chromedp.Evaluate(script, &rate, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
			b.StopTimer()
			used := busy() - from
			if n := drawn() - before; n < b.N-1 {
				b.Errorf("%d frames were drawn of %d", n, b.N)
			}
			b.ReportMetric(rate, "frames/s")
			b.ReportMetric(1000*used/float64(b.N), "cpu-ms/frame")
			tab.rest()
		})
	}
}

// How long after the navigation began the page can be used, from disk.
func BenchmarkOpen(b *testing.B) {
	tab := open(b, 1600, 1200)
	total, n := 0.0, 0
	for b.Loop() {
		tab.Run(page.Reload(), chromedp.WaitReady("html[data-ready]"))
		total += browser.Eval[float64](tab.Tab, `Number(document.documentElement.dataset.ready)`)
		n++
	}
	b.ReportMetric(total/float64(n), "ms-to-interactive")
}
