// Package column packs a stretch of a book's records column by column: all dates
// together, all serials, all crowns of one fret. A chart of one figure then reads a
// few bytes a record instead of the whole record.
//
// Heights are whole steps and are kept as they are, so what is summed up from columns
// is bit for bit what is summed up from the records.
package column
