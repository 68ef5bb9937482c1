package tolerance

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Material is what a part or shaft is made of. The zero value does not expand.
type Material struct {
	Name      string
	Expansion float64           // mean, 20 to 100 °C, 1/K
	Modulus   Optional[float64] // Young's, N/mm²
	Poisson   Optional[float64]
	Source    string
}

// Materials returns the table, a fresh copy. Values are typical of the kind; a maker's certificate
// goes before them.
func Materials() []Material {
	m := func(name string, expansion, modulus, poisson float64, source string) Material {
		return Material{name, expansion * 1e-6, Given(modulus), Given(poisson), source}
	}
	const (
		nadca  = "NADCA product specification standards for die castings (from memory)"
		asm    = "ASM Metals Handbook, desk edition (from memory)"
		en1561 = "EN 1561:2011, annex A (from memory)"
		en1563 = "EN 1563:2018, annex (from memory)"
		en1008 = "EN 10088-1:2014, annex E (from memory)"
	)
	return []Material{
		m("grey cast iron", 10.8, 110000, 0.26, en1561),
		m("ductile cast iron", 12.5, 169000, 0.275, en1563),
		m("carbon steel", 11.5, 206000, 0.29, asm),
		m("alloy steel", 12.3, 206000, 0.29, asm),
		m("bearing steel", 12.0, 208000, 0.30, asm),
		m("austenitic stainless steel", 16.0, 200000, 0.30, en1008),
		m("martensitic stainless steel", 10.5, 215000, 0.30, en1008),
		m("cast aluminium A356", 21.5, 72400, 0.33, asm),
		m("cast aluminium A380", 21.8, 71000, 0.33, nadca),
		m("aluminium 6061", 23.6, 68900, 0.33, asm),
		m("aluminium 7075", 23.4, 71700, 0.33, asm),
		m("magnesium AZ91", 26.0, 45000, 0.35, nadca),
		m("tin bronze", 18.0, 105000, 0.34, asm),
		m("brass", 20.5, 97000, 0.34, asm),
		m("titanium alloy", 8.6, 114000, 0.34, asm),
	}
}

// materialAliases are other words for rows of the table.
var materialAliases = map[string]string{
	"cast iron": "grey cast iron", "gray iron": "grey cast iron", "grey iron": "grey cast iron", "gray cast iron": "grey cast iron",
	"iron": "grey cast iron", "ductile iron": "ductile cast iron", "nodular iron": "ductile cast iron",
	"spheroidal graphite iron": "ductile cast iron", "steel": "carbon steel", "mild steel": "carbon steel", "52100": "bearing steel",
	"100cr6": "bearing steel", "stainless steel": "austenitic stainless steel", "304": "austenitic stainless steel",
	"316": "austenitic stainless steel", "aluminium": "cast aluminium A356", "aluminum": "cast aluminium A356",
	"cast aluminium": "cast aluminium A356", "cast aluminum": "cast aluminium A356", "a356": "cast aluminium A356",
	"a380": "cast aluminium A380", "die-cast aluminium": "cast aluminium A380", "die-cast aluminum": "cast aluminium A380",
	"6061": "aluminium 6061", "7075": "aluminium 7075", "magnesium": "magnesium AZ91", "az91": "magnesium AZ91",
	"bronze": "tin bronze", "titanium": "titanium alloy",
}

// MaterialNamed returns the row of that name or alias, in upper or lower case. An unknown name is
// an error that gives the nearest.
func MaterialNamed(name string) (Material, error) {
	table := Materials()
	key := strings.ToLower(strings.TrimSpace(name))
	key = cmp.Or(materialAliases[key], key)
	i := slices.IndexFunc(table, func(m Material) bool { return strings.EqualFold(m.Name, key) })
	if i >= 0 {
		return table[i], nil
	}
	var known []string
	for _, m := range table {
		known = append(known, m.Name)
	}
	want := "one of " + strings.Join(known, ", ")
	if near, ok := Nearest(key, known); ok {
		want = fmt.Sprintf("%q, or %s", near, want)
	}
	return Material{}, fmt.Errorf("unknown material %q: want %s", name, want)
}
