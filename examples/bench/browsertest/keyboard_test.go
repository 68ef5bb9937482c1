package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/borestack/examples/internal/browser"
)

// id is a selector of the field, button or group of a pointer.
func id(kind, pointer string) string { return fmt.Sprintf(`[id="%s%s"]`, kind, pointer) }

// press tabs to a button and presses it.
func (b bench) press(verb, pointer string) {
	b.T.Helper()
	b.TabTo(id("b"+verb, pointer))
	b.Keys(kb.Enter)
}

// enter tabs to a field, types, and tabs on.
func (b bench) enter(pointer, typed string) {
	b.T.Helper()
	b.TabTo(id("f", pointer))
	b.Run(chromedp.KeyEvent(typed))
	b.Keys(kb.Tab)
}

// pick tabs to a choice and picks what begins so.
func (b bench) pick(selector, word string) {
	b.T.Helper()
	b.TabTo(selector)
	b.Run(chromedp.KeyEvent(word))
	if got := browser.Eval[string](b.Tab, `document.activeElement.selectedOptions[0].textContent`); !strings.HasPrefix(strings.ToLower(got), word) {
		b.T.Fatalf("%s: picked %q, want %q", selector, got, word)
	}
	b.Keys(kb.Tab)
}

// A whole box from an empty page, by the keyboard alone; the saved record has the verdict of the command, and reload keeps it.
func TestKeyboard_wholeBox(t *testing.T) {
	b := open(t, 1280, 900)
	if title := b.Text("#title"); !strings.HasPrefix(title, "No parts yet") {
		t.Fatalf("at first the page says %q", title)
	}
	b.enter("/title", "typed at the bench")
	b.press("add", "/parts")
	b.enter("/parts/0/name", "case")
	b.enter("/parts/0/rear/z", "180")
	b.enter("/parts/0/rear/diameter", "200")
	b.press("add", "/parts/0/rear/pilot")
	b.enter("/parts/0/rear/pilot/diameter", "150,02")
	b.press("add", "/parts/0/bores")
	b.enter("/parts/0/bores/0/name", "front")
	b.enter("/parts/0/bores/0/centre/2", "20")

	b.press("add", "/parts")
	b.enter("/parts/1/name", "plate")
	b.enter("/parts/1/front/diameter", "200")
	b.press("add", "/parts/1/front/pilot")
	b.enter("/parts/1/front/pilot/diameter", "150")
	b.press("add", "/parts/1/rear")
	b.pick(id("w", "/parts/1/rear"), "thickness")
	b.enter("/parts/1/rear/diameter", "200")
	b.enter("/parts/1/rear/thickness/radius", "90")
	b.TabTo(id("f", "/parts/1/rear/thickness/readings/0"))
	for _, typed := range []string{"14,012", "14,014", "14,011", "14,006", "14", "13,998", "14,001", "14,007", "14,012"} { // round, and the first again
		b.Run(chromedp.KeyEvent(typed))
		b.Keys(kb.Enter)
	}
	if said := b.Text(id("n", "/parts/1/rear/thickness")); !strings.Contains(said, "thickest at half past 1 seen from the tail, by 0.0158 mm across 180 mm") {
		t.Errorf("beside the round: %q", said)
	}
	b.press("add", "/parts/1/bores")
	b.enter("/parts/1/bores/0/name", "main")
	b.enter("/parts/1/bores/0/centre/2", "7")

	b.Do(`document.activeElement.blur(); scrollTo(0, 0)`)
	b.press("add", "/parts")
	b.enter("/parts/2/name", "tail")
	b.enter("/parts/2/front/diameter", "200")
	b.press("add", "/parts/2/bores")
	b.enter("/parts/2/bores/0/name", "bush")
	b.enter("/parts/2/bores/0/centre/2", "230")

	b.press("add", "/shafts")
	b.enter("/shafts/0/name", "main")
	for i, bore := range []string{"case", "plate", "tail"} {
		at := fmt.Sprintf("/shafts/0/supports/%d", i)
		b.press("add", "/shafts/0/supports")
		b.pick(id("f", at+"/bore"), bore)
		b.enter(at+"/clearance", "0,08")
	}
	b.press("add", "/accept")
	b.enter("/accept/0/because", "straight shafts must have room")
	// the tail is held by nothing yet: a fault that only the whole box shows, and that the page leads to
	if word := b.Text("#title"); !strings.Contains(word, "No verdict yet") {
		t.Fatalf("a tail that nothing holds: %q\n%s", word, b.record())
	}
	b.Do(`document.activeElement.blur(); scrollTo(0, 0)`)
	b.press("add", "/parts/1/rear/pilot")
	b.enter("/parts/1/rear/pilot/diameter", "130")
	b.press("add", "/parts/2/front/pilot")
	b.enter("/parts/2/front/pilot/diameter", "130,02")
	b.agrees(t)
	b.Shot("whole-box")

	kept, title := b.record(), b.Text("#title")
	b.Run(page.Reload(), chromedp.WaitReady("html[data-ready]"))
	if b.settled() != title || b.record() != kept {
		t.Errorf("reloaded the page says %q, before %q", b.Text("#title"), title)
	}
}

// What was there before a fresh start comes back; a record from a file opens.
func TestKeyboard_startAndOpen(t *testing.T) {
	b := open(t, 1280, 900)
	b.pick("#start", "a housing")
	b.TabTo("#begin")
	b.Keys(kb.Enter)
	b.agrees(t)
	first := b.record()
	file := filepath.Join(t.TempDir(), "demonstration.json")
	if err := os.WriteFile(file, []byte(demonstration(t)), 0o644); err != nil {
		t.Fatal(err)
	}
	b.Run(chromedp.SetUploadFiles("#file", []string{file}))
	b.Until(`document.querySelector('#told').textContent.includes('is open')`)
	if title := b.settled(); !strings.HasPrefix(title, "PASS: straight shafts have room, as measured, cold, unloaded: 0.007 mm left on radius") {
		t.Errorf("the demonstration: %q", title)
	}
	b.Do(`document.activeElement.blur()`)
	b.TabTo("#undo")
	b.Keys(kb.Enter)
	if b.settled(); b.record() != first {
		t.Error("what was there before is not back")
	}
}

// The verdict is never older than the last key, and marked as pending until it is there in full.
func TestKeyboard_pending(t *testing.T) {
	b := open(t, 1280, 900)
	b.load(demonstration(t))
	b.settled()
	state := browser.Eval[[]string](b.Tab, `(() => {
		const e = document.getElementById('f/accept/1/greatest'), out = [];
		for (const value of ['0,1', '0.1x', '0.3']) {
			e.value = value;
			e.dispatchEvent(new Event('input', {bubbles: true}));
			out.push(document.querySelector('#verdict').className + (document.querySelector('#pending').hidden ? '' : ' pending'));
		}
		return out;
	})()`)
	if got := strings.Join(state, ", "); got != "rest-fails pending, open, rest-holds pending" {
		t.Errorf("as it is typed the verdict is %s", got)
	}
	if title := b.settled(); !strings.HasPrefix(title, "PASS: ") {
		t.Errorf("at the end: %q", title)
	}
}
