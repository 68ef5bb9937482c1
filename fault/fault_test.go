package fault_test

import (
	"errors"
	"fmt"
	"testing"

	"example.com/borestack/fault"
)

func TestFieldError_says(t *testing.T) {
	for _, c := range []struct {
		err  fault.FieldError
		want string
	}{
		{fault.FieldError{Path: "/joints/2/pins/0/diameter", Value: "-4 mm", Want: "more than 0", Err: fault.ErrOutOfRange}, "/joints/2/pins/0/diameter: -4 mm: out of range: want more than 0"},
		{fault.FieldError{Path: "/parts/0/name", Want: "this key", Err: fault.ErrMissing}, "/parts/0/name: missing: want this key"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
		wrapped := fmt.Errorf("record: %w", &c.err)
		var f *fault.FieldError
		if !errors.Is(wrapped, c.err.Err) || !errors.As(wrapped, &f) || f.Path != c.err.Path {
			t.Errorf("%v: neither its class nor itself is found", wrapped)
		}
	}
}

func TestList_takesApart(t *testing.T) {
	a, b := errors.New("a"), errors.New("b")
	if n := len(fault.List(nil)); n != 0 {
		t.Errorf("nil is %d errors", n)
	}
	if got := fault.List(a); len(got) != 1 || got[0] != a {
		t.Errorf("one error is %v", got)
	}
	if got := fault.List(errors.Join(a, nil, b)); len(got) != 2 || got[1] != b {
		t.Errorf("two joined errors are %v", got)
	}
}
