package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
)

// Encode writes the record as indented JSON. Decoding it gives the same record, number for number.
func (r *Record) Encode(w io.Writer) error {
	var raw, out bytes.Buffer
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(r); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	if err := json.Indent(&out, raw.Bytes(), "", " "); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	_, err := out.WriteTo(w)
	return err
}
