package archive

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// Verified is what verification of an archive found.
type Verified struct {
	AsWritten   bool              `json:"as_written"`
	Entries     int64             `json:"entries"`
	Hash        string            `json:"hash"`
	Visits      int               `json:"visits"`
	Verdicts    int               `json:"verdicts"`
	Checkpoints int               `json:"checkpoints_that_hold"`
	Redactions  []ShownEntry      `json:"redactions"`
	Findings    []VerifiedFinding `json:"findings"`
}

// VerifiedFinding is one thing that is not as it was written.
type VerifiedFinding struct {
	// Entry is its place; absent where it is of no entry.
	Entry   *int64 `json:"entry,omitempty"`
	Visit   string `json:"visit,omitempty"`
	Message string `json:"message"`
}

// NewVerified is the result of a verification.
func NewVerified(v archive.Verification) Verified {
	out := Verified{
		AsWritten: len(v.Findings) == 0, Entries: v.Size, Hash: v.Hash.String(),
		Visits: v.Visits, Verdicts: v.Verdicts, Checkpoints: v.Checkpoints,
		Redactions: []ShownEntry{}, Findings: []VerifiedFinding{},
	}
	for _, r := range v.Redactions {
		out.Redactions = append(out.Redactions, ShownEntry{r.Index, r})
	}
	for _, f := range v.Findings {
		found := VerifiedFinding{Visit: f.Visit, Message: f.Message}
		if f.Index >= 0 {
			found.Entry = &f.Index
		}
		out.Findings = append(out.Findings, found)
	}
	return out
}

// Page puts the result on a page.
func (v Verified) Page(p *workshop.Page) {
	if v.AsWritten {
		p.Title("The archive is as it was written")
	} else {
		p.Title(lines.Count(len(v.Findings), "thing is", "things are") + " not as written")
	}
	p.Pairs(
		[2]string{"entries", strconv.FormatInt(v.Entries, 10)},
		[2]string{"head", v.Hash},
		[2]string{"holds", lines.Count(v.Visits, "visit", "visits") + ", " + lines.Count(v.Verdicts, "verdict", "verdicts")},
		[2]string{"checkpoints", v.held()},
	)
	if !v.AsWritten {
		p.Heading("not as written")
	}
	var found []string
	for _, f := range v.Findings {
		place := ""
		if f.Entry != nil {
			place = fmt.Sprintf("Entry %d: ", *f.Entry)
		}
		found = append(found, place+strings.TrimSuffix(lines.Sentence(f.Message), "."))
	}
	p.Items(found...)
	if len(v.Redactions) > 0 {
		p.Heading("redacted")
	}
	var redacted []string
	for _, r := range v.Redactions {
		redacted = append(redacted, fmt.Sprintf("Visit %s, on %s by %s: %s", r.Visit, r.On, r.By, r.Reason))
	}
	p.Items(redacted...)
}

func (v Verified) held() string {
	if v.Checkpoints == 0 {
		return "none that holds; without one it cannot be seen whether all was written anew"
	}
	return lines.Count(v.Checkpoints, "holds", "hold")
}
