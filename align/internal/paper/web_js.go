//go:build js

package paper

import (
	"errors"
	"fmt"
	"io"
)

// HTML writes no page in a program for the browser, which has one of its own: its error wraps
// [errors.ErrUnsupported].
func (p *Page) HTML(io.Writer, Web) error { return fmt.Errorf("a web page: %w", errors.ErrUnsupported) }
