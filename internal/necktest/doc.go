// Package necktest gives tests of several rooms a neck to work on: the example, or one
// that the test writes out. Only tests import it.
package necktest
