package text

// Drawn says which file was drawn.
func Drawn(file string) string { return "drawn: " + file }
