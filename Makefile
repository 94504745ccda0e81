# The two ways in are in README.md and need no make. This holds the rest.
VERSION ?= 0.1.0

.PHONY: dist reference benchmarks check
# Binaries for every system, with checksums, licences and a list of parts, in dist/.
dist:
	.ci/dist "$(VERSION)"

# docs/reference.md from the program's own definitions.
reference:
	go run ./docs/gen

# docs/benchmarks.md: ours and the peers in one run; some minutes, on a quiet machine.
benchmarks:
	peers/page.sh

# All that a change has to pass.
check:
	.ci/run
