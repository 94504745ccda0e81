// Package parquet writes records and their crowns as two tables in Apache Parquet,
// which any columnar engine reads: a row a record, and a row a determined crown.
// The same records give the same bytes.
package parquet
