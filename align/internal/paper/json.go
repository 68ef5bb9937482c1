package paper

import (
	"bytes"
	"encoding/json"
	"io"
)

// JSON writes the page as an object of the format named: its sections in order, each of blocks as they stand, tables with
// their fields' numbers in full. Drawings and pictures are not in it.
func (p *Page) JSON(w io.Writer, format string) error {
	out := struct {
		Format string `json:"format"`
		Page
	}{format, *p}
	if out.Sections == nil {
		out.Sections = []*Section{}
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(out)
}

// MarshalText writes a column's head.
func (c Column) MarshalText() ([]byte, error) { return []byte(c.Head), nil }

// MarshalJSON writes a row's cells; null for the name of the rows below it.
func (r Row) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(r.Cells)
	return b.Bytes(), err
}
