//go:build js

package report

import (
	"errors"
	"fmt"
	"io"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
)

// HTML writes no page in a program for the browser, which has one of its own: its error wraps
// [errors.ErrUnsupported].
func HTML(w io.Writer, rec *record.Record, res *study.Result) error {
	return fmt.Errorf("report: a web page: %w", errors.ErrUnsupported)
}
