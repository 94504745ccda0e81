// Package pages reads rows out of a SQLite file of which anything may be damaged.
// It trusts no header, page count, schema, interior page, index or cell pointer: a
// row is known by the shape of its own header, wherever in the file that stands.
// Whether a row is what was written, its reader must prove by a checksum.
//
// Source: "Database File Format", sqlite.org/fileformat2.html; sections are named
// beside the code. Of a book's pages no bytes are reserved (section 1.3.4), texts are
// UTF-8, and a row's header fits a page.
package pages
