package trial

import ("testing";"os";"fmt";"math";"ringtrue/internal/heights")

func TestDbgBridged(t *testing.T) {
	c, err := ClassOf(os.Getenv("CLS"))
	if err != nil { t.Fatal(err) }
	type acc struct{ n int; e2, z2 float64; out int }
	by := map[string]*acc{}
	for seed := uint64(5000); seed < 5016; seed++ {
		n, err := c.Draw(seed, Options{Passes: 2})
		if err != nil { t.Fatal(err) }
		e, err := heights.From(heights.Input{Layout: n.Layout, Readings: n.Readings})
		if err != nil { t.Fatal(err) }
		neck2 := 0.0; cnt := 0
		for k, l := range e.Lanes {
			z := make([]float64, len(l.X))
			_ = k
			for i, f := range l.Frets { z[i] = n.Truth.Z[int(l.Lane)-1][f-1] }
			// free datum
			var sx, sz float64; m := float64(len(z))
			for i := range z { sx += l.X[i]/m; sz += z[i]/m }
			var sxx, sxz float64
			for i := range z { sxx += (l.X[i]-sx)*(l.X[i]-sx); sxz += (l.X[i]-sx)*(z[i]-sz) }
			for i := range z {
				tz := z[i]-sz-sxz/sxx*(l.X[i]-sx)
				d := l.Z[i]-tz; u := math.Sqrt(l.Cov.At(i,i))
				key := "inner"
				if l.Lane == 1 || l.Lane == float64(len(e.Lanes)) { key = "outer" }
				if n.Truth.Groove[int(l.Lane)-1][l.Frets[i]-1] != 0 { key += " groove" } 
				switch { case l.Groove[i] > .95: key += " sure"; case l.Groove[i] > .1: key += " maybe"; default: key += " none" }
				fr := e.Frets[0]; for _, q := range e.Frets { if q.Fret == l.Frets[i] { fr = q } }
				switch { case fr.Usual > .7: key += " usual"; case fr.Seat > .7: key += " seat";case fr.Free+fr.Wild > .5: key += " rough/free"; default: key += " other" }
				a := by[key]; if a == nil { a = &acc{}; by[key] = a }
				a.n++; a.e2 += d*d*1e6; a.z2 += d*d/u/u; if math.Abs(d/u) > 1.96 { a.out++ }
				neck2 += d*d/u/u; cnt++
			}
		}
		fmt.Printf("seed %d e/u %.2f tau %.1f\n", seed, math.Sqrt(neck2/float64(cnt)), e.TauMM*1000)
	}
	for k, a := range by { fmt.Printf("%-24s n %4d rms %.1f e/u %.2f out %.3f\n", k, a.n, math.Sqrt(a.e2/float64(a.n)), math.Sqrt(a.z2/float64(a.n)), float64(a.out)/float64(a.n)) }
}
