package report

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// says reads the number that a field tells, in the field's unit, and half of its last figure. False: it tells none.
func says(c *paper.Cell) (v, half float64, ok bool) {
	text := strings.TrimPrefix(strings.TrimPrefix(c.Text, "outside by "), "inside by ")
	digits, rest := text, ""
	if i := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("-.0123456789", r) }); i >= 0 {
		digits, rest = text[:i], strings.TrimSpace(text[i:])
	}
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return 0, 0, false
	}
	places := 0
	if i := strings.IndexByte(digits, '.'); i >= 0 {
		places = len(digits) - i - 1
	}
	scale := 1.0
	switch told, _, _ := strings.Cut(rest, " "); {
	case told == "%":
		scale = 0.01
	case told == "mrad" && c.Unit == "":
		scale = 0.001
	}
	if strings.HasPrefix(c.Text, "outside by ") {
		v = -v
	}
	half = 0.5 * scale * math.Pow10(-places)
	if c.Unit == "N" && places == 0 { // three figures, the zeros behind them are none
		half = 0.5 * math.Pow10(max(len(digits)-3, 0))
	}
	return v * scale, half, true
}

// What a field tells is the number that it knows, rounded to the figures that it shows, and every row leads somewhere in the
// record.
func TestTell_fieldsKnowTheirNumbers(t *testing.T) {
	files, err := filepath.Glob("../../testdata/records/*.json")
	more, _ := filepath.Glob("../../testdata/records/firstlines/*.json")
	if files = append(files, more...); err != nil || len(files) < 5 {
		t.Fatalf("%d records: %v", len(files), err)
	}
	numbers, units := 0, map[string]int{}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		rec, err := record.Decode(strings.NewReader(string(b)))
		if err != nil {
			t.Fatal(err)
		}
		res, err := study.Run(t.Context(), rec)
		if err != nil {
			t.Fatal(err)
		}
		if res.Variations, err = study.Vary(t.Context(), rec, stackup.Settings{Samples: 50, Seed: 1}); err != nil {
			t.Fatal(err)
		}
		tree := offsets(encoded(t, rec))
		for _, s := range tell(rec, res).page.Sections {
			for _, block := range s.Blocks {
				for _, i := range block.List {
					leads(t, file+" "+s.ID, tree, i.At)
					for k := range rec.Meshes {
						if m := &rec.Meshes[k]; s.ID == "meshes" && strings.HasPrefix(i.Text, m.Name) && (len(i.At) != 1 || i.At[0] != "/meshes/"+strconv.Itoa(k)) {
							t.Errorf("%s: %q leads to %v", file, i.Text, i.At)
						}
					}
				}
				if block.Table == nil {
					continue
				}
				for _, r := range block.Table.Rows {
					leads(t, file+" "+s.ID, tree, r.At)
					for k := range r.Cells {
						c := &r.Cells[k]
						if c.Value == nil {
							continue
						}
						numbers++
						units[c.Unit]++
						if v, half, ok := says(c); ok && math.Abs(v-*c.Value) > half*(1+1e-9)+1e-12 {
							t.Errorf("%s: %s, %q: it knows %v %s", file, s.ID, c.Text, *c.Value, c.Unit)
						}
					}
				}
			}
		}
	}
	if numbers < 300 || units["mm"] == 0 || units["in"] == 0 || units["mm/m"] == 0 || units["thou/in"] == 0 || units["N"] == 0 || units[""] == 0 {
		t.Errorf("%d numbers, in %v", numbers, units)
	}
}

func encoded(t *testing.T, rec *record.Record) []byte {
	t.Helper()
	var b strings.Builder
	if err := rec.Encode(&b); err != nil {
		t.Fatal(err)
	}
	return []byte(b.String())
}

func leads(t *testing.T, of string, tree map[string]int, at []string) {
	t.Helper()
	for _, a := range at {
		if _, there := tree[a]; !there {
			t.Errorf("%s: %s leads nowhere in the record", of, a)
		}
	}
}
