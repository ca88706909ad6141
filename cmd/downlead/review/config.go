package review

import (
	"context"
	"errors"
	"io"
	"time"

	"downlead/capture"
	"downlead/diagnose/level"
	"downlead/export/figure"
	"downlead/grammar"
	"downlead/journal"
)

// Config is what the page needs of the rest of the program. Journal and
// Parser must be set; everything else may be left out.
type Config struct {
	Journal    *journal.Journal   // open for writing
	Parser     *grammar.Parser    // with the technician's own words
	Thresholds capture.Thresholds // to say how sure the recogniser was; zero means the defaults
	Now        func() time.Time   // nil means time.Now
	Zone       string             // IANA name for new entries; "" means that of Now's time

	// Options returns the options of a job's diagnosis: tables, learned priors,
	// earlier visits. Nil means the built-in tables alone.
	Options func(ctx context.Context, job string) (level.Options, error)

	// Day tells of the day of a time. Nil means that "how was the day" is not
	// answered on the page.
	Day func(ctx context.Context, at time.Time) (string, error)

	// CleanPhoto takes out of a picture what tells where it was taken. Nil
	// means that no photographs can be attached on the page.
	CleanPhoto func(picture []byte) ([]byte, error)

	// Crashed is told of a fault in the program itself and says where a report
	// of it is. It may be nil.
	Crashed func(p any, stack []byte) string

	Records Records

	// Tour is where a tour stands; nil where there is none.
	Tour *TourStep

	// Pair makes a code that lets a phone in. Nil means that the page speaks of
	// no phone.
	Pair func() (Pairing, error)
}

// Records are the records that the page previews and saves. One without a
// Preview is left off the page.
type Records struct {
	Closeout Record // its key is a job's number
	Pay      Record // its key is an ISO 8601 week, "2026-W47"
	Quality  Record // its key is a month, "2026-11"
}

// Record is one record, as text or as a leaf, and in the forms it is saved in.
type Record struct {
	// Leaf returns the record as drawings and tables; where it is nil, the text
	// is shown.
	Leaf func(ctx context.Context, key string) (figure.Leaf, error)
	// Preview returns the record as text, as it would print.
	Preview func(ctx context.Context, key string) (string, error)
	Forms   []Form
}

// Form is one form of a record.
type Form struct {
	Name      string // "pdf", "json", "csv": the end of the file's name, and the closeout entry's format
	MediaType string // "application/pdf"
	Write     func(ctx context.Context, w io.Writer, key string) error
}

func (c Config) checked() (Config, error) {
	if c.Journal == nil || c.Parser == nil {
		return c, errors.New("the review page needs an open journal and a parser")
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Thresholds == (capture.Thresholds{}) {
		c.Thresholds = capture.DefaultThresholds()
	}
	if c.Options == nil {
		c.Options = func(context.Context, string) (level.Options, error) { return level.Options{}, nil }
	}
	return c, nil
}
