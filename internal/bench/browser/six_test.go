package browser

// six are the screens that every page is made for.
func six() []size {
	return []size{
		{"360x740", 360, 740, true}, {"740x360", 740, 360, true}, {"768x1024", 768, 1024, true},
		{"1024x768", 1024, 768, true}, {"1440x900", 1440, 900, false}, {"2560x1440", 2560, 1440, false},
	}
}
