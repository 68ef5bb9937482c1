package form_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

func table(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func numbers(t testing.TB, cells []string) []float64 {
	t.Helper()
	v := make([]float64, len(cells))
	for i, s := range cells {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		v[i] = x
	}
	return v
}

func flatData(t testing.TB, name string) []r2.Vec {
	t.Helper()
	var p []r2.Vec
	for _, row := range table(t, name) {
		v := numbers(t, row)
		p = append(p, r2.Vec{X: v[0], Y: v[1]})
	}
	return p
}

func spaceData(t testing.TB, name string) []r3.Vec {
	t.Helper()
	var p []r3.Vec
	for _, row := range table(t, name) {
		v := numbers(t, row)
		p = append(p, r3.Vec{X: v[0], Y: v[1], Z: v[2]})
	}
	return p
}

// reference returns the numbers of one row of the reference results.
func reference(t testing.TB, set, quantity string) []float64 {
	t.Helper()
	for _, row := range table(t, "geometry_reference_results") {
		if row[0] == set && row[1] == quantity {
			return numbers(t, strings.Fields(row[2]))
		}
	}
	t.Fatalf("no reference %q of %s", quantity, set)
	return nil
}

// planeBy, circleBy and cylinderBy are the fits by one rule.
func planeBy(rule form.Rule) func([]r3.Vec, form.Uncertainty) (form.PlaneFit, error) {
	return func(p []r3.Vec, u form.Uncertainty) (form.PlaneFit, error) { return form.FitPlane(p, rule, u) }
}

func circleBy(rule form.Rule) func([]r2.Vec, form.Uncertainty) (form.CircleFit, error) {
	return func(p []r2.Vec, u form.Uncertainty) (form.CircleFit, error) { return form.FitCircle(p, rule, u) }
}

func cylinderBy(rule form.Rule) func([]r3.Vec, form.Uncertainty) (form.CylinderFit, error) {
	return func(p []r3.Vec, u form.Uncertainty) (form.CylinderFit, error) {
		return form.FitCylinder(p, rule, u)
	}
}
