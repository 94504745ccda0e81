package heights
import "testing"
func TestDbg(t *testing.T){
 for _,c:=range []struct{n int;u float64}{{84,.002},{96,.002},{175,.002},{84,.005}} {
	s := newSimulated(t, uint64(c.n), 22, 6); s.press()
	for _, lane := range s.lanes { s.beam(lane, c.u, "") }
	wrong := map[int]float64{}
	for range s.rnd.IntN(4) { k := s.rnd.IntN(len(s.out)); if _,ok:=wrong[k];!ok { sign := float64(2*s.rnd.IntN(2) - 1); d:=sign*c.u*(10+20*s.rnd.Float64()); wrong[k]=d/c.u; s.out[k].Value+=d } }
	t.Log(wrong)
	for k:=range wrong { t.Log(k, s.out[k].Frets, s.out[k].Lane) }
	obs,_,_ := observations(Input{Layout:s.layout,Readings:s.out})
	e:=&Estimate{}
	cc,kept,_ := determined(Input{Layout:s.layout,Readings:s.out}, obs, nil)
	sys,_ := e.adjust(cc,kept,nil,0)
	t.Log("tau",sys.tau)
	v:=sys.snoop()
	for _,a:=range v.found { t.Log(a.kind,a.fret,a.rows,sys.x[a.at],sys.score(a)) }
 }
}
