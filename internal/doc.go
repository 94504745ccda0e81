// Package internal holds no code of its own: its tests keep the arrows between
// the packages below it pointing down.
package internal
