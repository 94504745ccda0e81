package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
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
