package browsertest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

func TestAccess_contrast(t *testing.T) {
	for name, before := range map[string][]chromedp.Action{"light": nil, "dark": {browser.Dark()}} {
		t.Run(name, func(t *testing.T) {
			b := open(t, 1600, 4000, before...)
			paper := browser.Eval[string](b.Tab, `getComputedStyle(document.body).backgroundColor`)
			if (paper == "rgb(255, 255, 255)") != (name == "light") {
				t.Errorf("the paper is %s", paper)
			}
			for _, step := range []string{`go(0)`, `go(3)`, `go(6)`, `change({dowels: 2, case: 80})`} { // every verdict
				b.Run(chromedp.Evaluate(step, nil))
				b.rest()
				b.Contrast(step)
			}
		})
	}
}

// Everything that can be worked has a name and a role, and nothing has the name of another.
func TestAccess_names(t *testing.T) {
	b := open(t, 1600, 4000)
	wants := map[string]int{"button": 0, "slider": 0, "radio": 0, "checkbox": 0, "textbox": 0, "spinbutton": 0, "combobox": 0, "region": 0, "image": 0, "heading": 0, "group": -1}
	seen := map[string]bool{}
	for _, n := range b.Tree() {
		role, name := n.Role, n.Name
		count, wanted := wants[role]
		if !wanted {
			continue
		}
		wants[role]++
		if name == "" && count >= 0 {
			t.Errorf("a %s has no name", role)
		}
		key := role + " " + name
		if seen[key] && role != "group" && role != "textbox" { // every answer is "Answer in mm"; its question describes it
			t.Errorf("two of the same name: %s", key)
		}
		seen[key] = true
	}
	for role, count := range wants {
		if count == 0 {
			t.Errorf("no %s is on the page", role)
		}
	}
	if missing := browser.Eval[int](b.Tab, `[...document.querySelectorAll('#tasks input')].filter((e) => !e.getAttribute('aria-describedby').split(' ').every((id) => document.getElementById(id))).length`); missing > 0 {
		t.Errorf("%d answers are not described by their questions", missing)
	}
}

// Headings go down one level at a time, and Tab goes the way the page is read: never to something that stands before in the document, and never to what cannot be seen.
func TestAccess_order(t *testing.T) { open(t, 800, 900).Order(90, 40) }

// What a finger must hit is at least 40 CSS pixels high, with its label.
func TestAccess_targets(t *testing.T) {
	open(t, 360, 740).Targets(40, "button, select, input, .jump, [data-handle] .d-hit")
}

// The verdict is spoken once things come to rest, not at every frame.
func TestAccess_spoken(t *testing.T) {
	b := open(t, 800, 900)
	b.Run(chromedp.Evaluate(`window.spokenTimes = 0; new MutationObserver(() => spokenTimes++).observe(document.querySelector('#spoken'), {childList: true, characterData: true, subtree: true})`, nil))
	b.slide("wedge", 30)
	b.rest()
	if n := browser.Eval[int](b.Tab, `spokenTimes`); n < 1 || n > 15 {
		t.Errorf("thirty steps of a slider are spoken %d times", n)
	}
	if want, got := b.Text("#verdict strong"), b.Text("#spoken"); !strings.HasPrefix(got, want+". ") {
		t.Errorf("the verdict is %q, spoken %q", want, fmt.Sprint(got))
	}
}
