package record

import (
	"fmt"
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

func (k kind) String() string {
	return [...]string{"null", "true or false", "a number", "text", "a list", "an object"}[k]
}

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

// parser reads JSON strictly by RFC 8259: valid UTF-8, no comments, no trailing commas, nothing after the value. Repeated keys are kept, for the decoder to refuse with their place.
type parser struct {
	src   string
	pos   int
	nodes int
}

// parse reads one value.
func parse(src string) (*node, error) {
	p := &parser{src: src}
	if !utf8.ValidString(src) {
		return nil, p.fail("text that is not UTF-8", "a record in UTF-8")
	}
	p.space()
	n, err := p.value(0)
	if err != nil {
		return nil, err
	}
	p.space()
	if p.pos < len(p.src) {
		return nil, p.fail(p.here(), "nothing after the record")
	}
	return n, nil
}

// fail says line, column, what was found and what would be right.
func (p *parser) fail(found, want string) error {
	line := 1 + strings.Count(p.src[:p.pos], "\n")
	col := p.pos - strings.LastIndexByte(p.src[:p.pos], '\n')
	return fmt.Errorf("record: line %d, column %d: found %s: want %s", line, col, found, want)
}

func (p *parser) here() string {
	if p.pos >= len(p.src) {
		return "the end"
	}
	r, _ := utf8.DecodeRuneInString(p.src[p.pos:])
	return fmt.Sprintf("%q", r)
}

func (p *parser) space() {
	for p.pos < len(p.src) {
		switch p.src[p.pos] {
		case ' ', '\t', '\n', '\r':
			p.pos++
		default:
			return
		}
	}
}

func (p *parser) value(depth int) (*node, error) {
	if p.nodes++; p.nodes > maxNodes {
		return nil, p.fail("too many values", fmt.Sprintf("at most %d", maxNodes))
	}
	if depth > maxDepth {
		return nil, p.fail("lists or objects nested too deeply", fmt.Sprintf("at most %d levels", maxDepth))
	}
	if p.pos >= len(p.src) {
		return nil, p.fail("the end", "a value")
	}
	switch c := p.src[p.pos]; {
	case c == '{':
		return p.object(depth)
	case c == '[':
		return p.array(depth)
	case c == '"':
		s, err := p.str()
		return &node{kind: isString, text: s}, err
	case c == '-' || c >= '0' && c <= '9':
		return p.number()
	}
	for _, w := range [...]string{"null", "true", "false"} {
		if strings.HasPrefix(p.src[p.pos:], w) {
			p.pos += len(w)
			n := &node{kind: isBool, text: w}
			if w == "null" {
				n.kind = isNull
			}
			return n, nil
		}
	}
	return nil, p.fail(p.here(), "a value")
}

func (p *parser) object(depth int) (*node, error) {
	n := &node{kind: isObject}
	p.pos++
	for first := true; ; first = false {
		p.space()
		if first && p.pos < len(p.src) && p.src[p.pos] == '}' {
			p.pos++
			return n, nil
		}
		if p.pos >= len(p.src) || p.src[p.pos] != '"' {
			return nil, p.fail(p.here(), "a key in double quotes")
		}
		key, err := p.str()
		if err != nil {
			return nil, err
		}
		p.space()
		if p.pos >= len(p.src) || p.src[p.pos] != ':' {
			return nil, p.fail(p.here(), "a colon after the key")
		}
		p.pos++
		p.space()
		v, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.keys, n.vals = append(n.keys, key), append(n.vals, v)
		if done, err := p.next('}'); err != nil || done {
			return n, err
		}
	}
}

func (p *parser) array(depth int) (*node, error) {
	n := &node{kind: isArray}
	p.pos++
	p.space()
	if p.pos < len(p.src) && p.src[p.pos] == ']' {
		p.pos++
		return n, nil
	}
	for {
		p.space()
		v, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.vals = append(n.vals, v)
		if done, err := p.next(']'); err != nil || done {
			return n, err
		}
	}
}

// next reads a comma or the closing bracket.
func (p *parser) next(closing byte) (done bool, err error) {
	p.space()
	if p.pos < len(p.src) {
		switch p.src[p.pos] {
		case ',':
			p.pos++
			return false, nil
		case closing:
			p.pos++
			return true, nil
		}
	}
	return false, p.fail(p.here(), fmt.Sprintf("a comma or %q", closing))
}

func (p *parser) number() (*node, error) {
	at := p.pos
	digits := func() bool {
		from := p.pos
		for p.pos < len(p.src) && p.src[p.pos] >= '0' && p.src[p.pos] <= '9' {
			p.pos++
		}
		return p.pos > from
	}
	if p.src[p.pos] == '-' {
		p.pos++
	}
	zero := p.pos < len(p.src) && p.src[p.pos] == '0'
	from := p.pos
	if !digits() || (zero && p.pos > from+1) {
		p.pos = at
		return nil, p.fail("a malformed number", "digits, without a leading zero")
	}
	if p.pos < len(p.src) && p.src[p.pos] == '.' {
		p.pos++
		if !digits() {
			p.pos = at
			return nil, p.fail("a malformed number", "digits after the point")
		}
	}
	if p.pos < len(p.src) && (p.src[p.pos] == 'e' || p.src[p.pos] == 'E') {
		p.pos++
		if p.pos < len(p.src) && (p.src[p.pos] == '+' || p.src[p.pos] == '-') {
			p.pos++
		}
		if !digits() {
			p.pos = at
			return nil, p.fail("a malformed number", "digits in the exponent")
		}
	}
	return &node{kind: isNumber, text: p.src[at:p.pos]}, nil
}

func (p *parser) str() (string, error) {
	p.pos++
	var b strings.Builder
	for {
		if p.pos >= len(p.src) {
			return "", p.fail("the end", "a closing quote")
		}
		c := p.src[p.pos]
		switch {
		case c == '"':
			p.pos++
			return b.String(), nil
		case c < 0x20:
			return "", p.fail("a control character in text", "an escape such as \\n")
		case c != '\\':
			from := p.pos
			for p.pos < len(p.src) && p.src[p.pos] >= 0x20 && p.src[p.pos] != '"' && p.src[p.pos] != '\\' {
				p.pos++
			}
			b.WriteString(p.src[from:p.pos])
			continue
		}
		if err := p.escape(&b); err != nil {
			return "", err
		}
	}
}

func (p *parser) escape(b *strings.Builder) error {
	if p.pos+1 >= len(p.src) {
		return p.fail("the end", "a closing quote")
	}
	c := p.src[p.pos+1]
	if i := strings.IndexByte(`"\/bfnrt`, c); i >= 0 {
		b.WriteByte("\"\\/\b\f\n\r\t"[i])
		p.pos += 2
		return nil
	}
	if c != 'u' {
		return p.fail("an unknown escape", `one of \" \\ \/ \b \f \n \r \t \uXXXX`)
	}
	r, ok := p.hex(p.pos + 2)
	if !ok {
		return p.fail("a malformed escape", "four hexadecimal digits after \\u")
	}
	p.pos += 6
	if r >= 0xD800 && r < 0xE000 { // a surrogate needs its other half
		low, ok := rune(0), false
		if strings.HasPrefix(p.src[p.pos:], `\u`) {
			low, ok = p.hex(p.pos + 2)
		}
		if !ok || r >= 0xDC00 || low < 0xDC00 || low >= 0xE000 {
			return p.fail("half a surrogate pair", "a whole character")
		}
		p.pos += 6
		r = 0x10000 + (r-0xD800)<<10 + (low - 0xDC00)
	}
	b.WriteRune(r)
	return nil
}

func (p *parser) hex(at int) (rune, bool) {
	if at+4 > len(p.src) {
		return 0, false
	}
	var r rune
	for _, c := range []byte(p.src[at : at+4]) {
		r <<= 4
		switch {
		case c >= '0' && c <= '9':
			r += rune(c - '0')
		case c >= 'a' && c <= 'f':
			r += rune(c-'a') + 10
		case c >= 'A' && c <= 'F':
			r += rune(c-'A') + 10
		default:
			return 0, false
		}
	}
	return r, true
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
	if s == "" || len(s) > 7 || (len(s) > 1 && s[0] == '0') {
		return 0, false
	}
	n := 0
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, true
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
