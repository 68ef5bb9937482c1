// Package browsertest tries the bench page in a real browser. It is a module of its own because it needs a browser driver.
//
// Set PAGE_SHOTS to a folder to keep the screenshots, to be looked at.
package browsertest

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"example.com/borestack/examples/internal/browser"
)

const root = "../../.." // the library's own module

// site is the folder that the page was written to, command the program that says what the page must say.
var site, command string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "command")
	if err == nil {
		command = filepath.Join(dir, "driveline")
		build := exec.Command("go", "build", "-o", command, "./examples/driveline")
		build.Dir = root
		var said []byte
		if said, err = build.CombinedOutput(); err != nil {
			err = fmt.Errorf("%w\n%s", err, said)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "the command was not built:", err)
		os.Exit(1)
	}
	status := browser.Main(m, "example.com/borestack/examples/bench", root, &site)
	os.RemoveAll(dir)
	os.Exit(status)
}

// bench is the page in a tab.
type bench struct{ *browser.Tab }

func open(t testing.TB, width, height int64, before ...chromedp.Action) bench {
	t.Helper()
	return bench{browser.Open(t, site, width, height, before...)}
}

// settled waits for the verdict in full of what now stands on the page, and returns it.
func (b bench) settled() string {
	b.T.Helper()
	b.Until(`document.documentElement.dataset.full === String(turn)`)
	return b.Text("#title")
}

// record is the record as the page saves it.
func (b bench) record() string {
	b.T.Helper()
	return browser.Eval[string](b.Tab, `JSON.parse(borestack.record())`)
}

// says is the verdict and the first sentence that the command gives for a record and what else it is called with.
func says(t *testing.T, record string, more ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "record.json")
	if err := os.WriteFile(file, []byte(record), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, bad bytes.Buffer
	run := exec.Command(command, append([]string{file, "-samples", "1"}, more...)...)
	run.Stdout, run.Stderr = &out, &bad
	_ = run.Run() // the status says the verdict
	if out.Len() == 0 {
		t.Fatalf("the command says %s", bad.String())
	}
	head, _, _ := strings.Cut(out.String(), "\n\n")
	return strings.Join(strings.Fields(head), " ")
}

// agrees holds the page's verdict against the command's for the record that the page saves.
func (b bench) agrees(t *testing.T, more ...string) {
	t.Helper()
	title := b.settled()
	if command := says(t, b.record(), more...); title == "" || !strings.HasPrefix(command, title) {
		t.Errorf("the page says %q, the command %q", title, command)
	}
}

// demonstration is the command's own record, from which the study of what varies is left out.
func demonstration(t testing.TB) string {
	text, err := os.ReadFile(filepath.Join(root, "examples/driveline/harbour-launch.json"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// load opens a record in the page.
func (b bench) load(record string) {
	b.T.Helper()
	b.Do(fmt.Sprintf("load('open', %q)", record))
}
