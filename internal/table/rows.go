package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
)

// Rows reads a table that is part of the program: each row by its columns'
// names, as it stands. Lines that start with # are comments.
func Rows(data []byte) ([]map[string]string, error) {
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil || len(records) < 2 {
		return nil, fmt.Errorf("%d rows, %v", len(records), err)
	}
	rows := make([]map[string]string, len(records)-1)
	for i, record := range records[1:] {
		rows[i] = make(map[string]string, len(record))
		for k, column := range records[0] {
			rows[i][column] = record[k]
		}
	}
	return rows, nil
}

// Lines writes rows as the text of a table that Open reads, each on the line of
// its own number: cells are parted by semicolons, a row of one cell that starts
// with # is a comment line. Cells have no line ends.
func Lines(rows [][]string) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma = ';'
	for _, row := range rows {
		if len(row) == 1 && strings.HasPrefix(row[0], "#") {
			w.Flush()
			out.WriteString(row[0] + "\n")
			continue
		}
		_ = w.Write(row) // into memory: no error
	}
	w.Flush()
	return out.Bytes()
}

// Commas writes rows as a file with commas, to be handed on.
func Commas(rows [][]string) []byte {
	var out bytes.Buffer
	_ = csv.NewWriter(&out).WriteAll(rows) // into memory: no error
	return out.Bytes()
}
