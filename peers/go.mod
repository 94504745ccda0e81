module ringtrue/peers

go 1.26.0

require ringtrue v0.0.0

require (
	github.com/pelletier/go-toml/v2 v2.4.3 // indirect
	golang.org/x/sync v0.24.0 // indirect
)

require (
	golang.org/x/sys v0.50.0
	gonum.org/v1/gonum v0.17.0 // indirect
)

replace ringtrue => ..
