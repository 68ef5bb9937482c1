package record_test

import (
	"strings"
	"testing"
)

// What was understood says an offset as a dial shows it, which way round the clock runs, and what a block's own unit comes to.
func TestRecord_Understood(t *testing.T) {
	text := change(t, plain,
		`"centre": [0, 0, 200]`, `"centre": [0.12, 0, 200]`,
		`"kind": "spigot", "centre": [0, 0]`, `"kind": "spigot", "centre": [0, -0.03]`,
		`"centre": [0, 0, 7]`, `"sweep": {"unit": "um", "seen_from": "nose", "readings": [10, [30, 32], null, 20]}, "z": 7`,
		`"readings": [14, 14, 14, 14]`, `"readings": [14.01, 14.03, 14.02, 14.00]`,
		`"centre": [0, 0, 20]`, `"centre": [60, 0, 20]`)
	var all []string
	for _, u := range decode(t, text).Understood() {
		all = append(all, u.String())
	}
	got := strings.Join(all, "\n")
	// Source: hand calculation: TIR is twice the offset; 90° steps; the nose sees the clock mirrored; 21 µm is 0.021 mm.
	want := `/parts/1/front/pilot/centre: the pilot of plate stands 0.03 mm off the part's z axis, towards 6 o'clock: that is 0.06 mm TIR on a dial turned about it
/parts/1/rear/thickness: reading 1, 14.01 mm, is at 12 o'clock; reading 2, 14.03, at 3 o'clock; the greatest, 14.03, at 3 o'clock seen from the tail, 9 o'clock from the nose
/parts/1/bores/0/sweep: reading 1, 10 um, is at 12 o'clock seen from the nose (12 o'clock from the tail); reading 2, 31, at 3 o'clock seen from the nose (9 o'clock from the tail); the greatest, 31, at 3 o'clock seen from the nose (9 o'clock from the tail); they range over 21 um, which is 0.021 mm
/parts/2/bores/0/centre: c in tail stands 0.12 mm off the part's z axis, towards 3 o'clock: that is 0.24 mm TIR on a dial turned about it`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
