// Package casetest holds what tests of several rooms need: tables of published
// cases, near enough or not, a number that must be there. Only tests import it.
package casetest
