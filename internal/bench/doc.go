// Package bench serves the pages that a maker uses standing at the bench: read
// a neck crown by crown, see what the readings mean, work, read again, and put
// the neck in the book.
//
// Everything comes from the program itself: pages are html/template files of
// pages/, the one stylesheet, the one script and the icon lie in static/, and
// every word that a maker reads stands in internal/text/en/pages.toml. Nothing is fetched from
// elsewhere. Pages work without the script; with it, a reading changes the page
// without loading it anew.
//
// # Adding a page
//
//  1. pages/NAME.html defines "title" and "main"; layout.html puts the head, the
//     way back and the neck's tabs around them. Words come from {{t "NAME.key"}}.
//  2. internal/text/en/pages.toml: a table [NAME] with those words.
//  3. page_NAME.go: a struct for what the template shows, and a handler that
//     fills it and calls s.show(w, r, "NAME", head, body). A handler returns an
//     error; refuse makes one that the maker sees, any other is written to the
//     log and the maker learns only that it failed.
//  4. routes.go: a line with method and path. Paths of a neck in work begin with
//     /necks/{id}; s.kept(r) finds it, and needs no more than that: no part of a
//     path or a form ever names a file.
//  5. A tab: tabs() in layout.go.
//
// A form posts by method="post"; forms and files are limited in size by
// s.form and s.file. A page's answers come from package answer.
package bench
