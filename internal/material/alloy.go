package material

import (
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Alloy is a wire alloy with its tempers in the table's order.
type Alloy struct {
	Name        string // "nickel silver 65-18"
	Designation string // "C75200"
	Tempers     []Temper
	Work        Work
}

// Temper is one row of the alloy table.
type Temper struct {
	Form, Temper  string
	ModulusMPa    Range
	YieldMPa      Range
	StrengthMPa   Range // tensile
	ElongationPct Range
	Vickers       Range // as printed
	RockwellB     Range
	Status        string
	Source        string
}

// Work is what an alloy changes at the bench, in words.
type Work struct {
	Bending string `json:"bending,omitempty"`
	Nipping string `json:"nipping,omitempty"`
	Filing  string `json:"filing,omitempty"`
}

// AllAlloys is the alloy table, one Alloy a designation.
func AllAlloys() []Alloy {
	work := map[string]Work{}
	for _, r := range embedded("alloy_work") {
		work[r["designation"]] = Work{r["bending"], r["nipping"], r["filing"]}
	}
	var list []Alloy
	for _, r := range embedded("wire_alloys") {
		d := r["designation"]
		i := slices.IndexFunc(list, func(a Alloy) bool { return a.Designation == d })
		if i < 0 {
			i = len(list)
			list = append(list, Alloy{Name: r["alloy"], Designation: d, Work: work[d]})
		}
		list[i].Tempers = append(list[i].Tempers, Temper{
			Form: r["form"], Temper: r["temper"],
			ModulusMPa: r.number("E_gpa").Times(1000), YieldMPa: r.number("yield_mpa"),
			StrengthMPa: r.number("uts_mpa"), ElongationPct: r.number("elong_pct"),
			Vickers: r.number("hv"), RockwellB: r.number("hrb"),
			Status: r["status"], Source: r["source"],
		})
	}
	return list
}

// FindAlloy looks an alloy up by trade name, by its designation or one of its
// parts ("CW408J"), or by the table's name. An unknown name gives an
// *UnknownError with the near ones.
func FindAlloy(name string) (Alloy, error) {
	all := AllAlloys()
	asked := normal(name)
	designation := ""
	for _, r := range embedded("alloy_names") {
		if normal(r["name"]) == asked {
			designation = r["designation"]
		}
	}
	for _, a := range all {
		if a.Designation == designation || slices.Contains(a.asked(), asked) {
			return a, nil
		}
	}
	return Alloy{}, &UnknownError{Kind: "alloy", Asked: name, Near: near(name, AlloyNames())}
}

// asked lists the normal names that the table itself gives an alloy: whole, and
// each part that is a standard's number.
func (a Alloy) asked() []string {
	names := []string{normal(a.Name), normal(a.Designation)}
	for _, part := range strings.Fields(normal(a.Designation)) {
		if strings.ContainsAny(part, "0123456789") && len(part) > 4 {
			names = append(names, part)
		}
	}
	return names
}

// AlloyNames lists every name an alloy may be asked by.
func AlloyNames() []string {
	var names []string
	for _, r := range embedded("alloy_names") {
		names = append(names, r["name"])
	}
	for _, a := range AllAlloys() {
		names = append(names, a.Designation)
	}
	return names
}

// Hard is the alloy's hard temper as wire is sold: the row to reckon with, and
// every other row that other sources give for the same temper. An alloy for
// which no yield is published gives an error that says what to give instead.
func (a Alloy) Hard() (Temper, []Temper, error) {
	var hard []Temper
	for _, names := range [][]string{
		{"H04", "hard", "full hard", "full hard (min)", "3/4 hard R630", "all tempers"},
		{"H02", "1/2 hard"},
	} {
		for _, t := range a.Tempers {
			if slices.Contains(names, t.Temper) {
				hard = append(hard, t)
			}
		}
		if len(hard) > 0 {
			break
		}
	}
	// Wire before flat stock: it is wire that is bent.
	sort.SliceStable(hard, func(i, j int) bool { return rank(hard[i]) < rank(hard[j]) })
	if len(hard) == 0 || !hard[0].YieldMPa.Given() && !hard[0].Vickers.Given() {
		return Temper{}, nil, fmt.Errorf("no yield is published for %s; give modulus and yield", a.Name)
	}
	return hard[0], hard[1:], nil
}

// rank orders the forms of stock by how near they are to fret wire.
func rank(t Temper) int {
	switch {
	case strings.Contains(t.Form, "wire"):
		return 0
	case t.Temper == "all tempers":
		return 2
	}
	return 1
}

// NickelFree are the bronzes of the alloy table that hold no nickel to speak of.
func NickelFree(designation string) bool {
	switch designation {
	case "C51000", "C19500", "CuSn6 CW452K":
		return true
	}
	return false
}
