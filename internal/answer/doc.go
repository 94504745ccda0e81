// Package answer answers one command each: it asks the domain packages in turn and
// gathers what they say. It does no arithmetic and knows no flags.
package answer
