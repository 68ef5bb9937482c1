package draft

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// fresh is what a new member of a list or a new object looks like, by the key that it stands under.
var fresh = map[string]string{
	"parts":      `{"name": ""}`,
	"front":      `{}`,
	"rear":       `{}`,
	"pilot":      `{"kind": "spigot", "centre": [0, 0]}`,
	"dowels":     `{"name": ""}`,
	"bores":      `{"name": "", "centre": [0, 0, null]}`,
	"pins":       `{"dowel": "", "pressed": "front"}`,
	"bolts":      `[null, null]`,
	"shafts":     `{"name": "", "supports": []}`,
	"supports":   `{"bore": ""}`,
	"pockets":    `{"name": "", "between": ["", ""]}`,
	"references": `{"name": "", "through": ["", ""]}`,
	"accept":     `{"output": {"kind": "margin"}, "least": 0, "because": ""}`,
}

// usualStations is how many stations a new round has.
const usualStations = 8

// Do changes the draft's structure: "add" to the list or object at a pointer, "remove" what is there, move it "up" or "down" its list, set its "way" of being known, or its number of "stations". It returns the pointer of what is new or moved, which should have the focus; empty: nothing in particular.
func (d *Draft) Do(verb, pointer, arg string) (focus string, err error) {
	switch verb {
	case "add":
		return d.add(pointer)
	case "remove":
		return d.remove(pointer)
	case "up", "down":
		return d.move(pointer, map[string]int{"up": -1, "down": 1}[verb])
	case "way":
		return pointer, d.way(pointer, arg)
	case "stations":
		return pointer, d.stations(pointer, arg)
	}
	return "", fmt.Errorf("draft: cannot %q", verb)
}

// parent is the node above a pointer, made where it is missing, and the last step.
func (d *Draft) parent(pointer string) (*Node, string, error) {
	list := steps(pointer)
	if len(list) == 0 {
		return nil, "", fmt.Errorf("draft: nothing stands above the record")
	}
	at := d.root
	for _, s := range list[:len(list)-1] {
		next := at.child(s)
		if next == nil && at.shape == isObject {
			next = &Node{shape: isObject}
			at.put(s, next)
		}
		if next == nil || next.shape != isObject && next.shape != isList {
			return nil, "", fmt.Errorf("draft: nothing is at %s", pointer)
		}
		at = next
	}
	return at, list[len(list)-1], nil
}

func (d *Draft) add(pointer string) (string, error) {
	at, name, err := d.parent(pointer)
	if err != nil {
		return "", err
	}
	if list := steps(pointer); len(list) == 2 && list[0] == "candidates" {
		return d.addCandidate(at, name, pointer)
	}
	text, known := fresh[name]
	if !known {
		return "", fmt.Errorf("draft: nothing can be added at %s", pointer)
	}
	made := parse(`{"made": ` + text + `}`).vals[0]
	if !strings.HasSuffix(name, "s") && name != "accept" { // an object
		if at.child(name) == nil {
			at.put(name, made)
		}
		if name == "pilot" && strings.HasSuffix(pointer, "/front/pilot") && strings.HasPrefix(pointer, "/parts/") {
			d.matchPilot(pointer, made)
		}
		return pointer, nil
	}
	list := at.child(name)
	if list == nil {
		list = &Node{shape: isList}
		at.put(name, list)
	}
	list.vals = append(list.vals, made)
	if name == "parts" {
		d.partAdded(made, len(list.vals))
	}
	return pointer + "/" + strconv.Itoa(len(list.vals)-1), nil
}

// matchPilot makes a new pilot the counterpart of the one that it meets.
func (d *Draft) matchPilot(pointer string, made *Node) {
	i, err := strconv.Atoi(steps(pointer)[1])
	if err == nil && i > 0 && d.Text(fmt.Sprintf("/parts/%d/rear/pilot/kind", i-1)) == "spigot" {
		made.put("kind", &Node{shape: isText, text: "bore"})
	}
}

// partAdded gives a new part the face that meets the one ahead, and the joint between them.
func (d *Draft) partAdded(part *Node, count int) {
	if count == 1 {
		part.put("rear", &Node{shape: isObject})
		return
	}
	part.put("front", &Node{shape: isObject})
	joints := d.root.child("joints")
	if joints == nil {
		joints = &Node{shape: isList}
		d.root.put("joints", joints)
	}
	for len(joints.vals) < count-1 {
		joints.vals = append(joints.vals, &Node{shape: isObject})
	}
	if ahead := d.At(fmt.Sprintf("/parts/%d", count-2)); ahead.child("rear") == nil {
		ahead.put("rear", &Node{shape: isObject})
	}
}

// addCandidate begins a candidate as a copy of the part measured in its place, under a name of its own.
func (d *Draft) addCandidate(at *Node, place, pointer string) (string, error) {
	var own *Node
	for i := range d.Count("/parts") {
		if d.Text(fmt.Sprintf("/parts/%d/name", i)) == place {
			own = d.At(fmt.Sprintf("/parts/%d", i)).clone()
		}
	}
	if own == nil {
		return "", fmt.Errorf("draft: no part is named %q", place)
	}
	list := at.child(place)
	if list == nil {
		list = &Node{shape: isList}
		at.put(place, list)
	}
	name := fmt.Sprintf("%s %c", place, 'A'+len(list.vals)%26)
	own.put("name", &Node{shape: isText, text: name})
	own.each("", func(_ string, n *Node) { // a dial that turned about a bore of that part turns about the copy's
		if about := n.child("about"); about != nil {
			if _, bore, ok := strings.Cut(about.text, "/"); ok {
				about.text, about.Typed = name+"/"+bore, ""
			}
		}
		if readings := n.child("readings"); readings != nil { // it was not measured yet
			for i := range readings.vals {
				readings.vals[i] = &Node{}
			}
			n.drop("closing")
		}
	})
	list.vals = append(list.vals, own)
	return pointer + "/" + strconv.Itoa(len(list.vals)-1), nil
}

