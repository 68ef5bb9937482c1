package browsertest

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp/kb"
)

// The record that is saved is a file with the record in it.
func TestSave_file(t *testing.T) {
	b := open(t, 1280, 900)
	b.Do(`load('start', 'shield')`)
	dir := t.TempDir()
	b.Run(cdp.SetDownloadBehavior(cdp.SetDownloadBehaviorBehaviorAllow).WithDownloadPath(dir))
	b.TabTo("#save")
	b.Keys(kb.Enter)
	var text []byte
	for range 200 {
		if text, _ = os.ReadFile(filepath.Join(dir, "record.json")); len(text) > 0 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if want := b.record(); string(text) != want {
		t.Errorf("saved:\n%s\nwant:\n%s", text, want)
	}
	b.agrees(t)
}
