package internal

import (
	"fmt"
	"go/ast"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"ringtrue/internal/cli"
)

// phrase is a text that a person reads.
type phrase struct {
	room  string // the package, "text/en" for the pages' catalogue
	where string // the file, command or key
	kind  kind
	text  string
}

// kind is what a phrase is for, which says how long it may be.
type kind int

const (
	sentence kind = iota // of an answer, a help or a comment in a file
	fault                // an error
	summary              // of a command
	option               // an option's help
	message              // of a page
	heading              // of a page
	button               // of a page
)

// phrases gathers what the program says: the pages' catalogue, commands and options,
// and the strings of the rooms' code that are more than a word.
func phrases(t *testing.T) []phrase {
	t.Helper()
	all := catalogue(t)
	all = append(all, helps(cli.Commands())...)
	for _, s := range sources(t) {
		all = append(all, s.phrases()...)
	}
	return all
}

// helps are a command's summary and options, and those of the commands below it.
func helps(c *cobra.Command) []phrase {
	all := []phrase{{"cli", c.CommandPath(), summary, c.Short}}
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		_, usage := pflag.UnquoteUsage(f)
		all = append(all, phrase{"cli", c.CommandPath() + " --" + f.Name, option, usage})
	})
	for _, sub := range c.Commands() {
		all = append(all, helps(sub)...)
	}
	return all
}

// catalogue are the pages' texts. Buttons and headings are those that the templates
// make so.
func catalogue(t *testing.T) (all []phrase) {
	t.Helper()
	data, err := os.ReadFile("text/en/pages.toml")
	if err != nil {
		t.Fatal(err)
	}
	var pages map[string]map[string]string
	if err := toml.Unmarshal(data, &pages); err != nil {
		t.Fatal(err)
	}
	kinds := map[string]kind{}
	templates, err := filepath.Glob("bench/pages/*.html")
	if err != nil || len(templates) < 10 {
		t.Fatalf("%d templates, %v", len(templates), err)
	}
	tag := regexp.MustCompile(`<(button|a class="button"|h[1-6]|legend|summary)[^>]*>(?:\{\{[^t][^}]*\}\})*\{\{t "([a-z]+\.[a-z-]+)"`)
	for _, name := range templates {
		html, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range tag.FindAllStringSubmatch(string(html), -1) {
			kinds[m[2]] = heading
			if m[1] == "button" {
				kinds[m[2]] = button
			}
		}
	}
	if len(kinds) < 60 {
		t.Fatalf("%d buttons and headings: the search is broken", len(kinds))
	}
	for page, texts := range pages {
		for key, text := range texts {
			k, ok := kinds[page+"."+key]
			if !ok {
				k = message
			}
			all = append(all, phrase{"text/en", page + "." + key, k, text})
		}
	}
	return all
}

// phrases are the strings of a file that have more than a word, those put together
// with + as one. A string that an error is made of is a fault.
func (s source) phrases() (all []phrase) {
	add := func(e ast.Expr, k kind) bool {
		text, ok := spelt(e)
		if ok && strings.Contains(strings.TrimSpace(text), " ") {
			all = append(all, phrase{s.room, fmt.Sprint(path.Base(s.name)), k, text})
		}
		return ok
	}
	var look func(n ast.Node) bool
	look = func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			ast.Inspect(n.Type, look)
			return false
		case *ast.CallExpr:
			if !makesFault(n) {
				return true
			}
			ast.Inspect(n.Fun, look)
			for _, arg := range n.Args {
				if !add(arg, fault) {
					ast.Inspect(arg, look)
				}
			}
			return false
		case ast.Expr:
			return !add(n, sentence)
		}
		return true
	}
	ast.Inspect(s.file, look)
	return all
}

// makesFault says whether a call makes an error of its strings.
func makesFault(c *ast.CallExpr) bool {
	name := ""
	switch f := c.Fun.(type) {
	case *ast.Ident:
		name = f.Name
	case *ast.SelectorExpr:
		name = f.Sel.Name
		if x, ok := f.X.(*ast.Ident); ok {
			name = x.Name + "." + name
		}
	}
	return regexp.MustCompile(`^errors\.New$|(?i:errorf|fault(ofFile|in)?|refused)$`).MatchString(name)
}

// spelt is the text of a string, or of strings put together with +. What is put in
// between from elsewhere counts as %s.
func spelt(e ast.Expr) (string, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(e.Value)
		return text, err == nil && e.Kind == token.STRING
	case *ast.ParenExpr:
		return spelt(e.X)
	case *ast.BinaryExpr:
		a, aSpelt := spelt(e.X)
		b, bSpelt := spelt(e.Y)
		if e.Op != token.ADD || !aSpelt && !bSpelt {
			return "", false
		}
		if !aSpelt {
			a = "%s"
		}
		if !bSpelt {
			b = "%s"
		}
		return a + b, true
	}
	return "", false
}
