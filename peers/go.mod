module ringtrue/peers

go 1.26.0

require ringtrue v0.0.0

replace ringtrue => ..
