// Package casetest holds what tests of several rooms need. Only tests import it.
package casetest
