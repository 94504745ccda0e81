package answer

// WorkPlan is what `plan` says of a neck before a slot is sawn.
type WorkPlan struct {
	Neck        string        `json:"neck"`
	Frets       []PlannedFret `json:"frets"`
	WireMM      float64       `json:"wire_total_mm"`
	WithWaste   float64       `json:"wire_with_waste_mm"`
	Coils       int           `json:"coils,omitempty"`
	CoilMM      float64       `json:"coil_mm,omitempty"`
	Strings     []TunedString `json:"strings"`
	Wire        WireAnswer    `json:"wire"`
	Slots       SlotsAnswer   `json:"slots"`
	Fit         FitAnswer     `json:"fit"`
	Glue        GlueAnswer    `json:"glue"`
	Bevel       BevelAnswer   `json:"bevel"`
	Alloys      []AlloyAnswer `json:"alloys,omitempty"`
	Notes       []string      `json:"notes"`
	Cautions    []string      `json:"cautions"`
	Slanted     bool          `json:"slanted"`
	ScaleBass   float64       `json:"scale_bass_mm"`
	ScaleTreble float64       `json:"scale_treble_mm"`
}

// PlannedFret is one fret's place and sizes. Radii are nil on a flat board.
type PlannedFret struct {
	Fret           int         `json:"fret"`
	FromNutMM      float64     `json:"from_nut_mm"`
	FromPreviousMM float64     `json:"from_previous_mm"`
	BassMM         float64     `json:"bass_mm"`
	TrebleMM       float64     `json:"treble_mm"`
	BoardRadiusMM  *float64    `json:"board_radius_mm"`
	AlongRadiusMM  *float64    `json:"along_radius_mm,omitempty"` // of the board along a slanted fret
	SlantDeg       float64     `json:"slant_deg,omitempty"`
	BoardWidthMM   float64     `json:"board_width_mm"`
	WireCutMM      float64     `json:"wire_cut_mm"`
	TangMM         float64     `json:"tang_length_mm"`
	NipMM          float64     `json:"tang_nip_mm"` // at each end
	BendMM         *float64    `json:"bend_radius_mm"`
	BendRangeMM    *[2]float64 `json:"bend_radius_range_mm"` // for the hardest and the softest wire of its alloy
	SlotDepthMM    float64     `json:"slot_depth_centre_mm"`
	StraightMM     float64     `json:"slot_depth_straight_mm"` // at the centre, sawn with a straight floor
	SlotLengthMM   float64     `json:"slot_length_mm"`
	GlueMM3        float64     `json:"glue_mm3"`
	TopMM          [2]float64  `json:"string_to_end_mm"` // outer strings to the crown's end over the bevel: bass, treble
}

// TunedString is where a string's saddle goes and what it leaves over.
type TunedString struct {
	String    int          `json:"string"`
	SetbackMM float64      `json:"saddle_setback_mm"`
	LeftOver  []float64    `json:"left_over_cents"`
	FromNutMM float64      `json:"saddle_from_nut_mm"` // along its lane, setback included
	ExactFret int          `json:"exact_fret"`
	Best      *BestSetback `json:"best,omitempty"`
}

// BestSetback places saddle and nut together by least squares over all frets;
// NutMM below 0 moves the nut towards the frets.
type BestSetback struct {
	SaddleMM float64 `json:"saddle_setback_mm"`
	NutMM    float64 `json:"nut_setback_mm"`
	RMSCents float64 `json:"rms_cents"`
	MaxCents float64 `json:"max_cents"`
}

