package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// kind is what a JSON value is.
type kind uint8

const (
	isNull kind = iota
	isBool
	isNumber
	isString
	isArray
	isObject
)

// node is one JSON value as written.
type node struct {
	kind kind
	text string // number as written, or decoded string, or "true"/"false"
	keys []string
	vals []*node
}

// Bounds on what is read at all.
const (
	maxDepth = 32
	maxNodes = 2_000_000
)

// parse reads one JSON value strictly by RFC 8259, in valid UTF-8. Repeated keys are kept, for the
// decoder to refuse with their place.
func parse(src string) (*node, error) {
	const want = "JSON by RFC 8259: decimal points, a comma between values and none after the last, nothing behind the record"
	var whole json.RawMessage
	var bad *json.SyntaxError
	err := json.Unmarshal([]byte(src), &whole)
	switch {
	case !utf8.ValidString(src):
		return nil, notJSON(src, strings.IndexRune(src, utf8.RuneError), "text that is not UTF-8", "a record in UTF-8")
	case errors.As(err, &bad):
		return nil, notJSON(src, int(bad.Offset)-1, bad.Error(), want)
	case err != nil:
		return nil, fmt.Errorf("record: %w", err)
	}
	p := parser{json.NewDecoder(strings.NewReader(src)), src, 0}
	p.in.UseNumber()
	return p.value(0)
}

// notJSON says line, column, what was found and what would be right.
func notJSON(src string, at int, found, want string) error {
	at = max(0, min(at, len(src)))
	line, column := 1+strings.Count(src[:at], "\n"), at-strings.LastIndexByte(src[:at], '\n')
	return fmt.Errorf("record: line %d, column %d: %s: want %s", line, column, found, want)
}

// parser makes nodes of text that is known to be JSON.
type parser struct {
	in    *json.Decoder
	src   string
	nodes int
}

// value reads one value, at a depth of lists and objects.
func (p *parser) value(depth int) (*node, error) {
	token, err := p.in.Token()
	if err != nil {
		return nil, fmt.Errorf("record: %w", err)
	}
	fail := func(found, want string) error { return notJSON(p.src, int(p.in.InputOffset())-1, found, want) }
	if p.nodes++; p.nodes > maxNodes {
		return nil, fail("too many values", fmt.Sprintf("at most %d", maxNodes))
	}
	switch x := token.(type) {
	case string:
		if strings.ContainsRune(x, utf8.RuneError) { // what half a surrogate pair is read as
			return nil, fail("half a character in text", "whole characters")
		}
		return &node{kind: isString, text: x}, nil
	case json.Number:
		return &node{kind: isNumber, text: x.String()}, nil
	case bool:
		return &node{kind: isBool, text: strconv.FormatBool(x)}, nil
	case json.Delim:
		if depth >= maxDepth {
			return nil, fail("lists or objects nested too deeply", fmt.Sprintf("at most %d levels", maxDepth))
		}
		n := &node{kind: isArray}
		if x == '{' {
			n.kind = isObject
		}
		for p.in.More() {
			if n.kind == isObject {
				key, err := p.value(depth + 1)
				if err != nil {
					return nil, err
				}
				n.keys = append(n.keys, key.text)
			}
			v, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			n.vals = append(n.vals, v)
		}
		_, err := p.in.Token() // the closing bracket
		return n, err
	}
	return &node{kind: isNull, text: "null"}, nil
}

// step is one step of a JSON Pointer, escaped by RFC 6901.
func step(key string) string {
	return "/" + strings.ReplaceAll(strings.ReplaceAll(key, "~", "~0"), "/", "~1")
}

// unstep is the key of one step of a pointer.
func unstep(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
}

// find follows a JSON Pointer.
func (n *node) find(pointer string) (*node, bool) {
	if pointer == "" {
		return n, true
	}
	if pointer[0] != '/' {
		return nil, false
	}
	for _, s := range strings.Split(pointer[1:], "/") {
		s = unstep(s)
		var next *node
		switch n.kind {
		case isObject:
			for i, k := range n.keys {
				if k == s {
					next = n.vals[i]
					break
				}
			}
		case isArray:
			if i, ok := index(s); ok && i < len(n.vals) {
				next = n.vals[i]
			}
		}
		if next == nil {
			return nil, false
		}
		n = next
	}
	return n, true
}

// index reads an array index by RFC 6901: digits without a leading zero.
func index(s string) (int, bool) {
	n, err := strconv.Atoi(s)
	return n, err == nil && n >= 0 && strconv.Itoa(n) == s
}

// show is a value as written, shortened.
func (n *node) show() string {
	const most = 60
	s := n.text
	switch n.kind {
	case isNull:
		s = "null"
	case isString:
		if len(s) > most {
			s = strings.ToValidUTF8(s[:most], "") + "…"
		}
		return fmt.Sprintf("%q", s)
	case isArray:
		return n.showList()
	case isObject:
		return fmt.Sprintf("an object with %d keys", len(n.keys))
	}
	if len(s) > most {
		s = s[:most] + "…"
	}
	return s
}

// showList is a list as written when it is a pair or triple of numbers, otherwise its length.
func (n *node) showList() string {
	if len(n.vals) == 0 || len(n.vals) > 3 {
		return fmt.Sprintf("a list of %d", len(n.vals))
	}
	list := make([]string, len(n.vals))
	for i, v := range n.vals {
		if v.kind != isNumber {
			return fmt.Sprintf("a list of %d", len(n.vals))
		}
		list[i] = v.show()
	}
	return "[" + strings.Join(list, ", ") + "]"
}
