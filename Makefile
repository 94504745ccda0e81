# The two ways in are in README.md and need no make. This holds the rest.
VERSION ?= 0.1.0

.PHONY: dist reference pictures benchmarks check
# Binaries for every system, with checksums, licences and a list of parts, in dist/.
dist:
	.ci/dist "$(VERSION)"

# docs/reference.md from the program's own definitions.
reference:
	go run ./docs/gen

# The pictures in docs/, from the commands named beside them.
RUN = go run ./cmd/ringtrue
pictures:
	$(RUN) frets examples/heron.toml examples/heron-seated.csv --draw docs/frets.svg
	$(RUN) play examples/heron.toml examples/heron-seated.csv --draw docs/play.svg
	$(RUN) play examples/heron.toml examples/heron-seated.csv --string 1 --fret 6 --film docs/pluck.svg
	$(RUN) play examples/heron.toml --study zone=0.01..0.08 --draw docs/study.svg
	$(RUN) play examples/heron.toml --tune --draw docs/tune.svg

# docs/benchmarks.md: ours and the peers in one run; some minutes, on a quiet machine.
benchmarks:
	peers/page.sh

# All that a change has to pass.
check:
	.ci/run
