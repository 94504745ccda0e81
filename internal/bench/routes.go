package bench

import "net/http"

// routes maps methods and paths to handlers. Paths that are not here are
// answered 404, other methods of a path 405.
func (s *Server) routes() *http.ServeMux {
	m := http.NewServeMux()
	m.HandleFunc("GET /healthz", s.health)
	m.HandleFunc("GET /static/{name}", s.static)
	m.HandleFunc("GET /favicon.ico", s.icon)
	m.HandleFunc("GET "+manifestPath, s.giveManifest)
	m.HandleFunc("GET /paired", s.page(s.showPaired))
	m.HandleFunc("GET /pair", s.page(s.showPair))
	m.HandleFunc("POST /pair", s.page(s.pair))
	m.HandleFunc("GET /screens", s.page(s.showScreens))
	m.HandleFunc("POST /screens", s.page(s.removeScreen))

	m.HandleFunc("GET /{$}", s.page(s.showHome))
	m.HandleFunc("GET /hand", s.page(s.giveHand))
	m.HandleFunc("POST /necks", s.page(s.openNeck))

	m.HandleFunc("GET /necks/{id}", s.ofNeck(s.showRead))
	m.HandleFunc("GET /necks/{id}/state", s.ofNeck(s.news))
	m.HandleFunc("POST /necks/{id}/read", s.onNeck(s.read))
	m.HandleFunc("GET /necks/{id}/read", s.onNeck(s.toRead))
	m.HandleFunc("GET /necks/{id}/pass", s.ofNeck(s.showPass))
	m.HandleFunc("POST /necks/{id}/pass", s.onNeck(s.beginPass))
	m.HandleFunc("GET /necks/{id}/files", s.ofNeck(s.showFiles))
	m.HandleFunc("POST /necks/{id}/files", s.ofNeck(s.takeFile))
	m.HandleFunc("GET /necks/{id}/readings.csv", s.ofNeck(s.giveReadings))
	m.HandleFunc("GET /necks/{id}/neck.toml", s.ofNeck(s.giveNeck))
	m.HandleFunc("POST /necks/{id}/stage", s.onNeck(s.endStage))
	m.HandleFunc("POST /necks/{id}/serial", s.onNeck(s.nameNeck))
	m.HandleFunc("POST /necks/{id}/book", s.onNeck(s.putInBook))
	m.HandleFunc("POST /necks/{id}/noted", s.onNeck(s.noteDamage))
	m.HandleFunc("POST /necks/{id}/away", s.onNeck(s.putAway))
	m.HandleFunc("GET /necks/{id}/plan", s.page(s.showPlan))
	m.HandleFunc("GET /necks/{id}/plan.pdf", s.page(s.givePlan))
	m.HandleFunc("POST /necks/{id}/ticks", s.ofNeck(s.tickPlan))
	m.HandleFunc("GET /necks/{id}/play", s.ofNeck(s.showPlay))
	m.HandleFunc("GET /necks/{id}/play/try", s.page(s.tryAction))
	m.HandleFunc("GET /necks/{id}/setup", s.ofNeck(s.showSetup))
	m.HandleFunc("GET /necks/{id}/setup.pdf", s.ofNeck(s.giveSetup))
	m.HandleFunc("GET /necks/{id}/listen", s.ofNeck(s.showListen))
	m.HandleFunc("POST /necks/{id}/listen", s.ofNeck(s.takeRecording))
	m.HandleFunc("POST /necks/{id}/listen/begin", s.onNeck(s.beginListening))
	m.HandleFunc("POST /necks/{id}/listen/sound", s.ofNeck(s.hearStretch))
	m.HandleFunc("POST /necks/{id}/listen/end", s.onNeck(s.endListening))
	m.HandleFunc("POST /necks/{id}/listen/left", s.onNeck(s.leaveListening))
	m.HandleFunc("GET /necks/{id}/listen/strings.toml", s.ofNeck(s.giveHeard("application/toml", "-strings.toml", heardStrings)))
	m.HandleFunc("GET /necks/{id}/listen/answers.csv", s.ofNeck(s.giveHeard("text/csv; charset=utf-8", "-answers.csv", heardAnswers)))
	m.HandleFunc("GET /necks/{id}/listen/sound.wav", s.ofNeck(s.giveHeard("audio/wav", "-played.wav", heardSound)))
	m.HandleFunc("GET /necks/{id}/note.wav", s.page(s.giveNote))
	m.HandleFunc("GET /book", s.page(s.showBook))
	m.HandleFunc("GET /book/list", s.page(s.giveBookList))
	m.HandleFunc("GET /book/neck", s.page(s.showHistory))
	m.HandleFunc("GET /book/compare.svg", s.page(s.giveComparison))
	m.HandleFunc("GET /book/drift", s.page(s.showDrift))
	m.HandleFunc("GET /book/drift.svg", s.page(s.giveDrift))
	m.HandleFunc("GET /neckfile", s.page(s.showNeckForm))
	m.HandleFunc("POST /neckfile", s.page(s.takeNeckForm))
	m.HandleFunc("GET /necks/{id}/neck", s.ofNeck(s.showNeckData))
	m.HandleFunc("GET /necks/{id}/gauge", s.ofNeck(s.showGauge))
	m.HandleFunc("POST /necks/{id}/study", s.onNeck(s.beginStudy))
	m.HandleFunc("POST /necks/{id}/trial", s.onNeck(s.takeTrial))
	m.HandleFunc("GET /necks/{id}/study.csv", s.ofNeck(s.giveStudy))
	m.HandleFunc("GET /necks/{id}/board", s.ofNeck(s.showBoard))
	m.HandleFunc("GET /", s.page(s.notThere))
	return m
}

// health answers that the bench is up.
func (s *Server) health(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, _ = w.Write([]byte("ok\n"))
}
