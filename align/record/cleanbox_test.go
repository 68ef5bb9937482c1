package record_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/record"
)

// cleanBox writes a random box that nobody has slipped in: case, plate and tail as a shop measures them, in the shop's units and digits, with form, reading errors of the stated size, closing readings, stations that could not be reached, repeats, stations seen from the nose, a part turned end for end, a spare plate. All of it is invented.
type cleanBox struct {
	*rand.Rand
	unit     string
	size     float64 // of the unit in mm
	u        float64 // of a reading, mm
	stated   bool
	decimals int // of readings, in the unit
	step     float64
}

func newCleanBox(seed uint64, stated bool) string {
	g := &cleanBox{Rand: rand.New(rand.NewPCG(seed, 12)), stated: stated}
	units := []struct {
		name     string
		size     float64
		decimals []int
	}{{"mm", 1, []int{2, 3, 4}}, {"in", 25.4, []int{4, 5}}, {"um", 1e-3, []int{0, 1}}, {"thou", 0.0254, []int{1, 2}}}
	k := units[g.IntN(len(units))]
	g.unit, g.size, g.decimals = k.name, k.size, k.decimals[g.IntN(len(k.decimals))]
	g.step = g.size * math.Pow10(-g.decimals)
	g.u = g.step * (0.3 + 1.2*g.Float64()) // a gauge that repeats about as well as it reads
	return g.box()
}

// at is a length in the box's unit, to about a tenth of a micrometre.
func (g *cleanBox) at(mm float64) float64 {
	d := map[string]int{"mm": 4, "in": 5, "um": 1, "thou": 2}[g.unit]
	v, _ := strconv.ParseFloat(strconv.FormatFloat(mm/g.size, 'f', d, 64), 64)
	return v
}

func (g *cleanBox) between(lo, hi float64) float64 { return lo + (hi-lo)*g.Float64() }

// round is a block of readings about a mean, with a first harmonic of size mm and less and less of the others.
func (g *cleanBox) round(mean, first float64) map[string]any {
	m := []int{4, 6, 8, 8, 8, 8, 10, 12, 12, 12, 16, 24}[g.IntN(12)]
	if g.IntN(50) == 0 {
		m = []int{5, 7, 9, 13}[g.IntN(4)] // few choose these
	}
	sizes, phases := []float64{}, []float64{}
	for n, most := range []float64{1, 0.5, 0.15, 0.1, 0.05} { // warp, then waves
		s := first * g.between(most/5, most)
		if n == 0 {
			s = first
		}
		sizes, phases = append(sizes, s), append(phases, g.between(0, 2*math.Pi))
	}
	read := func(deg float64) json.Number {
		v := mean + g.u*g.NormFloat64()
		for n, s := range sizes {
			v += s * math.Cos(float64(n+1)*deg*math.Pi/180-phases[n])
		}
		return json.Number(strconv.FormatFloat(math.Round(v/g.step)*g.step/g.size, 'f', g.decimals, 64))
	}
	out := map[string]any{}
	var list []any
	at := make([]float64, m)
	from := float64(g.IntN(4)) * 30
	for k := range m {
		at[k] = from + 360*float64(k)/float64(m)
	}
	switch g.IntN(5) {
	case 0:
		for k := range at {
			at[k] = math.Round(at[k] + g.between(-5, 5))
		}
		out["at"] = at
	case 1:
		out["seen_from"], out["first"] = "nose", from
	default:
		out["first"] = from
	}
	for k := range m {
		switch {
		case m >= 8 && k > 0 && g.IntN(30) == 0:
			list = append(list, nil)
		case g.IntN(20) == 0:
			list = append(list, []any{read(at[k]), read(at[k])})
		default:
			list = append(list, read(at[k]))
		}
	}
	out["readings"] = list
	if g.stated {
		out["uncertainty"] = g.u / g.size
	}
	if g.stated && g.IntN(2) == 0 { // without a stated uncertainty a closing reading says no more than the scatter does
		out["closing"] = read(at[0])
	}
	return out
}

func (g *cleanBox) pilot(kind string, diameter float64) map[string]any {
	p := map[string]any{"kind": kind, "diameter": g.at(diameter)}
	if g.IntN(4) == 0 {
		p["sweep"] = g.round(0, g.between(0.002, 0.06))
	} else {
		p["centre"] = []float64{g.at(g.between(-0.05, 0.05)), g.at(g.between(-0.05, 0.05))}
	}
	return p
}

// bore is a bore near an axis, by its centre or a sweep.
func (g *cleanBox) bore(name string, x, y, z, diameter float64) map[string]any {
	b := map[string]any{"name": name, "diameter": g.at(diameter)}
	if g.IntN(2) == 0 && x == 0 {
		b["sweep"], b["z"] = g.round(g.between(0, 0.2), g.between(0.003, 0.08)), g.at(z)
	} else {
		b["centre"] = []float64{g.at(x + g.between(-0.05, 0.05)), g.at(y + g.between(-0.05, 0.05)), g.at(z)}
	}
	return b
}

