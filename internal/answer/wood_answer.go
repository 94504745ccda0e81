package answer

// WoodAnswer is what `wood` says of a board. Spans are least, likely and
// greatest; pairs are driest and dampest.
type WoodAnswer struct {
	Neck         string          `json:"neck"`
	MoisturePct  float64         `json:"moisture_pct"` // where the shop's air brings wood
	BoardPct     float64         `json:"board_moisture_pct"`
	Ready        bool            `json:"ready"`
	Days         float64         `json:"days_to_ready"`
	DaysRange    [2]float64      `json:"days_to_ready_range"`
	ProudMM      float64         `json:"frets_end_proud_mm"` // at one end, in the driest
	ProudRange   [2]float64      `json:"frets_end_proud_range_mm"`
	WidthMM      [2]float64      `json:"width_change_mm"` // to the driest, to the dampest
	WidthDry     [2]float64      `json:"width_change_driest_range_mm"`
	WidthDamp    [2]float64      `json:"width_change_dampest_range_mm"`
	BoardWidthMM float64         `json:"board_width_mm"`
	SeasonPct    [2]float64      `json:"season_moisture_pct"`
	BowDry       *[2]float64     `json:"bow_driest_range_mm"` // hollow positive; null where a wood or a thickness is not known
	BowDamp      *[2]float64     `json:"bow_dampest_range_mm"`
	Window       [2]float64      `json:"humidity_window_pct"`
	Limits       WoodLimits      `json:"limits"`
	Air          WoodAir         `json:"air"`
	OneFace      bool            `json:"one_face_sealed"`
	QuarterSawn  bool            `json:"quarter_sawn"`
	Board        SpeciesAnswer   `json:"board"`
	BoardOthers  []SpeciesAnswer `json:"board_others,omitempty"`
	NeckWood     *SpeciesAnswer  `json:"neck_wood,omitempty"`
	Listings     []ListingAnswer `json:"trade_listings"`
	Notes        []string        `json:"notes"`
	Cautions     []string        `json:"cautions"`
	Curves       *WoodCurves     `json:"curves,omitempty"`
}

// WoodLimits are what the humidity window keeps under.
type WoodLimits struct {
	ProudMM float64 `json:"proud_mm"`
	BowMM   float64 `json:"bow_mm"`
}

// WoodAir is the air of the shop and of where the neck will live.
type WoodAir struct {
	TemperatureC float64 `json:"temperature_c"`
	ShopPct      float64 `json:"shop_humidity_pct"`
	DriestPct    float64 `json:"driest_humidity_pct"`
	DampestPct   float64 `json:"dampest_humidity_pct"`
}

// SpeciesAnswer is a wood of the data with its sources.
type SpeciesAnswer struct {
	Name            string      `json:"name"`
	Botanical       string      `json:"botanical"`
	RadialPct       float64     `json:"shrink_radial_pct"`
	TangentialPct   float64     `json:"shrink_tangential_pct"`
	SaturationPct   float64     `json:"fibre_saturation_pct"`
	ModulusMPa      *[2]float64 `json:"modulus_mpa"`
	CrushAlongMPa   *[2]float64 `json:"crushing_along_mpa"`
	DensityKgM3     *[2]float64 `json:"density_kg_m3"`
	FromMemory      string      `json:"from_memory,omitempty"`
	CoefficientNote string      `json:"coefficient_note,omitempty"`
	Source          string      `json:"source"`
}

// ListingAnswer is a trade-treaty notice with its date.
type ListingAnswer struct {
	Species   string `json:"species"`
	Taxon     string `json:"taxon"`
	Listing   string `json:"listing"`
	Rule      string `json:"rule"`
	Effective string `json:"effective"`
	Status    string `json:"status"`
	Source    string `json:"source"`
}

// WoodCurves are what a drawing shows: moisture over days, width over a year.
type WoodCurves struct {
	Days []MoistureDay `json:"days"`
	Year []WidthWeek   `json:"year"`
}

// MoistureDay is the board's mean moisture after some days in the shop, for the
// fastest, the likely and the slowest diffusion.
type MoistureDay struct {
	Day        float64 `json:"day"`
	FastestPct float64 `json:"fastest_pct"`
	LikelyPct  float64 `json:"likely_pct"`
	SlowestPct float64 `json:"slowest_pct"`
}

// WidthWeek is the board's change in width at a week of the year: where it
// would follow the air at once, and where it lags.
type WidthWeek struct {
	Week      int     `json:"week"`
	AirMM     float64 `json:"air_mm"`
	LikelyMM  float64 `json:"likely_mm"`
	SlowestMM float64 `json:"slowest_mm"`
}
