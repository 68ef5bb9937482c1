package browsertest

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/borestack/examples/internal/browser"
	"example.com/borestack/examples/lesson/internal/teach"
	"example.com/borestack/tolerance"
)

// slide tabs to a slider and moves it with the arrow keys, so many steps.
func (b *tab) slide(knob string, steps int) {
	b.T.Helper()
	b.TabTo("[data-knob=" + knob + "]")
	b.arrows(steps)
}

// arrows presses the right arrow so many times, or the left one.
func (b *tab) arrows(steps int) {
	b.T.Helper()
	key := kb.ArrowRight
	if steps < 0 {
		key, steps = kb.ArrowLeft, -steps
	}
	for range steps {
		b.Keys(key)
	}
}

// byKeys is how each step's goal is reached without a pointer.
var byKeys = []func(b *tab){
	func(b *tab) { b.slide("offset", 6) },
	func(b *tab) { b.slide("wedge", 14) },
	func(b *tab) { b.slide("wedge", 20); b.slide("bow", 0); b.Keys(kb.Home) },
	func(b *tab) { b.slide("wedge", -22) },
	func(b *tab) { b.slide("wedge", 20) },
	func(b *tab) { b.slide("pilot", 18) },
	func(b *tab) { b.TabTo("[name=dowels]"); b.Keys(kb.ArrowRight, kb.ArrowRight) },
	func(b *tab) { b.slide("turn", 12) },
	func(b *tab) { b.TabTo("#plates button:first-child"); b.Keys(" ") },
	func(b *tab) { b.slide("case", 5) },
	func(b *tab) {
		b.TabTo("[name=parts]")
		b.Keys(kb.ArrowRight, kb.ArrowRight, kb.ArrowRight)
	},
	func(b *tab) { b.TabTo("[data-name=off]"); b.arrows(16) },
	func(b *tab) { b.TabTo("[data-name=doublings]"); b.arrows(16) },
	func(b *tab) { b.TabTo("[data-name=alike]"); b.arrows(14) },
	func(b *tab) { b.TabTo("[data-many=maker][data-name=wedge]"); b.arrows(8) },
}

func TestKeyboard_steps(t *testing.T) {
	b := open(t, 1200, 900)
	n := browser.Eval[int](b.Tab, `steps.length`)
	if n != len(byKeys) {
		t.Fatalf("%d steps, %d ways to reach their goals", n, len(byKeys))
	}
	for i, way := range byKeys {
		if i > 0 {
			b.Run(chromedp.Evaluate(`document.activeElement.blur()`, nil))
			b.TabTo("#next")
			b.Keys(kb.Enter)
		}
		b.rest()
		if b.Text("#reached") != "" {
			t.Errorf("step %d is done before anything was", i+1)
		}
		way(b)
		b.rest()
		if b.Text("#reached") == "" {
			t.Errorf("step %d (%s) is not done by the keyboard: %s", i+1, b.Text("#all-steps .current h3"), browser.Eval[string](b.Tab, `JSON.stringify(knobs)`))
		}
	}
	b.Shot("last-step")
}

func TestKeyboard_exercises(t *testing.T) {
	b := open(t, 800, 900)
	for _, unit := range []tolerance.Unit{tolerance.Millimetres, tolerance.Inches} {
		if unit == tolerance.Inches {
			b.Run(chromedp.Evaluate(`document.activeElement.blur()`, nil))
			b.TabTo("[name=unit]")
			b.Keys(kb.ArrowRight)
		}
		b.TabTo("#seed")
		b.Keys(kb.ArrowUp) // seed 2, then 3
		seed := uint64(browser.Eval[int](b.Tab, `Number(document.querySelector('#seed').value)`))
		for kind := range teach.Count {
			e := teach.New(kind, seed, unit)
			told := fmt.Sprintf("#a%d", kind)
			if q := b.Text(fmt.Sprintf("#q%d", kind)); q != e.Question {
				t.Fatalf("exercise %d asks %q, want %q", kind, q, e.Question)
			}
			b.TabTo(fmt.Sprintf("input[aria-describedby~=q%d]", kind))
			b.Keys("9", kb.Enter)
			if says := b.Text(told); !strings.HasPrefix(says, "Not yet.") {
				t.Errorf("%s: a wrong answer is told %q", e.Title, says)
			}
			b.Keys(kb.Backspace)
			for _, r := range strconv.FormatFloat(e.Answer, 'f', 4, 64) {
				b.Keys(string(r))
			}
			b.Keys(kb.Enter)
			if says := b.Text(told); !strings.HasPrefix(says, "Right.") {
				t.Errorf("%s: the right answer is told %q", e.Title, says)
			}
		}
		b.Shot("exercises-" + unit.String())
	}
}