func (d *Draft) remove(pointer string) (string, error) {
	at, last, err := d.parent(pointer)
	if err != nil || at.child(last) == nil {
		return "", fmt.Errorf("draft: nothing is at %s", pointer)
	}
	at.drop(last)
	list := steps(pointer)
	if joints := d.root.child("joints"); len(list) == 2 && list[0] == "parts" && joints != nil {
		i, _ := strconv.Atoi(last)
		if n := len(joints.vals); n > 0 {
			joints.drop(strconv.Itoa(min(i, n-1)))
		}
	}
	// a list or object that is not asked for goes when it is empty
	if up := strings.LastIndexByte(pointer, '/'); at.shape == isList && len(at.vals) == 0 && len(list) != 2 || len(list) == 2 && len(at.vals) == 0 && list[0] != "parts" && list[0] != "joints" {
		above, name, err := d.parent(pointer[:up])
		if err == nil && name != "supports" {
			above.drop(name)
		}
		if err == nil && list[0] == "candidates" && len(above.vals) == 0 {
			d.root.drop("candidates")
		}
	}
	return "", nil
}

func (d *Draft) move(pointer string, by int) (string, error) {
	at, last, err := d.parent(pointer)
	i, bad := strconv.Atoi(last)
	if err != nil || bad != nil || at.shape != isList || i >= len(at.vals) || i+by < 0 || i+by >= len(at.vals) {
		return "", fmt.Errorf("draft: %s cannot be moved there", pointer)
	}
	at.vals[i], at.vals[i+by] = at.vals[i+by], at.vals[i]
	up := strings.LastIndexByte(pointer, '/')
	return pointer[:up+1] + strconv.Itoa(i+by), nil
}

// Ways in which a face, a pilot or a bore is known.
const (
	Square    = "square"    // a face that was not measured: square to the part's axis
	Thickness = "thickness" // a micrometer round the part
	Swept     = "sweep"     // a dial
	Sloped    = "slope"     // as a ratio
	Points    = "points"    // measured points
	Placed    = "centre"    // where it is, as numbers
)

// Way is how what is at a pointer is known.
func (d *Draft) Way(pointer string) string {
	n := d.At(pointer)
	if n == nil {
		return ""
	}
	for _, w := range []string{Thickness, Swept, Points, Sloped, Placed} {
		if n.child(w) != nil {
			if w == Sloped && isPlace(pointer) {
				continue
			}
			return w
		}
	}
	if isPlace(pointer) {
		return Placed
	}
	return Square
}

// isPlace reports whether a pointer leads to a pilot or a bore, not to a face.
func isPlace(pointer string) bool {
	_, name := key(pointer)
	return name == "pilot" || name == "bores"
}

// way sets how what is at a pointer is known: what says otherwise goes.
func (d *Draft) way(pointer, way string) error {
	n := d.At(pointer)
	if n == nil || n.shape != isObject {
		return fmt.Errorf("draft: nothing is at %s", pointer)
	}
	z := n.child("z")
	if c := n.child("centre"); z == nil && c != nil && len(c.vals) == 3 {
		z = c.vals[2]
	}
	for _, k := range []string{Thickness, Swept, Points, Placed} {
		if k != way {
			n.drop(k)
		}
	}
	if !isPlace(pointer) {
		n.drop(Sloped)
	}
	round := &Node{shape: isObject, keys: []string{"readings"}, vals: []*Node{rounds(usualStations)}}
	switch way {
	case Thickness:
		n.drop("z")
		n.put(Thickness, round)
	case Swept:
		n.put(Swept, round)
		if _, name := key(pointer); name == "bores" && z != nil && z.shape != isNull {
			n.put("z", z)
		}
	case Sloped:
		n.put(Sloped, parse(`{"s": [0, 0]}`).vals[0])
	case Placed:
		n.drop("z")
		c := parse(`{"c": [0, 0]}`).vals[0]
		if _, name := key(pointer); name == "bores" {
			if z == nil {
				z = &Node{}
			}
			c.vals = append(c.vals, z)
		}
		n.put(Placed, c)
	case Square:
	default:
		return fmt.Errorf("draft: no way is named %q", way)
	}
	return nil
}

// rounds is a list of stations that were not read.
func rounds(n int) *Node {
	list := &Node{shape: isList}
	for range n {
		list.vals = append(list.vals, &Node{})
	}
	return list
}

// mostStations is how many stations a round may be given here: the format takes more.
const mostStations = 72

// stations sets how many stations the round at a pointer has.
func (d *Draft) stations(pointer, count string) error {
	list := d.At(pointer + "/readings")
	n, err := strconv.Atoi(count)
	if list == nil || list.shape != isList || err != nil || n < 1 || n > mostStations {
		return fmt.Errorf("draft: a round of 1 to %d stations", mostStations)
	}
	for len(list.vals) < n {
		list.vals = append(list.vals, &Node{})
	}
	list.vals = slices.Clip(list.vals[:n])
	return nil
}
