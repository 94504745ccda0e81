package bench

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	"path"
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

// loadStatic reads the static files. Only what stands in this list is ever
// served: a request's path names no file.
func loadStatic() (map[string]staticFile, error) {
	kinds := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}
	entries, err := staticFiles.ReadDir("static")
	if err != nil {
		return nil, err
	}
	all := map[string]staticFile{}
	for _, e := range entries {
		data, err := staticFiles.ReadFile("static/" + e.Name())
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(data)
		all[e.Name()] = staticFile{kinds[path.Ext(e.Name())], data, hex.EncodeToString(sum[:6])}
	}
	return all, nil
}

// static serves a file of the look.
func (s *Server) static(w http.ResponseWriter, r *http.Request) {
	f, ok := s.look.static[r.PathValue("name")]
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
