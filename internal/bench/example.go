package bench

import (
	_ "embed"
	"errors"
	"net/http"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/reading"
)

// The example neck and its readings are those of examples/; a test holds them
// together.
var (
	//go:embed example/heron.toml
	exampleNeck []byte
	//go:embed example/seated.csv
	exampleReadings []byte
)

// tryExample takes the example neck into work, read through, with a pass to read
// on with. It is marked, and the book takes nothing of it.
func (s *Server) tryExample(w http.ResponseWriter, r *http.Request) error {
	s.trying.Lock() // a second tap finds the first one's
	defer s.trying.Unlock()
	for _, k := range s.cfg.Folder.All() {
		if ofExample(k) {
			return s.toStep(w, r, k)
		}
	}
	screen := screenOf(r.PostForm)
	k, err := s.cfg.Folder.BeginExample("Heron 22.toml", exampleNeck, screen)
	if err != nil {
		return err
	}
	p := draft.Pass{Method: string(reading.Beam), Unit: "mm", Every: 1}
	k.Read(func(st *draft.State) {
		p.From, p.To, p.Lanes = st.Layout.FirstFret(), st.Layout.LastFret(), wholeLanes(st.Layout.Strings())
	})
	err = k.Take("Heron 22.csv", exampleReadings, screen)
	if err == nil {
		_, err = k.Begin(p, screen)
	}
	if err != nil { // half an example is none
		return errors.Join(err, s.cfg.Folder.PutAway(k.ID()))
	}
	return s.toStep(w, r, k)
}

// toStep opens a neck where its next step is, as the list of necks does.
func (s *Server) toStep(w http.ResponseWriter, r *http.Request, k *draft.Neck) error {
	s.newest(r.Context(), k)
	return redirect(w, r, "%s", s.rowOf(k).Href)
}

// wholeLanes are all lanes under a string, the treble string's first.
func wholeLanes(strings int) (lanes []float64) {
	for i := range strings {
		lanes = append(lanes, float64(i+1))
	}
	return lanes
}

// ofExample reports whether a neck in work is the example.
func ofExample(k *draft.Neck) (yes bool) {
	k.Read(func(st *draft.State) { yes = st.Example })
	return yes
}
