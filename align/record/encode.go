package record

import (
	"encoding/json"
	"fmt"
	"io"
)

// Encode writes the record as indented JSON. Decoding it gives the same record, number for number.
func (r *Record) Encode(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(r); err != nil {
		return fmt.Errorf("record: %w", err)
	}
	return nil
}
