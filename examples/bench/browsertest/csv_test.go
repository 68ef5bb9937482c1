package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A table dropped on the page gives the verdict that the command gives for the record and the table.
func TestCSV_dropped(t *testing.T) {
	table := "place;station;reading\n"
	for k, v := range []string{"14,02", "14,05", "14,08", "14,10", "14,08", "14,05", "14,02", "14,00"} {
		table += fmt.Sprintf("plate/thickness;%d;%s\n", k+1, v)
	}
	table += "clearance of tail/bush;;0,12\n"
	b := open(t, 1280, 900)
	b.Do(`load('start', 'three')`)
	before := b.record()
	drop := func(name, text string) {
		b.Do(fmt.Sprintf(`(() => {
			const d = new DataTransfer();
			d.items.add(new File([%q], %q));
			document.querySelector('#told').textContent = '';
			document.body.dispatchEvent(new DragEvent('drop', {dataTransfer: d, bubbles: true, cancelable: true}));
		})()`, text, name))
		b.Until(`document.querySelector('#told').textContent !== ''`)
	}
	drop("slip.csv", strings.Replace(table, "14,10", "14,1O", 1))
	if trouble := b.Text("#trouble"); !strings.Contains(trouble, "line 5, column 19") || b.record() != before {
		t.Errorf("a slip in the table: %q", trouble)
	}
	drop("readings.csv", table)
	if told := b.Text("#told"); !strings.Contains(told, "decimal commas") || b.Text("#trouble") != "" {
		t.Errorf("told %q, %q", told, b.Text("#trouble"))
	}
	b.agrees(t)
	file := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(file, []byte(table), 0o644); err != nil {
		t.Fatal(err)
	}
	if title, command := b.Text("#title"), says(t, before, file); !strings.HasPrefix(command, title) {
		t.Errorf("the page says %q, the command with the table %q", title, command)
	}
}
