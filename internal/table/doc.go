// Package table reads a strict CSV table with a header row: it knows the
// columns by name, the line of every cell, comments, the byte order mark, line
// ends, commas, semicolons and tabs between cells, and decimal commas. It reads a
// grid too, each value as a row. What the cells mean is for the packages above.
package table
