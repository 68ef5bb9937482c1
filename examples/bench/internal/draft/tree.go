package draft

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Draft is a record being written. The zero value is not usable; [Open] and [Skeleton] make one.
type Draft struct{ root *Node }

// shape is what a node is in JSON.
type shape int

const (
	isNull shape = iota
	isText
	isNumber
	isTruth
	isList
	isObject
)

// Node is one value of a draft.
type Node struct {
	shape shape
	text  string // of a text; of a number or truth as JSON writes it
	Typed string // what stands in the field, where it is not the value itself
	Said  string // how what was typed was understood, where that needs saying
	Why   string // why what was typed was not understood; empty: it was
	keys  []string
	vals  []*Node
}

// Open reads a draft: one JSON object, of which nothing is asked yet.
func Open(r io.Reader) (*Draft, error) {
	dec := json.NewDecoder(r)
	dec.UseNumber()
	n, err := read(dec, 0)
	if err != nil {
		return nil, fmt.Errorf("draft: %w", err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("draft: more than one JSON value")
	}
	if n.shape != isObject {
		return nil, errors.New("draft: a record is one JSON object")
	}
	d := &Draft{n}
	d.root.each("", func(pointer string, n *Node) { // what was not understood when it was saved
		if kind := d.KindOf(pointer); n.shape == isText && edited(pointer) && kind != Words && kind != Truth {
			*n = *d.value(pointer, n.text)
		}
	})
	return d, nil
}

// edited reports whether a field is one of those that are edited here; the rest of a record is kept as it came.
func edited(pointer string) bool {
	list := steps(pointer)
	return len(list) > 1 && slices.Contains([]string{"parts", "joints", "shafts", "pockets", "references", "accept", "candidates"}, list[0])
}

// deepest is how far objects and lists may be nested: a record has nine levels.
const deepest = 40

func read(dec *json.Decoder, depth int) (*Node, error) {
	token, err := dec.Token()
	if err != nil {
		return nil, err
	}
	if depth > deepest {
		return nil, errors.New("nested too deep for a record")
	}
	switch v := token.(type) {
	case string:
		return &Node{shape: isText, text: v}, nil
	case json.Number:
		return &Node{shape: isNumber, text: v.String()}, nil
	case bool:
		return &Node{shape: isTruth, text: strconv.FormatBool(v)}, nil
	case json.Delim:
		n := &Node{shape: isList}
		if v == '{' {
			n.shape = isObject
		}
		for dec.More() {
			if n.shape == isObject {
				key, err := dec.Token()
				if err != nil {
					return nil, err
				}
				if slices.Contains(n.keys, key.(string)) {
					return nil, fmt.Errorf("the key %q stands twice in one object", key)
				}
				n.keys = append(n.keys, key.(string))
			}
			child, err := read(dec, depth+1)
			if err != nil {
				return nil, err
			}
			n.vals = append(n.vals, child)
		}
		_, err := dec.Token()
		return n, err
	}
	return &Node{}, nil
}

// JSON is the draft as JSON, indented as the library writes records.
func (d *Draft) JSON() []byte {
	var raw, out bytes.Buffer
	d.root.write(&raw)
	if json.Indent(&out, raw.Bytes(), "", " ") != nil {
		return raw.Bytes() // not reached: what a node writes is JSON
	}
	return append(out.Bytes(), '\n')
}

// JSONAt is one value of the draft as JSON; nil where there is none.
func (d *Draft) JSONAt(pointer string) []byte {
	n := d.At(pointer)
	if n == nil {
		return nil
	}
	var b bytes.Buffer
	n.write(&b)
	return b.Bytes()
}

func (n *Node) write(b *bytes.Buffer) {
	quote := func(s string) {
		enc := json.NewEncoder(b)
		enc.SetEscapeHTML(false)
		_ = enc.Encode(s) // a text always encodes, with a line end that indenting takes off
	}
	switch n.shape {
	case isNull:
		b.WriteString("null")
	case isText:
		quote(n.text)
	case isNumber, isTruth:
		b.WriteString(n.text)
	default:
		open, end := byte('['), byte(']')
		if n.shape == isObject {
			open, end = '{', '}'
		}
		b.WriteByte(open)
		for i, v := range n.vals {
			if i > 0 {
				b.WriteByte(',')
			}
			if n.shape == isObject {
				quote(n.keys[i])
				b.WriteByte(':')
			}
			v.write(b)
		}
		b.WriteByte(end)
	}
}

// steps takes a pointer apart.
func steps(pointer string) []string {
	if pointer == "" {
		return nil
	}
	out := strings.Split(strings.TrimPrefix(pointer, "/"), "/")
	for i := range out {
		if strings.Contains(out[i], "~") {
			out[i] = strings.ReplaceAll(strings.ReplaceAll(out[i], "~1", "/"), "~0", "~")
		}
	}
	return out
}

// Step is a name as one step of a pointer.
func Step(name string) string {
	return strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1")
}

// At is the node at a pointer; nil where there is none.
func (d *Draft) At(pointer string) *Node {
	n := d.root
	for _, s := range steps(pointer) {
		if n = n.child(s); n == nil {
			return nil
		}
	}
	return n
}

// child is a node's child by key or index; nil where there is none.
func (n *Node) child(step string) *Node {
	switch n.shape {
	case isObject:
		if i := slices.Index(n.keys, step); i >= 0 {
			return n.vals[i]
		}
	case isList:
		if i, err := strconv.Atoi(step); err == nil && i >= 0 && i < len(n.vals) {
			return n.vals[i]
		}
	}
	return nil
}

// put gives an object a child.
func (n *Node) put(key string, v *Node) {
	if i := slices.Index(n.keys, key); i >= 0 {
		n.vals[i] = v
		return
	}
	n.keys, n.vals = append(n.keys, key), append(n.vals, v)
}

// drop takes a child out of an object or list.
func (n *Node) drop(step string) {
	i := slices.Index(n.keys, step)
	if n.shape == isList {
		k, err := strconv.Atoi(step)
		if i = k; err != nil || k >= len(n.vals) {
			return
		}
	}
	if i < 0 {
		return
	}
	n.vals = slices.Delete(n.vals, i, i+1)
	if n.shape == isObject {
		n.keys = slices.Delete(n.keys, i, i+1)
	}
}

// clone copies a node and all below it.
func (n *Node) clone() *Node {
	c := *n
	c.keys, c.vals = slices.Clone(n.keys), nil
	for _, v := range n.vals {
		c.vals = append(c.vals, v.clone())
	}
	return &c
}

// parse makes a node of JSON text that is known to be valid.
func parse(text string) *Node {
	d, err := Open(strings.NewReader(text))
	if err != nil {
		panic(err) // only called with constants of this package
	}
	return d.root
}

// Has reports whether there is a value at a pointer.
func (d *Draft) Has(pointer string) bool { return d.At(pointer) != nil }

// Count is how many values a list, or keys an object, at a pointer has; 0 where there is none.
func (d *Draft) Count(pointer string) int {
	if n := d.At(pointer); n != nil {
		return len(n.vals)
	}
	return 0
}

// Keys are the keys of an object at a pointer, in order.
func (d *Draft) Keys(pointer string) []string {
	if n := d.At(pointer); n != nil {
		return slices.Clone(n.keys)
	}
	return nil
}

// Text is what stands in the field at a pointer: what was typed, or the value; repeats of a reading with spaces between them.
func (d *Draft) Text(pointer string) string {
	n := d.At(pointer)
	if n == nil {
		return ""
	}
	return n.field()
}

func (n *Node) field() string {
	switch {
	case n.Typed != "":
		return n.Typed
	case n.shape == isList:
		var out []string
		for _, v := range n.vals {
			out = append(out, v.field())
		}
		return strings.Join(out, " ")
	}
	return n.text
}

// Number is the number at a pointer, and whether there is one.
func (d *Draft) Number(pointer string) (float64, bool) {
	n := d.At(pointer)
	if n == nil {
		return 0, false
	}
	if n.shape == isList { // repeats: their mean
		var sum float64
		for _, v := range n.vals {
			x, err := strconv.ParseFloat(v.text, 64)
			if v.shape != isNumber || err != nil {
				return 0, false
			}
			sum += x
		}
		return sum / float64(len(n.vals)), len(n.vals) > 0
	}
	v, err := strconv.ParseFloat(n.text, 64)
	return v, n.shape == isNumber && err == nil
}

// Each calls f for every node below and at a pointer, with its pointer.
func (d *Draft) Each(pointer string, f func(pointer string, n *Node)) {
	if n := d.At(pointer); n != nil {
		n.each(pointer, f)
	}
}

func (n *Node) each(pointer string, f func(string, *Node)) {
	f(pointer, n)
	for i, v := range n.vals {
		step := strconv.Itoa(i)
		if n.shape == isObject {
			step = Step(n.keys[i])
		}
		v.each(pointer+"/"+step, f)
	}
}
