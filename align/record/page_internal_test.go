package record

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/internal/quantity"
)

// skeletons are the complete records of the record's page.
var skeletons = regexp.MustCompile("(?s)```json\n(\\{\n.*?)```")

func readPage(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile("../../RECORD.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// keysOf lists every key that a record may hold, from the field tags.
func keysOf(t reflect.Type, keys map[string]bool, done map[reflect.Type]bool) {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Array {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || done[t] {
		return
	}
	done[t] = true
	for _, f := range fields(t) {
		keys[f.key] = true
		keysOf(t.FieldByIndex(f.index).Type, keys, done)
		for _, word := range strings.Split(f.rule, ",") {
			if strings.Contains(word, "|") {
				for _, w := range strings.Split(word, "|") {
					keys[w] = true
				}
			}
			if word == "quantity" {
				for _, w := range quantity.Words() {
					keys[w] = true
				}
			}
		}
	}
}

// The page names every key and every word that the decoder takes.
func TestPage_namesEveryKey(t *testing.T) {
	page := readPage(t)
	keys := map[string]bool{}
	keysOf(reflect.TypeFor[Record](), keys, map[reflect.Type]bool{})
	if len(keys) < 100 {
		t.Fatalf("only %d keys found in the field tags", len(keys))
	}
	for key := range keys {
		if !strings.Contains(page, `"`+key+`"`) && !strings.Contains(page, "`"+key+"`") {
			t.Errorf("RECORD.md does not name %q", key)
		}
	}
}

// Its skeletons are records without anything odd.
func TestPage_skeletonsAreClean(t *testing.T) {
	found := skeletons.FindAllStringSubmatch(readPage(t), -1)
	if len(found) < 3 {
		t.Fatalf("%d skeletons on the page", len(found))
	}
	for i, s := range found {
		rec, err := Decode(strings.NewReader(s[1]))
		if err != nil {
			t.Errorf("skeleton %d: %v", i, err)
			continue
		}
		if w, d := rec.Warnings(), rec.Doubts(); len(w) > 0 || len(d) > 0 {
			t.Errorf("skeleton %d: warnings %v, doubts %v", i, w, d)
		}
	}
}
