package bench

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
	"time"
)

//go:embed static
var staticFiles embed.FS

// staticFile is a file of static/ with the start of its checksum: the address
// of a file changes with its bytes, so a browser may keep it for good.
type staticFile struct {
	kind string
	data []byte
	sum  string
}

// loadStatic reads the static files; all of one kind that pages share are served
// as one, since each request of a first visit costs more than its bytes. Only what stands in
// this list is ever served: a request's path names no file.
func loadStatic() (map[string]staticFile, error) {
	entries, err := staticFiles.ReadDir("static")
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(entries, func(a, b fs.DirEntry) int { return cmp.Compare(comesFirst(a.Name()), comesFirst(b.Name())) })
	all := map[string]staticFile{}
	for _, e := range entries { // by name: bench.css before see.css
		data, err := staticFiles.ReadFile("static/" + e.Name())
		if err != nil {
			return nil, err
		}
		name, kind := servedAs(e.Name())
		if ext := path.Ext(e.Name()); ext == ".css" || ext == ".js" {
			data = lean(data)
		}
		f := staticFile{kind: kind, data: append(all[name].data, data...)}
		sum := sha256.Sum256(f.data)
		f.sum = hex.EncodeToString(sum[:6])
		all[name] = f
	}
	return all, nil
}

// lean leaves out what only those read who work on a script or a style sheet: blanks
// before a line, and lines that are a comment. No text in them runs over several lines.
func lean(data []byte) []byte {
	var out []byte
	for line := range bytes.Lines(data) {
		line = bytes.TrimLeft(line, " \t")
		if len(bytes.TrimSpace(line)) == 0 || bytes.HasPrefix(line, []byte("//")) || isStyleComment(line) {
			continue
		}
		out = append(out, line...)
	}
	return out
}

// isStyleComment reports whether a line is one comment of a style sheet and no more.
func isStyleComment(line []byte) bool {
	line = bytes.TrimSpace(line)
	return bytes.HasPrefix(line, []byte("/*")) && bytes.Index(line, []byte("*/")) == len(line)-2
}

// comesFirst orders the scripts that others use before those, which come by name.
func comesFirst(file string) int {
	first := []string{"outbox", "gaugeline", "parts", "above", "aloud", "time"}
	if at := slices.Index(first, strings.TrimSuffix(file, path.Ext(file))); at >= 0 {
		return at
	}
	return len(first)
}

// onlyOne begins the name of a file that one page alone needs: the others do not load it.
const onlyOne = "only-"

// servedAs is the name under which a file of static/ is served, and its kind.
func servedAs(file string) (name, kind string) {
	switch kind = path.Ext(file); kind {
	case ".css":
		name, kind = "bench.css", "text/css; charset=utf-8"
	case ".js":
		name, kind = "bench.js", "text/javascript; charset=utf-8"
	case ".png":
		return file, "image/png"
	default:
		return file, "image/svg+xml"
	}
	if strings.HasPrefix(file, onlyOne) {
		name = file
	}
	return name, kind
}

// icon is what a browser asks for beside an answer that is no page of ours, such
// as a file shown in a tab.
func (s *Server) icon(w http.ResponseWriter, r *http.Request) {
	r.SetPathValue("name", "icon.svg")
	s.static(w, r)
}

// static serves a file of the look.
func (s *Server) static(w http.ResponseWriter, r *http.Request) {
	f, ok := s.renderer.static[r.PathValue("name")]
	if !ok {
		http.NotFound(w, r)
		return
	}
	if r.URL.Query().Get("v") == f.sum {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	w.Header().Set("Content-Type", f.kind)
	w.Header().Set("ETag", `"`+f.sum+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.data))
}
