// Command points reads the points that a coordinate measuring machine took of one part and says what they
// come to: form errors, datums, how the features lie to each other, and how sure all that is.
//
// Usage:
//
//	points [FILE.csv]
//
// The columns are feature, kind (face, bore or spigot), x, y, z, in mm; round features at two heights or
// more. The first face is datum A, the first round feature datum B. Without a file it reads an invented
// plate. What makes the machine uncertain is invented too: write your own budget.
package main

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

//go:embed plate.csv
var plate []byte

const um = tolerance.Micrometre

// budget is what makes a point uncertain along each axis; on lengths of 180 mm at most.
var budget = tolerance.Budget{Sources: []tolerance.Source{
	tolerance.Certificate{Name: "machine", Expanded: 2.4 * um, K: 2, Acts: tolerance.OnEach},
	tolerance.Repeatability{Name: "touch", Readings: []tolerance.Length{0, 0.6 * um, 0.2 * um, -0.5 * um, 0.4 * um, -0.3 * um}},
	tolerance.Bounded{Name: "stylus tip", Half: 0.8 * um, Acts: tolerance.OnAll},
	tolerance.Thermal{
		Name: "warmth", Length: 180, Temperature: tolerance.Given(tolerance.Celsius(20.8)), TemperatureU: 0.3,
		Workpiece: tolerance.Expansion{Mean: 23.1e-6, Standard: 0.6e-6}, Gauge: tolerance.Expansion{Mean: 8e-6, Standard: 0.3e-6},
	},
}}

func main() {
	flag.Parse()
	files, err := answer.Files(plate)
	if err == nil {
		err = run(files[0], os.Stdout)
	}
	answer.End("points", err)
}

// run says what a table of points comes to.
func run(text []byte, out io.Writer) error {
	u, err := budget.Combine()
	if err != nil {
		return err
	}
	expanded, err := u.Expanded(0.95)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "A point, invented: %v, so within ±%v with 95 %%\n", u, expanded)
	for _, c := range u.Contributions {
		fmt.Fprintf(out, "  %s: %s, %.0f %% of the variance\n", c.Name, c.Basis, 100*c.Share)
	}
	rows := csv.NewReader(bytes.NewReader(text))
	rows.FieldsPerRecord = 5
	table, err := rows.ReadAll()
	if err != nil {
		return err
	}
	t := teller{out: out, shared: u.Shared, u: form.Uncertainty{Standard: u.Each}}
	var points []r3.Vec
	for i, row := range table[min(1, len(table)):] {
		var v [3]float64
		for k, s := range row[2:] {
			if v[k], err = strconv.ParseFloat(s, 64); err != nil {
				return fmt.Errorf("line %d: %q: want a number of millimetres", i+2, s)
			}
		}
		points = append(points, r3.Vec{X: v[0], Y: v[1], Z: v[2]})
		if i+2 < len(table) && table[i+2][0] == row[0] {
			continue
		}
		fmt.Fprintf(out, "%s, %s of %d points\n", row[0], row[1], len(points))
		if tell := map[string]func([]r3.Vec) error{"face": t.face, "bore": t.bore, "spigot": t.spigot}[row[1]]; tell == nil {
			err = fmt.Errorf("kind %q: want face, bore or spigot", row[1])
		} else {
			err = tell(points)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", row[0], err)
		}
		points = nil
	}
	_, err = fmt.Fprintln(out, "Few points hide form. A record takes round features as \"round\": {\"points\", \"uncertainty\"}, faces as \"points\".")
	return err
}
