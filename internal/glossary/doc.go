// Package glossary gives each word of the files and the screens its meaning at
// the bench, and the other words by which makers know the same thing.
package glossary
