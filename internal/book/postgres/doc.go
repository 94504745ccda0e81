// Package postgres keeps one book for several benches in a PostgreSQL server,
// in a schema of its own. Where the server goes away for a moment, a question
// or a record is tried again; nothing goes in twice, as the same record twice
// is one record.
package postgres
