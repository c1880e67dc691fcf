package replay

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// columns are the columns of [CSV], in their order.
var columns = []string{
	"what_if", "visit", "serial", "class", "site", "started",
	"old_release", "new_release", "old_acceptance", "new_acceptance", "old_serviceability", "new_serviceability",
	"old_completion", "new_completion",
	"rule", "title", "subject", "old_outcome", "old_because", "old_severity", "new_outcome", "new_because", "new_severity",
	"old_statement", "new_statement", "conceded_by", "old_facts", "new_facts",
}

// notVerdict stands in the first column of every row.
const notVerdict = "what-if (no verdict)"

// CSV writes one row an outcome that differs and is a finding on one side, and one row
// a visit of which the answers differ and no such outcome does: comma-separated values
// after RFC 4180, in UTF-8, with one row of column names. The first column of every row
// says that it is a what-if. The cells of a side that does not ask are empty. Texts
// are guarded as in the table of verdicts, so that no spreadsheet takes one for a
// formula and a row is always one line.
func CSV(to io.Writer, r *replay.Replay) error {
	w := csv.NewWriter(to)
	w.UseCRLF = true // RFC 4180, section 2
	if err := w.Write(columns); err != nil {
		return fmt.Errorf("writing row of column names: %w", err)
	}
	for _, c := range r.Changed {
		outcomes := c.Outcomes
		if len(outcomes) == 0 {
			outcomes = []replay.OutcomeChange{{}}
		}
		for _, o := range outcomes {
			if err := w.Write(row(r, c, o)); err != nil {
				return fmt.Errorf("writing rows of visit %q: %w", c.Visit, err)
			}
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return fmt.Errorf("writing rows: %w", err)
	}
	return nil
}

func row(r *replay.Replay, c replay.Change, o replay.OutcomeChange) []string {
	old, now := cells(o.Old), cells(o.New)
	var by []string
	for _, conceded := range c.Concessions {
		if conceded.Rule == o.Rule && conceded.Subject == o.Subject {
			by = append(by, conceded.ID)
		}
	}
	out := []string{
		notVerdict, c.Visit, c.Serial, c.Class, c.Site, c.Started,
		c.Release, r.New.Name, string(c.Old.Acceptance), string(c.New.Acceptance), string(c.Old.Serviceability), string(c.New.Serviceability),
		string(c.Old.Completion), string(c.New.Completion),
		o.Rule, o.Title, o.Subject, old[0], old[1], old[2], now[0], now[1], now[2],
		old[3], now[3], strings.Join(by, " "), old[4], now[4],
	}
	for i := range out {
		out[i] = lines.Cell(out[i])
	}
	return out
}

// cells are outcome, because, severity, statement and facts of one side.
func cells(s *replay.Said) [5]string {
	if s == nil {
		return [5]string{}
	}
	return [5]string{string(s.Outcome), string(s.Because), string(s.Severity), s.Statement, facts(s)}
}
