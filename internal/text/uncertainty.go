package text

// What ± stands for beside a figure. A standard uncertainty is one standard
// deviation: of normally distributed errors 68 of 100 are smaller (GUM, JCGM
// 100:2008, 2.3.1 and annex G, table G.1).
const (
	TwoInThree       = "two times in three"
	PlusMinus        = "±: the figure is off by less than this " + TwoInThree
	NineteenInTwenty = "19 times in 20"
)
