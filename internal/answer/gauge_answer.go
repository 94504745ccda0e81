package answer

// GaugeAnswer is what `gauge` says of a study. Standard deviations and all else
// without a unit in its name are in Unit. Which parts are there goes by Study.
type GaugeAnswer struct {
	Study    string `json:"study"` // "crossed", "nested", "repeat", "linearity"
	Unit     string `json:"unit"`
	Readings int    `json:"readings"`
	// The same hand, the same part, again; null where every size was read once.
	RepeatabilitySD *float64 `json:"repeatability_sd"`
	*CrossedAnswer
	*NestedAnswer
	*RepeatAnswer
	*LinearityAnswer
	Decides  *DecidesAnswer `json:"decides,omitempty"` // with a tolerance
	Words    []string       `json:"words"`             // the same for a person
	Warnings []string       `json:"warnings"`
}

// LimitsAnswer are limits of confidence; an end that is not known is null.
type LimitsAnswer struct {
	Lower *float64 `json:"lower"`
	Upper *float64 `json:"upper"`
}

// CrossedAnswer is a crossed study.
type CrossedAnswer struct {
	Parts              int               `json:"parts"`
	Operators          int               `json:"operators"`
	Trials             int               `json:"trials"`
	ReproducibilitySD  *float64          `json:"reproducibility_sd"` // null with one operator
	InteractionSD      float64           `json:"interaction_sd"`
	GRRSD              float64           `json:"grr_sd"`
	PartSD             float64           `json:"part_sd"`
	TotalSD            float64           `json:"total_sd"`
	GRRPctOfTotal      *float64          `json:"grr_pct_of_total"`
	GRRPctOfTolerance  *float64          `json:"grr_pct_of_tolerance"` // 6 grr_sd over the tolerance; null without one
	DistinctCategories *int              `json:"distinct_categories"`  // null where the gauge shows no scatter at all
	InteractionP       *float64          `json:"interaction_p"`        // null where it cannot be tested
	Pooled             bool              `json:"interaction_pooled"`
	ANOVA              []ANOVARow        `json:"anova"`
	Confidence         StudyLimitsAnswer `json:"confidence"`
	ByRange            ByRangeAnswer     `json:"average_and_range"`
	Operatorwise       []OperatorAnswer  `json:"operator_means"`
}

// ANOVARow is a row of the analysis of variance.
type ANOVARow struct {
	Source string   `json:"source"`
	DF     int      `json:"df"`
	SS     float64  `json:"ss"`
	MS     float64  `json:"ms"`
	F      *float64 `json:"f"`
	P      *float64 `json:"p"`
}

// StudyLimitsAnswer are the limits of confidence of a crossed study's figures.
type StudyLimitsAnswer struct {
	Level              float64      `json:"level"`
	RepeatabilitySD    LimitsAnswer `json:"repeatability_sd"`
	ReproducibilitySD  LimitsAnswer `json:"reproducibility_sd"`
	GRRSD              LimitsAnswer `json:"grr_sd"`
	PartSD             LimitsAnswer `json:"part_sd"`
	TotalSD            LimitsAnswer `json:"total_sd"`
	GRRPctOfTotal      LimitsAnswer `json:"grr_pct_of_total"`
	DistinctCategories LimitsAnswer `json:"distinct_categories"` // before rounding down
}

// ByRangeAnswer is the same study by averages and ranges.
type ByRangeAnswer struct {
	RepeatabilitySD    float64      `json:"repeatability_sd"`
	ReproducibilitySD  *float64     `json:"reproducibility_sd"`
	GRRSD              float64      `json:"grr_sd"`
	PartSD             float64      `json:"part_sd"`
	TotalSD            float64      `json:"total_sd"`
	GRRPctOfTotal      *float64     `json:"grr_pct_of_total"`
	DistinctCategories *int         `json:"distinct_categories"`
	MeanRange          float64      `json:"mean_range"`
	RangeLimit         float64      `json:"range_limit"`
	Wide               []CellAnswer `json:"wide_ranges"`
}

