#!/bin/sh
# Builds and runs the peers of ringtrue's mathematics, each a program of its own,
# on the same inputs, compares the answers and prints both raw times.
# Installs what is missing (Debian): glpk, scipy, a C compiler.
#
#   peers/run.sh                 all
#   peers/run.sh -necks 3        fewer necks (flags of the driver)
set -eu
cd "$(dirname "$0")"
python=${PYTHON:-/usr/bin/python3}

missing=
command -v gcc >/dev/null || missing="$missing gcc libc6-dev"
command -v glpsol >/dev/null || missing="$missing glpk-utils"
[ -e /usr/include/glpk.h ] || missing="$missing libglpk-dev"
"$python" -c 'import scipy' 2>/dev/null || missing="$missing python3-scipy"
if [ -n "$missing" ]; then
	echo "installing$missing" >&2
	apt-get update -qq
	# shellcheck disable=SC2086
	DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $missing >/dev/null
fi

build=$(mktemp -d)
trap 'rm -rf "$build"' EXIT
gcc -O3 -march=native -o "$build/removal_glpk" levelling/programs/removal_glpk.c -lglpk
go build -o "$build/levelling" ./levelling
"$build/levelling" -build "$build" -python "$python" "$@"
