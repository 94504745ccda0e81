package neck

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed template/*.toml
var templates embed.FS

// Templates lists the kinds of neck that Template knows.
func Templates() []string { return []string{"electric", "acoustic", "bass"} }

// Template is a commented neck file to start from, which asks only for scale,
// frets and radius to be set. It errors on a kind that Templates does not list.
func Template(like string) (string, error) {
	if !contains(Templates(), like) {
		return "", fmt.Errorf("there is no neck like %q; known are %s", like, strings.Join(Templates(), ", "))
	}
	data, err := templates.ReadFile("template/" + like + ".toml")
	return string(data), err
}
