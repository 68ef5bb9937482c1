package browsertest

import (
	"testing"

	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

// Everything that can be worked has a name, and no two buttons the same.
func TestAccess_names(t *testing.T) {
	b := open(t, 1280, 900)
	b.load(demonstration(t))
	b.settled()
	b.Do(`for (const d of document.querySelectorAll('details')) d.open = true`)
	count := map[string]int{}
	seen := map[string]bool{}
	for _, n := range b.Tree() {
		switch n.Role {
		case "button", "textbox", "combobox", "group", "region", "heading", "image", "link", "form":
			count[n.Role]++
			if n.Name == "" && n.Role != "group" { // what is folded away is a group, too, and its summary its name
				t.Errorf("a %s has no name", n.Role)
			}
			if n.Role == "button" && seen[n.Name] {
				t.Errorf("two buttons are named %q", n.Name)
			}
			seen[n.Name] = n.Role == "button" || seen[n.Name]
		}
	}
	for _, role := range []string{"button", "textbox", "combobox", "group", "heading", "image"} {
		if count[role] < 3 {
			t.Errorf("%d of role %s", count[role], role)
		}
	}
	if bare := browser.Eval[[]string](b.Tab, `[...document.querySelectorAll('#form input, #form select')].filter((e) => !e.labels.length || !document.getElementById(e.getAttribute('aria-describedby'))).map((e) => e.id)`); len(bare) > 0 {
		t.Errorf("without a label, or a note that describes them: %v", bare)
	}
}

func TestAccess_order(t *testing.T) {
	b := open(t, 1280, 900)
	b.Do(`load('start', 'three')`)
	b.settled()
	b.Order(140, 90)
}

// A field that is wrong says so to who does not see it; the verdict leads to it, and is spoken when the keys are still.
func TestAccess_wrong(t *testing.T) {
	b := open(t, 390, 844)
	b.Do(`load('start', 'three')`)
	b.settled()
	b.Do(`window.spokenTimes = 0; new MutationObserver(() => spokenTimes++).observe(document.querySelector('#spoken'), {childList: true, characterData: true, subtree: true})`)
	b.TabTo(id("f", "/parts/1/rear/thickness/radius"))
	b.Run(chromedp.KeyEvent("9o.x"))
	if !browser.Eval[bool](b.Tab, `document.activeElement.getAttribute('aria-invalid') === 'true' && document.getElementById(document.activeElement.getAttribute('aria-describedby')).textContent.includes('not understood')`) {
		t.Error("the field does not say that it is wrong")
	}
	b.Until(`document.querySelector('#spoken').textContent === document.querySelector('#title').textContent`)
	if n := browser.Eval[int](b.Tab, `spokenTimes`); n > 4 {
		t.Errorf("four keys are spoken %d times", n)
	}
	b.Do(`document.activeElement.blur(); document.querySelector('#links a').click()`)
	if at := browser.Eval[string](b.Tab, `document.activeElement.id`); at != "f/parts/1/rear/thickness/radius" {
		t.Errorf("the verdict leads to %q", at)
	}
	if hidden := browser.Eval[bool](b.Tab, `document.activeElement.getBoundingClientRect().top < document.querySelector('#verdict').getBoundingClientRect().bottom`); hidden {
		t.Error("the field lies below the verdict")
	}
}
