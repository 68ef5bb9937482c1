package stackup_test
import ("testing";"math";"example.com/borestack/stackup";"example.com/borestack/stackup/law")
func TestDbg(t *testing.T){
	a, b := stacks()
	sa, sb := math.Sqrt(0.25+0.04+0.09), math.Sqrt(0.25+0.04+0.29*0.29)
	want:=0.05 + (sb-sa)*law.StandardQuantile(0.9)
	var m,v,e float64
	for seed:=range 500 { q:=must(compare(t,a,b,stackup.Settings{Samples:4096,Seed:uint64(seed)}).Quantile(0,0.9)); d:=q.Value-want; m+=d/500; v+=d*d/500; e+=q.Error*q.Error/500}
	t.Log(want,m,math.Sqrt(v-m*m),math.Sqrt(e))
}
