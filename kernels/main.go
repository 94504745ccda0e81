// Command kernels writes the vector code of the contact run: package
// internal/play/kernel of ringtrue, once for AVX2 and once for AVX-512.
//
//	cd kernels && go run . ../internal/play/kernel
//
// Both come from the same description below; only the width differs. It is a
// module of its own so that ringtrue itself needs no generator to be built.
package main

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/pass"
	"github.com/mmcloughlin/avo/printer"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: kernels DIR")
		os.Exit(2)
	}
	for _, w := range []width{{"AVX2", 4}, {"AVX512", 8}} {
		if err := write(os.Args[1], w); err != nil {
			fmt.Fprintln(os.Stderr, "kernels:", err)
			os.Exit(1)
		}
	}
}

// write puts one width's assembly and its Go declarations into a folder.
func write(dir string, w width) error {
	c := build.NewContext()
	c.ConstraintExpr("amd64")
	g := gen{Context: c, width: w}
	g.all()
	file, err := c.Result()
	if err != nil {
		return err
	}
	from, err := source()
	if err != nil {
		return err
	}
	if err := pass.Compile.Execute(file); err != nil {
		return err
	}
	cfg := printer.Config{Name: "kernels", Argv: []string{"kernels"}, Pkg: "kernel"}
	name := filepath.Join(dir, strings.ToLower(w.name)+"_amd64")
	for suffix, p := range map[string]printer.Printer{".s": printer.NewGoAsm(cfg), ".go": printer.NewStubs(cfg)} {
		text, err := p.Print(file)
		if err != nil {
			return err
		}
		// The first line says that the file is generated; the second from what.
		head, rest, _ := strings.Cut(string(text), "\n")
		if err := os.WriteFile(name+suffix, []byte(head+"\n// Source: kernels/, sha256 "+from+"\n"+rest), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// source is the checksum of the generator's own Go files, in order of name.
func source() (string, error) {
	names, err := filepath.Glob("*.go")
	if err != nil || len(names) == 0 {
		return "", fmt.Errorf("run it in its own folder: %w", err)
	}
	sum := sha256.New()
	for _, n := range names {
		text, err := os.ReadFile(n)
		if err != nil {
			return "", err
		}
		sum.Write(text)
	}
	return fmt.Sprintf("%x", sum.Sum(nil)), nil
}
