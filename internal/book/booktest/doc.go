// Package booktest is the one set of tests that every store must pass.
package booktest
