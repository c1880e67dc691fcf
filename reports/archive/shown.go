package archive

import (
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// Shown is all that an archive has of one visit, save the bytes.
type Shown struct {
	Visit   string       `json:"visit"`
	Entries []ShownEntry `json:"entries"`
}

// ShownEntry is an entry with its place.
type ShownEntry struct {
	Index int64 `json:"index"`
	archive.Entry
}

// NewShown is what there is of a visit.
func NewShown(v archive.Visit) Shown {
	s := Shown{Visit: v.ID}
	for _, e := range v.Entries {
		s.Entries = append(s.Entries, ShownEntry{e.Index, e})
	}
	return s
}

// Page puts the entries on a page, in order.
func (s Shown) Page(p *workshop.Page) {
	p.Title(fmt.Sprintf("Visit %s: %s", s.Visit, lines.Count(len(s.Entries), "entry", "entries")))
	for _, e := range s.Entries {
		p.Heading(fmt.Sprintf("entry %d: %s", e.Index, heading(e.Entry)))
		p.Pairs(details(e.Entry)...)
	}
}

// heading says what an entry adds.
func heading(e archive.Entry) string {
	switch e.Kind {
	case archive.VisitAdded:
		return "handed in"
	case archive.Correction:
		return "corrected"
	case archive.Judged:
		return "judged"
	case archive.Rejudged:
		return "judged again"
	case archive.Disposition:
		return "decided on"
	case archive.Redaction:
		return "redacted"
	}
	return string(e.Kind)
}

// details are what an entry says, in reading order; what is empty is left out of
// a page.
func details(e archive.Entry) [][2]string {
	list := [][2]string{
		{"received", e.Received},
		{"started", e.Started},
		{"ended", e.Ended},
		{"machine", strings.TrimSpace(e.Class + " " + e.Serial)},
		{"site", e.Site},
		{"record", e.Record},
		{"corrects", e.Corrects},
		{"visit", string(e.Acceptance)},
		{"left", string(e.Serviceability)},
		{"release", ""},
		{"verdict", e.Verdict},
		{"follows", e.Follows},
		{"compared", e.Compared},
		{"conceded", strings.Join(e.Concessions, ", ")},
		{"to be done", dispositions[e.What]},
		{"taken away", strings.Join(e.Removed, ", ")},
		{"by", e.By},
		{"on", e.On},
		{"why", e.Reason},
		{"evidence", e.Evidence},
	}
	if e.Release != nil {
		for i := range list {
			if list[i][0] == "release" {
				list[i][1] = e.Release.Version + " " + e.Release.Digest
			}
		}
	}
	return list
}
