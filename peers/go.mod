module ringtrue/peers

go 1.26.0

require ringtrue v0.0.0

require gonum.org/v1/gonum v0.17.0 // indirect

replace ringtrue => ..
