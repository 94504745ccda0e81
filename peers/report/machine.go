package main

import (
	"os"
	"regexp"
	"runtime"
	"strconv"
	"strings"
)

// describe names the machine and the programs, but not its place or its name.
func describe(r *run) []string {
	cpu := after("/proc/cpuinfo", "model name", ":")
	if cpu == "" {
		cpu = runtime.GOARCH
	}
	lines := []string{cpu + ", " + strconv.Itoa(runtime.NumCPU()) + " cores"}
	if kB := strings.Fields(after("/proc/meminfo", "MemTotal", ":")); len(kB) > 0 {
		if n, err := strconv.ParseFloat(kB[0], 64); err == nil {
			lines = append(lines, "memory: "+digits(n/1024/1024)+" GB")
		}
	}
	system := strings.Trim(after("/etc/os-release", "PRETTY_NAME", "="), `"`)
	kernel, _ := r.command("", nil, "uname", "-sr")
	kernel, _, _ = strings.Cut(kernel, "-") // what follows names who built it
	lines = append(lines, "system: "+system+", "+strings.TrimSpace(kernel), runtime.Version())
	if load, err := os.ReadFile("/proc/loadavg"); err == nil {
		lines = append(lines, "load when begun: "+strings.Join(strings.Fields(string(load))[:3], " "))
	}
	for _, c := range [][]string{
		{"g++", "--version"},
		{"glpsol", "--version"},
		{python(), "-c", "import scipy, numpy; print('scipy', scipy.__version__, 'with numpy', numpy.__version__)"},
		{"psql", "--version"},
	} {
		out, err := r.command("", nil, c[0], c[1:]...)
		line, _, _ := strings.Cut(strings.TrimSpace(out), "\n")
		if err != nil {
			line = strings.TrimPrefix(c[0], "/usr/bin/") + ": not there"
		}
		lines = append(lines, line)
	}
	return lines
}

// after is what follows a key and its mark in a file of such lines, "" where
// there is none.
func after(file, key, mark string) string {
	text, err := os.ReadFile(file)
	if err != nil {
		return ""
	}
	m := regexp.MustCompile(`(?m)^` + key + `\s*` + mark + `\s*(.*)$`).FindSubmatch(text)
	if m == nil {
		return ""
	}
	return string(m[1])
}

// python is the one that Debian's scipy belongs to, as in run.sh.
func python() string {
	if p := os.Getenv("PYTHON"); p != "" {
		return p
	}
	return "/usr/bin/python3"
}
