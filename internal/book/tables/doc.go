// Package tables is what both stores have in common: the same tables, the same
// questions asked of them in SQL, and the way from one version of the tables to
// the next. What differs, each store does itself: opening, writing, and telling
// its database's errors apart.
package tables
