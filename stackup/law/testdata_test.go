package law_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// table reads the numbers of a file of testdata, less its heading; a cell may be a fraction.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	file, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	in := csv.NewReader(file)
	in.Comment = '#'
	rows, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := make([][]float64, len(rows)-1)
	for i, row := range rows[1:] {
		out[i] = make([]float64, len(row))
		for j, cell := range row {
			over, under, fraction := strings.Cut(cell, "/")
			out[i][j], _ = strconv.ParseFloat(over, 64)
			if divisor, err := strconv.ParseFloat(under, 64); fraction && err == nil {
				out[i][j] /= divisor
			}
		}
	}
	return out
}
