package wasmpage

import (
	"os"
	"testing"
	"time"
)

func TestScratch(t *testing.T) {
	b, err := os.ReadFile("/tmp/wb/o5.wasm")
	if err != nil {
		t.Skip()
	}
	b = append(b[1000000:3000000:3000000], b[8000000:9000000]...)
	t0 := time.Now()
	out := pack(b)
	t.Log(len(out), time.Since(t0))
}
