package report

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// HTML writes the report of res, which [study.Run] made of rec, as one self-contained page: first what [Short] writes, which is the first side of A4 in print, with a picture; then pictures beside numbers, every limit and table with the pointers into the record that it rests on, the record itself, and what it was made of and by. The page holds no script and no address; it is light or dark as the reader prefers, and prints on A4. The words are those of [Text], the numbers behind them those of [JSON]. The same record and result give the same bytes.
//
// A number that is not finite is an error that names its key, as for [JSON]; results that are not of the record are an error that wraps [fault.ErrConflict]. On error nothing is written. In a program for the browser, which has a page of its own, the error wraps [errors.ErrUnsupported].
func HTML(w io.Writer, rec *record.Record, res *study.Result) error {
	t, err := tellFinite(rec, res)
	if err != nil {
		return err
	}
	if err := t.illustrate(); err != nil {
		return err
	}
	facts, source, err := t.provenance()
	if err != nil {
		return err
	}
	web := paper.Web{Facts: facts}
	web.Record, web.Anchors = listing(source, used(t.page))
	if err := t.page.HTML(w, web); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return nil
}

// mostRecord is how long a record may be to be shown in the page, in bytes.
const mostRecord = 512 << 10

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
			for i := 0; b.Table != nil && i < len(b.Table.Rows); i++ {
				add(b.Table.Rows[i].At)
			}
		}
	}
	return out
}

// listing is the record line by line, with an anchor for every wanted pointer that leads somewhere. A record that is too long is not listed, and has no anchors.
func listing(source []byte, wanted map[string]bool) ([]paper.Line, map[string]string) {
	anchors := map[string]string{}
	if len(source) > mostRecord {
		return nil, anchors
	}
	var out []paper.Line
	for line := range strings.Lines(string(source)) {
		body := strings.TrimLeft(line, " ") // the indentation stays, the rest is made safe to show
		out = append(out, paper.Line{Text: line[:len(line)-len(body)] + spell.Clean(strings.TrimRight(body, "\n"))})
	}
	for pointer, offset := range offsets(source) {
		if wanted[pointer] {
			line := &out[bytes.Count(source[:offset], []byte{'\n'})]
			line.ID = cmp.Or(line.ID, "at"+anchor(pointer))
			anchors[pointer] = line.ID
		}
	}
	return out, anchors
}

// anchor spells a pointer as an id: letters, digits and "-" stay, "/" is ".", all else is its code between "_".
func anchor(pointer string) string {
	var out strings.Builder
	for _, r := range pointer {
		switch {
		case r == '/':
			out.WriteByte('.')
		case r == '-' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9':
			out.WriteRune(r)
		default:
			fmt.Fprintf(&out, "_%x_", r)
		}
	}
	return out.String()
}

// offsets is where every value of a JSON text begins, by its pointer.
func offsets(source []byte) map[string]int {
	out := map[string]int{}
	d := json.NewDecoder(bytes.NewReader(source))
	var value func(pointer string)
	value = func(pointer string) {
		begin := int(d.InputOffset())
		for begin < len(source) && strings.IndexByte(" \n\r\t,:", source[begin]) >= 0 {
			begin++
		}
		out[pointer] = begin
		t, _ := d.Token() // what the library wrote is JSON
		delim, ok := t.(json.Delim)
		if !ok {
			return
		}
		for i := 0; d.More(); i++ {
			key := strconv.Itoa(i)
			if delim == '{' {
				k, _ := d.Token()
				key = token(fmt.Sprint(k))
			}
			value(pointer + "/" + key)
		}
		_, _ = d.Token()
	}
	value("")
	return out
}
