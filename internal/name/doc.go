// Package name says which serials, stages and names may be typed: those that look
// like what they are. What is in a book or a journal already is not judged again.
package name