// WireAnswer is the metal reckoned with. YieldFrom is "trial", "given",
// "hardness" or "alloy".
type WireAnswer struct {
	Alloy         string      `json:"alloy,omitempty"`
	Designation   string      `json:"designation,omitempty"`
	Temper        string      `json:"temper,omitempty"`
	Source        string      `json:"source,omitempty"`
	Status        string      `json:"source_status,omitempty"` // "read", "from memory"
	ModulusMPa    float64     `json:"modulus_mpa"`
	YieldMPa      float64     `json:"yield_mpa"`
	YieldRangeMPa [2]float64  `json:"yield_range_mpa"`
	YieldFrom     string      `json:"yield_from"`
	HardnessHV    float64     `json:"hardness_hv,omitempty"`
	StrainPct     float64     `json:"bend_strain_pct"`
	ElongationPct *[2]float64 `json:"elongation_pct,omitempty"`
	Bending       string      `json:"bending,omitempty"`
	Nipping       string      `json:"nipping,omitempty"`
	Filing        string      `json:"filing,omitempty"`
}

// SlotsAnswer is what the saw must mind.
type SlotsAnswer struct {
	WidthMM      float64 `json:"width_mm"`
	FloorGapMM   float64 `json:"floor_gap_mm"`
	LeastBoardMM float64 `json:"least_board_mm"` // board left under the deepest straight floor
	LeastFret    int     `json:"least_board_fret"`
}

// FitAnswer is how tang and barbs sit. BackBowMM is nil where the neck's wood
// or thickness is not known; Why says so.
type FitAnswer struct {
	Verdict     string   `json:"verdict"` // "wedges", "barbs hold", "loose"
	WedgeMM     float64  `json:"wedge_mm"`
	BiteMM      float64  `json:"barb_bite_mm"`
	WallGapMM   float64  `json:"wall_gap_mm"`
	WallMPa     float64  `json:"wall_stress_mpa,omitempty"`
	BackBowMM   *float64 `json:"back_bow_mm"`
	BackBowFret int      `json:"back_bow_fret,omitempty"`
	BarbBowMM   *float64 `json:"barb_back_bow_at_most_mm,omitempty"`
	SlotMM      *float64 `json:"slot_width_for_bow_mm,omitempty"`
	Why         string   `json:"why,omitempty"`
}

// GlueAnswer is how much glue and how it gets in.
type GlueAnswer struct {
	TotalMM3 float64    `json:"total_mm3"`
	WallGap  float64    `json:"wall_gap_mm"`
	SetS     float64    `json:"set_s,omitempty"`
	Grades   []GlueFlow `json:"grades"`
	Put      string     `json:"put"`
}

// GlueFlow is how one grade creeps into the longest slot.
type GlueFlow struct {
	Grade         string     `json:"grade"`
	ViscosityMPas [2]float64 `json:"viscosity_mpas"`
	MiddleS       [2]float64 `json:"to_middle_s"`
	ReachMM       [2]float64 `json:"reach_mm"`
	Reaches       string     `json:"reaches"`
	TooWide       bool       `json:"gap_too_wide"`
}

// BevelAnswer is what the bevel takes off a fret's end.
type BevelAnswer struct {
	AngleDeg float64    `json:"angle_deg"`
	LossMM   float64    `json:"loss_mm"`                // at each end
	LeastMM  [2]float64 `json:"least_string_to_end_mm"` // bass, treble
}

// AlloyAnswer is what another alloy would change, against 18 % nickel silver.
type AlloyAnswer struct {
	Alloy       string   `json:"alloy"`
	Designation string   `json:"designation"`
	Temper      string   `json:"temper"`
	YieldMPa    float64  `json:"yield_mpa"`
	BendMM      *float64 `json:"bend_radius_mm"` // at the middle fret
	HardnessHV  float64  `json:"hardness_hv,omitempty"`
	HardnessHow string   `json:"hardness_how,omitempty"`
	WearRatio   float64  `json:"wear_ratio,omitempty"`
	NipRatio    float64  `json:"nip_ratio,omitempty"`
	Bending     string   `json:"bending"`
	Nipping     string   `json:"nipping"`
	Filing      string   `json:"filing"`
	Source      string   `json:"source"`
}
