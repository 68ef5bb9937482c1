package main

import (
	"bytes"
	"errors"
	"flag"
	"strings"
	"testing"
)

// Every chart works from the command line on what is given, and refuses what cannot be meant.
func TestRun_charts(t *testing.T) {
	const launch = "../correct/harbour-launch.json"
	for _, c := range []struct{ args, want string }{
		// Source: Eaton FSO-2105 service manual, shim pack, p. 95: play 0.06 to 0.11, gap 0.47: a pack of 0.36 to 0.41.
		{"shim", "a pack from 0.36 mm to 0.41 mm"},
		{"shim -gap 0.02mm", "!measure again"},
		{"shim -stock 0.5mm -pieces 1", "!no pack in stock"},
		// Source: hand calculation: the plate's eight readings are 14.0795 on average, the gap is 14.0795 + 2.06 - 16 = 0.1395, and a play of 0.03 must stay.
		{"endplay -stock 0.01mm " + launch, "from 0 mm to 0.1095 mm"},
		{"endplay -chain none " + launch, "!a chain of the stack"},
		{"endplay", "!name the record that has the chain"},
		{"endplay none.json", "!no such file"},
		// Source: Ducati ST2 workshop manual, shaft shims: total d1 + d2 + preload - L, side 1 d1 + preload/2 - L/2, rounded down.
		{"split", "shims of 2.25 mm in front and 2.4 mm in the rear; 4.7 mm in all"},
		{"split -length 160mm", "!not valid"},
		// Source: Dodge Dakota technical service bulletin, 1989, offset dowel chart: 11 to 21 thou take the 7 thou dowel.
		{"dowel", "dowels of 0.1778 mm offset leave 0.1016 mm TIR"},
		{"dowel -tir 53thou", "!not possible"},
		// Source: hand calculation: the mean is 0.075, the plane rises by 0.15 along x, the twist is (0-0.2+0.1-0)/4 = -0.025.
		{"corners", "at (150 mm, -150 mm): 0.1 mm by the highest corner; 0.05 mm tilts and bends nothing, and leaves -0.025 mm"},
		{"corners -at 1mm,2mm,3mm", "!at least three"},
		// Source: hand calculation, Lamé: p = (0.03/40)·206000/(5/3 + 13/5) = 36.2 MPa; μ p π d l = 0.12·36.2·π·40·25 = 13651 N.
		{"press", "36.2 MPa; it holds 13651 N or 273 N·m"},
		{"press -interference -0.02mm", "do not press: 0.02 mm"},
		{"press -bore 50mm", "!/inner"},
		// Source: hand calculation: 0.025/(3·1.33) = 0.00627; ISO 22514-2: 2·Φ(-3.99) = 66 in a million.
		{"capability", "a standard deviation of 0.0063 mm; 66.1 parts in a million"},
		{"capability -cpk 0", "!Cpk"},
		{"shim -gap 0,47mm", "!"},
		{"", "!name a chart"},
	} {
		var out bytes.Buffer
		err := run(strings.Fields(c.args), &out)
		if want, refused := strings.CutPrefix(c.want, "!"); refused {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%q: %v, want an error with %q", c.args, err, want)
			}
		} else if err != nil || !strings.Contains(out.String(), c.want) {
			t.Errorf("%q: %q, %v, want %q", c.args, out.String(), err, c.want)
		}
	}
	if err := run([]string{"press", "-h"}, nil); !errors.Is(err, flag.ErrHelp) {
		t.Error(err)
	}
}
