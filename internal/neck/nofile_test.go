package neck_test

import (
	"strings"
	"testing"

	"ringtrue/internal/neck"
)

// The two files given in the wrong order get one line that says so.
func TestParse_ReadingsForTheNeckFile(t *testing.T) {
	const wrong = "seated.csv: is a file of readings; give the neck file (.toml) first, then the readings"
	for _, text := range []string{
		"method,lane,fret,reading,unit\nbeam,1,1,0.4,mm\n",
		"# Heron, seated\n\nmethod;lane;fret;reading;unit\nbeam;1;1;0,4;mm\n",
	} {
		if _, err := neck.Parse("seated.csv", []byte(text)); err == nil || err.Error() != wrong {
			t.Errorf("%q: %v, want %s", text, err, wrong)
		}
	}
	for _, text := range []string{"method = \"a, b\"\n", "[method, lane]\n", "method\n"} {
		if _, err := neck.Parse("heron.toml", []byte(text)); err == nil || strings.Contains(err.Error(), "holds readings") {
			t.Errorf("%q: %v, is no readings file", text, err)
		}
	}
}
