package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"ringtrue/internal/book/archive"
)

var update = flag.Bool("update", false, "write golden files anew")

// judgedExamples is what the examples' readings come out as, and by which
// revision of the judgement.
type judgedExamples struct {
	Revision int                         `json:"judgement"`
	Examples map[string]*archive.Derived `json:"examples"`
}

// TestJudgementRevision: where the same files come out otherwise, the revision
// must have risen. Else the book calls records that an older build judged
// damaged.
func TestJudgementRevision(t *testing.T) {
	golden := filepath.Join("testdata", "judged.json")
	now := judgedExamples{Revision: judgementRevision, Examples: map[string]*archive.Derived{}}
	for _, name := range []string{"heron-seated.csv", "heron-levelled.csv", "heron-feelers.csv", "heron-shop.csv"} {
		d, err := Judge("test").Derive(context.Background(), exampleFiles(t, name))
		if err != nil {
			t.Fatal(err)
		}
		now.Examples[name] = &archive.Derived{Derived: d, Checksum: d.Checksum()}
	}
	if *update {
		data, err := json.Marshal(now)
		if err != nil {
			t.Fatal(err)
		}
		data = bytes.ReplaceAll(data, []byte(`{"lane"`), []byte("\n{\"lane\"")) // a lane a line, so that changes show
		if err := os.WriteFile(golden, append(data, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	var was judgedExamples
	if err := json.Unmarshal(data, &was); err != nil {
		t.Fatal(err)
	}
	if was.Revision != judgementRevision || len(was.Examples) != len(now.Examples) {
		t.Fatalf("%s holds %d examples of revision %d, this is revision %d: write it anew with -update", golden, len(was.Examples), was.Revision, judgementRevision)
	}
	for name, c := range was.Examples {
		if diff := c.Derived.Differs(&now.Examples[name].Derived); diff != "" {
			t.Errorf("%s comes out otherwise than revision %d judged it: %s. Where that revision was released, raise judgementRevision; then write %s anew with -update",
				name, was.Revision, diff, golden)
		}
	}
}
