package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
)

// Number is a number as written: its text, which is written again, and its value. The zero value is
// not a number; make one with [Num].
type Number struct {
	Text  string
	Value float64
}

// Num returns v as a number, written so that it reads back to the same bits.
func Num(v float64) Number { return Number{strconv.FormatFloat(v, 'g', -1, 64), v} }

// MarshalJSON writes the number as it was written.
func (n Number) MarshalJSON() ([]byte, error) {
	if n.Text == "" {
		return json.Marshal(n.Value)
	}
	return []byte(n.Text), nil
}

// written is the number's text.
func (n Number) written() string {
	if n.Text == "" {
		return Num(n.Value).Text
	}
	return n.Text
}

// or is the value, or otherwise when the number is absent.
func (n *Number) or(otherwise float64) float64 {
	if n == nil {
		return otherwise
	}
	return n.Value
}

// Pair is two numbers: x and y.
type Pair [2]Number

// Triple is three numbers: x, y and z.
type Triple [3]Number

// Reading is one station's reading: null where it could not be reached, a number, or a list of repeats.
type Reading struct {
	Repeats []Number // empty: not reachable
	List    bool     // written as a list
}

// MarshalJSON writes null, a number, or a list.
func (r Reading) MarshalJSON() ([]byte, error) {
	switch {
	case r.List:
		return json.Marshal(r.Repeats)
	case len(r.Repeats) == 0:
		return []byte("null"), nil
	}
	return r.Repeats[0].MarshalJSON()
}

// Pointers is a JSON Pointer to one number, or a pair of them. The zero value is none.
type Pointers struct {
	List []string
}

// IsZero reports whether there is no pointer.
func (p Pointers) IsZero() bool { return len(p.List) == 0 }

// MarshalJSON writes one text or a list of two.
func (p Pointers) MarshalJSON() ([]byte, error) {
	if len(p.List) == 1 {
		return json.Marshal(p.List[0])
	}
	return json.Marshal(p.List)
}

// Material is a name from the library's table, or numbers.
type Material struct {
	Name      string  `json:"-"`
	Expansion Number  `json:"expansion" rule:"required,expansion"`
	Modulus   *Number `json:"modulus,omitempty" rule:"ratio,abovezero"`
	Poisson   *Number `json:"poisson,omitempty" rule:"notnegative,poisson"`
}

// MarshalJSON writes a name or an object.
func (m Material) MarshalJSON() ([]byte, error) {
	if m.Name != "" {
		return json.Marshal(m.Name)
	}
	type plain Material // without this method
	return json.Marshal(plain(m))
}

// Named is an object whose keys are names, in the order written.
type Named[T any] []Entry[T]

// Entry is one name and its value.
type Entry[T any] struct {
	Name  string
	Value T
}

// MarshalJSON writes the object in order.
func (n Named[T]) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, e := range n {
		k, err := json.Marshal(e.Name)
		if err != nil {
			return nil, err
		}
		v, err := json.Marshal(e.Value)
		if err != nil {
			return nil, err
		}
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "%s:%s", k, v)
	}
	return []byte("{" + b.String() + "}"), nil
}
