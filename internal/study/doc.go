// Package study draws necks at random whose frets are level only to a zone, and
// works out how low the strings of each can go: what levelness buys in action.
//
// How a neck's crowns stray within their zone is a model of ours, chosen and not
// measured (see Errors). The strings are those of package play: without a buzz
// means without any contact of the stiff string, at every stop.
package study