func (g *cleanBox) box() string {
	d := g.between(120, 400)
	pilot := d * g.between(0.4, 0.8)
	fit := func() float64 { return g.between(-0.0008, 0.001) * pilot }
	face := func(more map[string]any) map[string]any {
		more["diameter"] = g.at(d)
		return more
	}
	plate := func(name string) map[string]any {
		t := d * g.between(0.05, 0.2)
		rear := face(map[string]any{"pilot": g.pilot("spigot", pilot*0.8)})
		if g.IntN(3) > 0 {
			b := g.round(t, g.between(0.002, 0.03))
			b["radius"] = g.at(d * g.between(0.3, 0.5))
			rear["thickness"] = b
		} else {
			rear["z"] = g.at(t)
			rear["slope"] = []float64{1e-4, 0}
		}
		return map[string]any{
			"name": name, "front": face(map[string]any{"pilot": g.pilot("spigot", pilot)}), "rear": rear,
			"bores": []any{g.bore("main", 0, 0, t/2, 60), g.bore("second", d*0.3, 0, t/2, 40)},
		}
	}
	long := d * g.between(0.6, 2)
	tail := d * g.between(0.5, 2)
	turned := g.IntN(4) == 0
	housing := map[string]any{
		"name": "tail", "front": face(map[string]any{"pilot": g.pilot("bore", pilot*0.8+fit())}),
		"bores": []any{g.bore("bush", 0, 0, tail, 0)},
	}
	if turned { // measured on its other face, mounted end for end
		housing["turned"] = true
		housing["rear"] = housing["front"]
		delete(housing, "front")
		housing["bores"] = []any{g.bore("bush", 0, 0, -tail, 0)}
	}
	clearance, journal := g.between(0.05, 0.2), g.between(25, 60)
	housing["bores"].([]any)[0].(map[string]any)["diameter"] = g.at(journal + clearance)
	rec := map[string]any{
		"format": record.Format, "units": map[string]any{"length": g.unit},
		"parts": []any{
			map[string]any{
				"name": "case", "front": face(map[string]any{}), "rear": face(map[string]any{"z": g.at(long), "pilot": g.pilot("bore", pilot+fit())}),
				"bores": []any{g.bore("front", 0, 0, long*g.between(-0.1, 0.2), 60)},
			},
			plate("plate"), housing,
		},
		"joints": []any{map[string]any{}, map[string]any{"gasket": map[string]any{"thickness": g.at(0.5)}}},
		"shafts": []any{map[string]any{"name": "main", "supports": []any{
			map[string]any{"bore": "case/front", "clearance": g.at(0.08)},
			map[string]any{"bore": "plate/main", "clearance": g.at(0.08)},
			map[string]any{"bore": "tail/bush", "clearance": g.at(clearance), "kind": "bush", "width": g.at(30), "journal": g.at(journal)},
		}}},
	}
	if g.IntN(3) == 0 {
		rec["candidates"] = map[string]any{"plate": []any{plate("spare")}}
	}
	b, err := json.MarshalIndent(rec, "", " ")
	if err != nil {
		panic(err)
	}
	return string(b)
}

// Boxes that nobody slipped in are not doubted: by the rules on places and fits never, by those on readings hardly, since form of a casting can look like one reading off where eight stations are all that there is. BORESTACK_CLEAN sets how many are tried with u stated and without.
//
// Measured on 4,000 of each: 62 and 66 doubted, all by the rules on readings; per round of eight stations 0.4 %.
func TestRecord_Doubts_clean(t *testing.T) {
	n := 150
	if s := os.Getenv("BORESTACK_CLEAN"); s != "" {
		n, _ = strconv.Atoi(s)
	}
	for _, stated := range []bool{true, false} {
		doubted := 0
		for seed := range uint64(n) {
			r, err := record.Decode(strings.NewReader(newCleanBox(seed, stated)))
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			list := r.Doubts()
			if len(list) > 0 {
				doubted++
			}
			for _, d := range list {
				if !strings.Contains(d.Path, "/sweep") && !strings.Contains(d.Path, "/thickness") || strings.HasSuffix(d.Path, "/radius") || strings.Contains(d.Why, "no gauge") {
					t.Errorf("seed %d: %v", seed, d)
				}
				t.Logf("seed %d: %v", seed, d)
			}
		}
		const most = 0.03
		t.Logf("u stated %v: %d of %d doubted", stated, doubted, n)
		if float64(doubted) > most*float64(n) {
			t.Errorf("u stated %v: %d of %d clean boxes doubted", stated, doubted, n)
		}
	}
}
