package specify

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// ReadZones gives callouts the sizes of a text: a line for each with its size in the unit, a space, and its
// name as [Callout.Name] has it. Every fault is told, by its line.
func ReadZones(callouts []Callout, text string, unit tolerance.Unit) error {
	var wrong []error
	for n, line := range strings.Split(strings.TrimSpace(text), "\n") {
		number, name, _ := strings.Cut(strings.TrimSpace(line), " ")
		v, err := strconv.ParseFloat(number, 64)
		at := -1
		for i := range callouts {
			if callouts[i].Name() == strings.TrimSpace(name) {
				at = i
			}
		}
		if err != nil || at < 0 || !(v > 0) || math.IsInf(v, 0) {
			wrong = append(wrong, fault.At(fmt.Sprintf("line %d", n+1), fmt.Sprintf("%q", line), "a size of more than 0, a space and the name of a callout", fault.ErrSyntax))
			continue
		}
		callouts[at].Zone = tolerance.Length(v) * unit.Size()
	}
	return errors.Join(wrong...)
}
