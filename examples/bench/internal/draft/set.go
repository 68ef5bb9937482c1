package draft

import (
	"slices"
	"strconv"
	"strings"
)

// lists are the lists of fixed length, by the key that they stand under.
var lists = map[string]int{"slope": 2, "through": 2, "between": 2, "locates": 2, "step": 2}

// emptied are the keys that go with what was last in them.
var emptied = strings.Fields("gasket register_ring float centre slope through between locates step material")

// Set puts what was typed into a field. An empty field is taken out of the record; a reading that is empty was not taken. What cannot be understood stays as text, with the reason at its node.
func (d *Draft) Set(pointer, typed string) {
	pointer, typed = strings.ToValidUTF8(pointer, "?"), strings.ToValidUTF8(typed, "?")
	list := steps(pointer)
	if len(list) == 0 {
		return
	}
	at := d.root
	for i, s := range list[:len(list)-1] {
		next := at.child(s)
		if next == nil || next.shape == isNull && at.shape == isObject {
			if at.shape != isObject || typed == "" {
				return
			}
			next = &Node{shape: isObject}
			if n := fixed(list[:i+1]); n > 0 {
				next = &Node{shape: isList}
				for range n {
					next.vals = append(next.vals, &Node{})
				}
			}
			at.put(s, next)
		}
		at = next
	}
	last := list[len(list)-1]
	made := d.value(pointer, typed)
	switch {
	case at.shape == isList:
		if i, err := strconv.Atoi(last); err == nil && i >= 0 && i < len(at.vals) {
			at.vals[i] = made
		}
	case made.shape == isNull:
		at.drop(last)
	default:
		at.put(last, made)
	}
	d.prune(list[:len(list)-1])
}

// fixed is how long the list at a path is; 0: it is an object.
func fixed(path []string) int {
	name := path[len(path)-1]
	if name == "centre" {
		if slices.Contains(path, "bores") {
			return 3
		}
		return 2
	}
	return lists[name]
}

// prune takes out what is empty now, and stands for nothing when it is.
func (d *Draft) prune(path []string) {
	for n := len(path); n > 0 && slices.Contains(emptied, path[n-1]); n-- {
		parent := d.root
		for _, s := range path[:n-1] {
			if parent = parent.child(s); parent == nil {
				return
			}
		}
		own := parent.child(path[n-1])
		if own == nil || slices.ContainsFunc(own.vals, func(v *Node) bool { return v.shape != isNull }) {
			return
		}
		parent.drop(path[n-1])
	}
}

// value makes a node of what was typed into the field at a pointer.
func (d *Draft) value(pointer, typed string) *Node {
	kind := d.KindOf(pointer)
	text := strings.Trim(typed, " \t\u00a0")
	switch {
	case kind == Words && text != "":
		n := &Node{shape: isText, text: text}
		if typed != text {
			n.Typed = typed // a space that the next word may follow
		}
		return n
	case text == "", kind == Truth && text != "true":
		return &Node{}
	case kind == Truth:
		return &Node{shape: isTruth, text: "true"}
	case kind == Reading:
		if list := repeats(text); len(list) > 1 {
			n := &Node{shape: isList, Typed: typed}
			for _, t := range list {
				v := number(t, d.UnitOf(pointer))
				if v.Why != "" {
					return &Node{shape: isText, text: text, Typed: typed, Why: v.Why}
				}
				n.vals = append(n.vals, v)
				n.Said = join(n.Said, v.Said)
			}
			return n
		}
	}
	n := number(text, d.UnitOf(pointer))
	n.Typed = typed
	return n
}

func number(text, unit string) *Node {
	v, said, err := Read(text, unit)
	if err != nil {
		return &Node{shape: isText, text: text, Typed: text, Why: err.Error()}
	}
	return &Node{shape: isNumber, text: v, Typed: text, Said: said}
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// Unread lists the fields that were not understood, in the order of the record: pointer and reason.
func (d *Draft) Unread() (out [][2]string) {
	d.root.each("", func(pointer string, n *Node) {
		if n.Why != "" {
			out = append(out, [2]string{pointer, n.Why})
		}
	})
	return out
}
