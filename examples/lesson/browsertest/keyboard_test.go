package browsertest

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/borestack/examples/lesson/internal/teach"
	"example.com/borestack/tolerance"
)

func (b *browser) keys(keys ...string) {
	b.t.Helper()
	for _, k := range keys {
		b.run(chromedp.KeyEvent(k))
	}
}

// tabTo presses Tab until the element has the focus.
func (b *browser) tabTo(selector string) {
	b.t.Helper()
	for range 150 {
		if eval[bool](b, fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) {
			return
		}
		b.keys(kb.Tab)
	}
	b.t.Fatalf("Tab does not come to %s", selector)
}

// slide tabs to a slider and moves it with the arrow keys, so many steps.
func (b *browser) slide(knob string, steps int) {
	b.t.Helper()
	b.tabTo("[data-knob=" + knob + "]")
	b.arrows(steps)
}

// arrows presses the right arrow so many times, or the left one.
func (b *browser) arrows(steps int) {
	b.t.Helper()
	key := kb.ArrowRight
	if steps < 0 {
		key, steps = kb.ArrowLeft, -steps
	}
	for range steps {
		b.keys(key)
	}
}

// byKeys is how each step's goal is reached without a pointer.
var byKeys = []func(b *browser){
	func(b *browser) { b.slide("offset", 6) },
	func(b *browser) { b.slide("wedge", 14) },
	func(b *browser) { b.slide("wedge", 20); b.slide("bow", 0); b.keys(kb.Home) },
	func(b *browser) { b.slide("wedge", -22) },
	func(b *browser) { b.slide("wedge", 20) },
	func(b *browser) { b.slide("pilot", 18) },
	func(b *browser) { b.tabTo("[name=dowels]"); b.keys(kb.ArrowRight, kb.ArrowRight) },
	func(b *browser) { b.slide("turn", 12) },
	func(b *browser) { b.tabTo("#plates button:first-child"); b.keys(" ") },
	func(b *browser) { b.slide("case", 5) },
	func(b *browser) {
		b.tabTo("[name=parts]")
		b.keys(kb.ArrowRight, kb.ArrowRight, kb.ArrowRight)
	},
	func(b *browser) { b.tabTo("[data-name=off]"); b.arrows(16) },
	func(b *browser) { b.tabTo("[data-name=doublings]"); b.arrows(16) },
	func(b *browser) { b.tabTo("[data-name=alike]"); b.arrows(14) },
	func(b *browser) { b.tabTo("[data-many=maker][data-name=wedge]"); b.arrows(8) },
}

func TestKeyboard_steps(t *testing.T) {
	b := open(t, 1200, 900)
	n := eval[int](b, `steps.length`)
	if n != len(byKeys) {
		t.Fatalf("%d steps, %d ways to reach their goals", n, len(byKeys))
	}
	for i, way := range byKeys {
		if i > 0 {
			b.run(chromedp.Evaluate(`document.activeElement.blur()`, nil))
			b.tabTo("#next")
			b.keys(kb.Enter)
		}
		b.rest()
		if b.text("#reached") != "" {
			t.Errorf("step %d is done before anything was", i+1)
		}
		way(b)
		b.rest()
		if b.text("#reached") == "" {
			t.Errorf("step %d (%s) is not done by the keyboard: %s", i+1, b.text("#all-steps .current h3"), eval[string](b, `JSON.stringify(knobs)`))
		}
	}
	b.shot("last-step")
}

func TestKeyboard_exercises(t *testing.T) {
	b := open(t, 800, 900)
	for _, unit := range []tolerance.Unit{tolerance.Millimetres, tolerance.Inches} {
		if unit == tolerance.Inches {
			b.run(chromedp.Evaluate(`document.activeElement.blur()`, nil))
			b.tabTo("[name=unit]")
			b.keys(kb.ArrowRight)
		}
		b.tabTo("#seed")
		b.keys(kb.ArrowUp) // seed 2, then 3
		seed := uint64(eval[int](b, `Number(document.querySelector('#seed').value)`))
		for kind := range teach.Count {
			e := teach.New(kind, seed, unit)
			told := fmt.Sprintf("#a%d", kind)
			if q := b.text(fmt.Sprintf("#q%d", kind)); q != e.Question {
				t.Fatalf("exercise %d asks %q, want %q", kind, q, e.Question)
			}
			b.tabTo(fmt.Sprintf("input[aria-describedby~=q%d]", kind))
			b.keys("9", kb.Enter)
			if says := b.text(told); !strings.HasPrefix(says, "Not yet.") {
				t.Errorf("%s: a wrong answer is told %q", e.Title, says)
			}
			b.keys(kb.Backspace)
			for _, r := range strconv.FormatFloat(e.Answer, 'f', 4, 64) {
				b.keys(string(r))
			}
			b.keys(kb.Enter)
			if says := b.text(told); !strings.HasPrefix(says, "Right.") {
				t.Errorf("%s: the right answer is told %q", e.Title, says)
			}
		}
		b.shot("exercises-" + unit.String())
	}
}
