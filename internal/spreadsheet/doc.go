// Package spreadsheet reads and writes grids of readings as workbooks (.xlsx, by
// ISO/IEC 29500), with a library: a workbook that was filled in becomes the text of
// a table, a line per row of its sheet, which package reading then takes like any
// other. Numbers come as they are stored, of a formula its last result.
package spreadsheet
