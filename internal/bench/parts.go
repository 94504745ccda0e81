package bench

import (
	"fmt"
	"hash/fnv"
	"strings"
)

// part is a piece of the page for reading that can change by itself: a template
// and what fills it.
type part struct {
	name, template string
	body           any
	sum            string
}

// parts of the page that change; in a hurry only the small ones. The picture is
// sent whole only where its board, lanes or frets have changed; else each crown
// is a part of its own, so that one reading moves little over the line.
func (s *Server) parts(b readBody, hurry bool) ([]part, error) {
	var all []part
	names := []string{"where", "kept", "last", "verdict", "ask", "gauge", "ending"}
	if !hurry {
		names = append(names, "meaning")
	}
	for _, name := range names {
		html, err := s.part("read", name, b)
		if err != nil {
			return nil, err
		}
		all = append(all, part{name, name, b, sumOf(html)})
	}
	if hurry {
		return all, nil
	}
	for _, lane := range b.Picture.Lanes {
		for _, c := range lane.Crowns {
			all = append(all, part{c.Site, "crown", c, sumOf(fmt.Sprint(c))})
		}
	}
	all = append(all, part{"bands", "bands", b.Picture, sumOf(fmt.Sprint(b.Picture.Here))})
	return append(all, part{picturePart, picturePart, b, b.Picture.frame()}), nil
}

const picturePart = "picture"

// inPicture reports whether a part stands in the picture.
func (p part) inPicture() bool { return p.template == "crown" || p.template == "bands" }

// frame names what of the picture stays while readings come in.
func (p picture) frame() string {
	var names strings.Builder
	fmt.Fprint(&names, p.Board, p.Label)
	for _, lane := range p.Lanes {
		fmt.Fprint(&names, " ", lane.Words)
	}
	return sumOf(names.String())
}

// sumOf is 24 bits of a hash: a part that changes keeps its sum once in 17
// million times.
func sumOf(text string) string {
	h := fnv.New32a()
	_, _ = h.Write([]byte(text)) // a hash takes all
	return fmt.Sprintf("%06x", h.Sum32()&0xffffff)
}

// changed are the parts that a screen has not got, with their sums: have lists
// the sums of those that it shows.
func (s *Server) changed(all []part, have string) (html, sums map[string]string, err error) {
	html, sums = map[string]string{}, map[string]string{}
	shown := map[string]string{}
	for _, pair := range strings.Fields(have) {
		name, sum, _ := strings.Cut(pair, ":")
		shown[name] = sum
	}
	whole := false
	for _, p := range all {
		whole = whole || p.name == picturePart && shown[p.name] != p.sum
	}
	for _, p := range all {
		inWhole := whole && p.inPicture()
		if shown[p.name] == p.sum && !inWhole {
			continue
		}
		sums[p.name] = p.sum
		if inWhole {
			continue
		}
		if html[p.name], err = s.part("read", p.template, p.body); err != nil {
			return nil, nil, err
		}
	}
	return html, sums, nil
}

// have lists the sums of parts for a page that shows them all.
func have(all []part) string {
	var out []string
	for _, p := range all {
		out = append(out, p.name+":"+p.sum)
	}
	return strings.Join(out, " ")
}
