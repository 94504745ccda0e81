#!/bin/sh
# Builds and runs the peers of ringtrue's mathematics, each a program of its own,
# on the same inputs, compares the answers and prints both raw times.
# Installs what is missing (Debian): glpk, scipy, a C compiler.
#
#   peers/run.sh                 all
#   peers/run.sh levelling -necks 3   one of them, with flags of its driver
#   peers/run.sh contact -rounds 3
set -eu
cd "$(dirname "$0")"
python=${PYTHON:-/usr/bin/python3}

what=all
case ${1:-} in levelling | contact) what=$1 && shift ;; esac
wanted() { [ "$what" = all ] || [ "$what" = "$1" ]; }

missing=
command -v g++ >/dev/null || missing="$missing g++"
if wanted levelling; then
	command -v gcc >/dev/null || missing="$missing gcc libc6-dev"
	command -v glpsol >/dev/null || missing="$missing glpk-utils"
	[ -e /usr/include/glpk.h ] || missing="$missing libglpk-dev"
	"$python" -c 'import scipy' 2>/dev/null || missing="$missing python3-scipy"
fi
if [ -n "$missing" ]; then
	echo "installing$missing" >&2
	apt-get update -qq
	# shellcheck disable=SC2086
	DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $missing >/dev/null
fi

build=$(mktemp -d)
trap 'rm -rf "$build"' EXIT
if wanted contact; then
	g++ -O3 -march=native -o "$build/stepwise-O3" contact/programs/stepwise.cpp
	g++ -O3 -march=native -ffast-math -o "$build/stepwise-fast-math" contact/programs/stepwise.cpp
	go build -o "$build/contact" ./contact
	"$build/contact" -build "$build" "$@"
fi
if wanted levelling; then
	gcc -O3 -march=native -o "$build/removal_glpk" levelling/programs/removal_glpk.c -lglpk
	go build -o "$build/levelling" ./levelling
	"$build/levelling" -build "$build" -python "$python" "$@"
fi
