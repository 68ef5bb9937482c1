package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
)

// mostRecord is how long a record may be to be shown in the page, in bytes.
const mostRecord = 512 << 10

// recordLine is one line of the record, and the anchor of the value that begins on it when something leads there.
type recordLine struct{ ID, Text string }

// used are all pointers that the page leads to.
func used(p *paper.Page) map[string]bool {
	out := map[string]bool{}
	add := func(at []string) {
		for _, a := range at {
			out[a] = true
		}
	}
	for _, s := range p.Sections {
		for _, b := range s.Blocks {
			for _, i := range b.List {
				add(i.At)
			}
			if b.Table != nil {
				for _, r := range b.Table.Rows {
					add(r.At)
				}
			}
		}
	}
	return out
}

// listing is the record line by line, with an anchor for every wanted pointer that leads somewhere. A record that is too long is not listed, and has no anchors.
func listing(source []byte, wanted map[string]bool) ([]recordLine, map[string]string) {
	anchors := map[string]string{}
	if len(source) > mostRecord {
		return nil, anchors
	}
	var out []recordLine
	for line := range strings.Lines(string(source)) {
		out = append(out, recordLine{Text: printable(strings.TrimRight(line, "\n"))})
	}
	starts := lineStarts(source)
	for pointer, offset := range offsets(source) {
		if !wanted[pointer] {
			continue
		}
		line := lineOf(starts, offset)
		if out[line].ID == "" {
			out[line].ID = "at" + anchor(pointer)
		}
		anchors[pointer] = out[line].ID
	}
	return out, anchors
}

// anchor spells a pointer as an id: letters, digits and "-" stay, "/" is ".", all else is its code between "_".
func anchor(pointer string) string {
	var b strings.Builder
	for _, r := range pointer {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-':
			b.WriteRune(r)
		case r == '/':
			b.WriteByte('.')
		default:
			b.WriteString("_" + strconv.FormatInt(int64(r), 16) + "_")
		}
	}
	return b.String()
}

// printable keeps the indentation of a line and makes the rest safe to show.
func printable(line string) string {
	body := strings.TrimLeft(line, " ")
	return line[:len(line)-len(body)] + spell.Clean(body)
}

func lineStarts(source []byte) []int {
	out := []int{0}
	for i, c := range source {
		if c == '\n' {
			out = append(out, i+1)
		}
	}
	return out
}

// lineOf is the line that holds an offset.
func lineOf(starts []int, offset int) int {
	line, _ := slices.BinarySearch(starts, offset+1)
	return line - 1
}

// offsets is where every value of a JSON text begins, by its pointer.
func offsets(source []byte) map[string]int {
	out := map[string]int{}
	d := json.NewDecoder(bytes.NewReader(source))
	var value func(pointer string) error
	value = func(pointer string) error {
		begin := int(d.InputOffset())
		for begin < len(source) && strings.IndexByte(" \n\r\t,:", source[begin]) >= 0 {
			begin++
		}
		out[pointer] = begin
		t, err := d.Token()
		if err != nil {
			return err
		}
		delim, ok := t.(json.Delim)
		if !ok {
			return nil
		}
		for i := 0; d.More(); i++ {
			key := strconv.Itoa(i)
			if delim == '{' {
				k, err := d.Token()
				if err != nil {
					return err
				}
				key = token(fmt.Sprint(k))
			}
			if err := value(pointer + "/" + key); err != nil {
				return err
			}
		}
		_, err = d.Token()
		return err
	}
	if err := value(""); err != nil {
		return nil // what the library wrote is JSON
	}
	return out
}
