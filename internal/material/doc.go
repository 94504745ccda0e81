// Package material holds published figures for woods, wire alloys, glue and
// dust: each a row of an embedded table that names its source and says whether
// the figure was read there or is from memory.
//
// A species or an alloy is asked for by its trade name or as the data write it;
// where sources disagree every one of them is returned, so that a caller can
// show the range.
package material
