package bench

import (
	"fmt"
	"hash/fnv"
	"strings"
)

// part is a piece of the page for reading that can change by itself.
type part struct{ name, html, sum string }

// parts of the page that change; in a hurry only the small ones. The picture is
// sent whole only where its board, lanes or frets have changed; else each lane is
// a part of its own, so that one reading moves little over the line.
func (s *Server) parts(b readBody, hurry bool) ([]part, error) {
	var all []part
	add := func(name, template string, body any) error {
		html, err := s.part("read", template, body)
		if err == nil {
			all = append(all, part{name, html, sumOf(html)})
		}
		return err
	}
	names := []string{"where", "kept", "last", "verdict", "ask", "ending"}
	if !hurry {
		names = append(names, "meaning")
	}
	for _, name := range names {
		if err := add(name, name, b); err != nil {
			return nil, err
		}
	}
	if hurry {
		return all, nil
	}
	for _, lane := range b.Picture.Lanes {
		if err := add(lane.Part, "crowns", lane); err != nil {
			return nil, err
		}
	}
	if err := add("bands", "bands", b.Picture); err != nil {
		return nil, err
	}
	return all, add("picture", "picture", b)
}

// frame names what of the picture stays while readings come in.
func (p picture) frame() string {
	var names strings.Builder
	fmt.Fprint(&names, p.Board, p.Label)
	for _, lane := range p.Lanes {
		fmt.Fprint(&names, " ", lane.Part)
	}
	return sumOf(names.String())
}

func sumOf(text string) string {
	h := fnv.New32a()
	_, _ = h.Write([]byte(text)) // a hash takes all
	return fmt.Sprintf("%08x", h.Sum32())
}

// changed are the parts that a screen has not got: have lists the sums of those
// that it shows.
func changed(all []part, frame, have string) (html, sums map[string]string) {
	html, sums = map[string]string{}, map[string]string{}
	shown := map[string]string{}
	for _, pair := range strings.Fields(have) {
		name, sum, _ := strings.Cut(pair, ":")
		shown[name] = sum
	}
	whole := shown["picture"] != frame
	for _, p := range all {
		inPicture := strings.HasPrefix(p.name, "lane-") || p.name == "bands"
		switch {
		case p.name == "picture":
			sums[p.name] = frame
			if whole {
				html[p.name] = p.html
			}
		default:
			sums[p.name] = p.sum
			if shown[p.name] != p.sum && !(whole && inPicture) {
				html[p.name] = p.html
			}
		}
	}
	return html, sums
}

// have lists the sums of parts for a page that shows them all.
func have(all []part, frame string) string {
	var out []string
	for _, p := range all {
		if p.name == "picture" {
			p.sum = frame
		}
		out = append(out, p.name+":"+p.sum)
	}
	return strings.Join(out, " ")
}
