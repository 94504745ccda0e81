package answer

import (
	"context"

	"ringtrue/internal/listen"
	"ringtrue/internal/recording"
	"ringtrue/internal/text"
)

// ListenRequest is what `listen` is asked: a neck, the order it was played in, and the
// bytes of a WAV file.
type ListenRequest struct {
	listen.Request
	WAV []byte
}

// ListenAnswer is what `listen` says of a recording.
type ListenAnswer struct {
	listen.Report
	Warnings []string `json:"warnings"`
	Says     []string `json:"says"` // what follows from it, in words

	// Of a neck in the book.
	Since *HeardSince `json:"since,omitempty"`
	Kept  *HeardKept  `json:"kept,omitempty"`
}

// ErrRecording is a fault of the recording's file.
type ErrRecording struct{ error }

// Unwrap gives what is wrong.
func (e ErrRecording) Unwrap() error { return e.error }

// Listen says what a neck that was played through tells. tell, where given, is told how many
// sounds of how many are done. Faults: an ErrRecording; a request that this neck cannot
// meet; faults of its strings as Play's.
func Listen(ctx context.Context, r ListenRequest, tell func(done, of int)) (*ListenAnswer, error) {
	channels, err := recording.Channels(r.WAV)
	if err != nil {
		return nil, ErrRecording{err}
	}
	sound, flaws, err := recording.Of(channels)
	if err != nil {
		return nil, ErrRecording{err}
	}
	report, err := listen.Of(ctx, r.Request, sound, flaws, tell)
	if err != nil {
		return nil, err
	}
	return &ListenAnswer{Report: *report, Warnings: text.ListenWarnings(report), Says: text.ListenSays(report)}, nil
}

// Learned is the [strings] table of what was heard. Error: nothing could be told.
func (a *ListenAnswer) Learned(r ListenRequest) (string, error) { return a.Learn(r.Model) }
