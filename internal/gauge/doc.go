// Package gauge tells what a gauge can see: studies of its repeatability and
// of the hands that use it, crossed, nested or of a single crown; its bias and
// linearity against gauge blocks; and what crowns it can then decide.
//
// Readings of a study are in one unit, and so is all that is said of them.
// Standard deviations and uncertainties are standard ones; p values and
// confidence are two-sided where nothing else is said.
//
// Sources: AIAG, Measurement Systems Analysis, 4th ed. 2010 (crossed studies,
// linearity); NIST/SEMATECH e-Handbook 2.4 to 2.6 (nested studies); JCGM
// 100:2008 and 106:2012 (uncertainty, decisions).
package gauge