// CellAnswer is one operator's trials of one part.
type CellAnswer struct {
	Part     string  `json:"part"`
	Operator string  `json:"operator"`
	Range    float64 `json:"range"`
}

// OperatorAnswer is how one operator reads: on average above all operators'
// mean by Off.
type OperatorAnswer struct {
	Operator string  `json:"operator"`
	Off      float64 `json:"off"`
}

// NestedAnswer is a nested study.
type NestedAnswer struct {
	DaysSD       float64       `json:"days_sd"`
	RunsSD       *float64      `json:"runs_sd"` // null with one run
	OneReadingSD float64       `json:"one_reading_sd"`
	DF           float64       `json:"degrees_of_freedom"`
	DaysF        *float64      `json:"days_f"`
	DaysP        *float64      `json:"days_p"`
	Levels       []LevelAnswer `json:"levels"`
}

// LevelAnswer is the scatter measured at one level.
type LevelAnswer struct {
	Level string  `json:"level"` // "reading", "day", "run"
	SD    float64 `json:"sd"`
	DF    int     `json:"df"`
}

// RepeatAnswer is a study of one crown.
type RepeatAnswer struct {
	Mean             float64      `json:"mean"`
	Limits           LimitsAnswer `json:"repeatability_limits"`
	FromMovingRanges float64      `json:"moving_range_sd"`
	Creep            float64      `json:"creep_per_reading"`
	CreepP           *float64     `json:"creep_p"`
	Step             float64      `json:"step"`
	OddReadings      []int        `json:"odd_readings"`
}

// LinearityAnswer is a study against known sizes.
type LinearityAnswer struct {
	Blocks      []BlockAnswer `json:"blocks"`
	Intercept   float64       `json:"intercept"`
	InterceptU  float64       `json:"intercept_u"`
	InterceptP  *float64      `json:"intercept_p"`
	Slope       float64       `json:"slope"`
	SlopeU      float64       `json:"slope_u"`
	SlopeP      *float64      `json:"slope_p"`
	Correlation *float64      `json:"correlation"` // of intercept and slope
	R2          float64       `json:"r2"`
	ResidualSD  float64       `json:"residual_sd"`
	BendP       *float64      `json:"bend_p"`
}

// BlockAnswer is the bias at one size.
type BlockAnswer struct {
	Reference float64      `json:"reference"`
	Readings  int          `json:"readings"`
	Bias      float64      `json:"bias"`
	SD        *float64     `json:"sd"`
	U         *float64     `json:"u"`
	Limits    LimitsAnswer `json:"limits"`
	P         *float64     `json:"p"`
	Real      bool         `json:"beyond_chance"`
}

// DecidesAnswer is what the gauge can settle at a zone.
type DecidesAnswer struct {
	Zone          float64       `json:"zone"`
	LargestU      float64       `json:"largest_u"`       // above it no crown can be called level
	SharpU        float64       `json:"sharp_u"`         // at most this leaves half of each side of the zone out of doubt
	AnyHand       []SightAnswer `json:"any_hand"`        // passes by whoever is there, averaged
	OneHand       []SightAnswer `json:"one_hand"`        // passes by one and the same hand
	PassesAnyHand *int          `json:"passes_any_hand"` // to call a crown level at all; null: no number will do
	PassesOneHand *int          `json:"passes_one_hand"`
	SharpAnyHand  *int          `json:"sharp_passes_any_hand"`
	SharpOneHand  *int          `json:"sharp_passes_one_hand"`
	UUpper        *float64      `json:"u_upper"` // of one reading by any hand, upper limit of confidence
	PassedWrongly *float64      `json:"passed_wrongly_pct"`
	RefusedWrong  *float64      `json:"refused_wrongly_pct"`
}

// SightAnswer is what a number of passes can decide.
type SightAnswer struct {
	Passes      int      `json:"passes"`
	U           float64  `json:"u"`
	LevelWithin *float64 `json:"level_within"` // null: no crown is ever level
	OffBeyond   float64  `json:"off_beyond"`
}
