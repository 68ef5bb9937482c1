package tolerance

import "encoding/json"

// Optional is a value that may be missing. The zero value is not given; a given zero counts.
type Optional[T any] struct {
	Value T
	Given bool
}

// Given returns v as given.
func Given[T any](v T) Optional[T] { return Optional[T]{v, true} }

// Get returns the value and whether it was given.
func (o Optional[T]) Get() (T, bool) { return o.Value, o.Given }

// Or returns the value, or otherwise when it was not given.
func (o Optional[T]) Or(otherwise T) T {
	if o.Given {
		return o.Value
	}
	return otherwise
}

// MarshalJSON writes null for a value that was not given.
func (o Optional[T]) MarshalJSON() ([]byte, error) {
	if !o.Given {
		return []byte("null"), nil
	}
	return json.Marshal(o.Value)
}

// UnmarshalJSON reads null as not given.
func (o *Optional[T]) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*o = Optional[T]{}
		return nil
	}
	if err := json.Unmarshal(b, &o.Value); err != nil {
		return err
	}
	o.Given = true
	return nil
}

// Share is what one named thing has of a whole: a source of a variance, a support of what governs.
// The zero value is nothing of nothing.
type Share struct {
	Name  string
	Share float64 // 0 to 1 of the whole
}
