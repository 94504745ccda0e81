package main

import (
	"context"

	"ringtrue/internal/answer"
	"ringtrue/internal/findings"
	"ringtrue/internal/trial"
)

// judge judges a neck as `frets` does, with the work that it gives.
func judge(n *trial.Neck) (*findings.Neck, *trial.Work, error) {
	j, _, err := trial.Own(n)
	if err != nil {
		return nil, nil, err
	}
	a, err := answer.Frets(context.Background(), answer.FretsRequest{Model: n.Model, Layout: n.Layout, Readings: n.Readings})
	if err != nil || a.Work == nil {
		return j, nil, err
	}
	w := &trial.Work{RemoveMM: a.Work.TotalRemoveMM}
	for _, f := range a.Work.First {
		w.First = append(w.First, f.Fret)
	}
	return j, w, nil
}
