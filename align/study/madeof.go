package study

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// digestOf is the SHA-256 of a record as the library writes it, in hexadecimal: what results were made of.
func digestOf(rec *record.Record) (string, error) {
	var b bytes.Buffer
	if err := rec.Encode(&b); err != nil {
		return "", fmt.Errorf("study: %w", err)
	}
	sum := sha256.Sum256(b.Bytes())
	return hex.EncodeToString(sum[:]), nil
}

// MadeOf returns nil when the result, and every variation that was put in it, was made of a record
// that reads like rec, by [Run], [Vary] or [Merge]; an error that wraps [fault.ErrConflict] when
// one was made of another record, or of rec before it was changed, or when its Assembly is
// another's; and one that wraps [fault.ErrMissing] when there is no result or no record.
func (r *Result) MadeOf(rec *record.Record) error {
	switch {
	case rec == nil:
		return &fault.FieldError{Path: "record", Want: "a record", Err: fault.ErrMissing}
	case r == nil || r.Assembly == nil || r.made == "":
		return &fault.FieldError{Path: "result", Want: "a result of study.Run", Err: fault.ErrMissing}
	}
	digest, err := digestOf(rec)
	if err != nil {
		return err
	}
	if r.made != digest || r.of != r.Assembly {
		return &fault.FieldError{Path: "result", Value: "made of another record", Want: "what study.Run made of this record as it is", Err: fault.ErrConflict}
	}
	for i, v := range r.Variations {
		at := fmt.Sprintf("variation %d", i+1)
		switch {
		case v == nil || v.made == "":
			return &fault.FieldError{Path: at, Want: "a variation of study.Vary or study.Merge", Err: fault.ErrMissing}
		case v.made != digest:
			return &fault.FieldError{Path: at, Value: "made of another record", Want: "what study.Vary made of this record as it is", Err: fault.ErrConflict}
		}
	}
	return nil
}
