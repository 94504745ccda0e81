//go:build !race

package casetest

// racing is whether the race detector watches, at ten times the cost.
const racing = false
