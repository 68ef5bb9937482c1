package main

import (
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// What is said is what was planted in the invented plate, within what the points are uncertain by and
// the noise of 0.0008 mm of each point. Source: the plate was made so: spigot of radius 75 about (0.004,
// -0.006); rear face of radius 85 rising by (-0.00012, 0.00026) against the front face; bore of radius 31
// about (0.015, 0.011) at z 3, leaning (0.0002, 0.0001) over 8 mm, which is (0.0158, 0.0114) halfway.
func TestRun_saysWhatWasPlanted(t *testing.T) {
	var out strings.Builder
	if err := run(plate, &out); err != nil {
		t.Fatal(err)
	}
	part := func(name string) string {
		_, rest, ok := strings.Cut(out.String(), "\n"+name)
		if !ok {
			t.Fatalf("%s is missing from\n%s", name, out.String())
		}
		return rest
	}
	for _, c := range []struct {
		of, find     string
		want, within float64
	}{
		{"pilot", `diameter ([\d.]+) mm`, 150, 0.003},
		{"pilot", `axis at \(([-\d.]+),`, 0.004, 0.001},
		{"rear face", `parallel to A within ([\d.]+)`, 2 * 85 * math.Hypot(0.00012, 0.00026), 0.006},
		{"bearing seat", `axis at \(([-\d.]+),`, 0.0158, 0.001},
		{"bearing seat", `axis at \([-\d.]+, ([-\d.]+)\)`, 0.0114, 0.001},
		{"bearing seat", `standard uncertainty ([\d.]+)`, math.Hypot(2*0.0013/4, 0.0009), 0.0001},
	} {
		m := regexp.MustCompile(c.find).FindStringSubmatch(part(c.of))
		if m == nil {
			t.Errorf("%s: no %s", c.of, c.find)
			continue
		}
		if v, err := strconv.ParseFloat(m[1], 64); err != nil || math.Abs(v-c.want) > c.within {
			t.Errorf("%s, %s: %v, want %v within %v", c.of, c.find, v, c.want, c.within)
		}
	}
}

// A table that is none is refused where it is wrong, and nothing is left out.
func TestRun_refuses(t *testing.T) {
	const head = "feature,kind,x,y,z\n"
	for text, want := range map[string]string{
		head + "a,face,1,2,x\n":         "line 2",
		head + "a,slot,1,2,3\n":         "want face, bore or spigot",
		head + "a,face,1,2\n":           "wrong number of fields",
		head + "a,face,1,2,3\n":         "a: /points",
		head + "a,bore,1,2,3\nb,face,1": "wrong number of fields",
	} {
		if err := run([]byte(text), io.Discard); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
