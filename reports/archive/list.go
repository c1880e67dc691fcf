package archive

import (
	"strings"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// List is visits of an archive.
type List struct {
	Visits []Row `json:"visits"`
	about  string
}

// Row is one visit in the version that stands.
type Row struct {
	Visit          string `json:"visit"`
	Started        string `json:"started"`
	Serial         string `json:"serial"`
	Class          string `json:"class"`
	Site           string `json:"site"`
	Received       string `json:"received,omitempty"`
	Record         string `json:"record"`
	Acceptance     string `json:"acceptance,omitempty"`
	Serviceability string `json:"serviceability,omitempty"`
	Release        string `json:"release,omitempty"`
	Corrections    int    `json:"corrections"`
	Verdicts       int    `json:"verdicts"` // of all versions
	Disposition    string `json:"disposition,omitempty"`
	Redacted       string `json:"redacted,omitempty"` // day
	// Past says why it is past retention, where that was asked for.
	Past string `json:"past_retention,omitempty"`
}

// NewList makes an empty list. About says in a few words what visits it is of:
// "in the archive", say.
func NewList(about string) *List { return &List{Visits: []Row{}, about: about} }

// Add adds a visit. Past says why it is past retention, if it is.
func (l *List) Add(v archive.Visit, past string) {
	e := v.Standing()
	row := Row{
		Visit: v.ID, Started: e.Started, Serial: e.Serial, Class: e.Class, Site: e.Site,
		Received: e.Received, Record: e.Record, Past: past,
	}
	if judged, ok := v.Verdict(); ok {
		row.Acceptance, row.Serviceability = string(judged.Acceptance), string(judged.Serviceability)
		row.Release = judged.Release.Version
	}
	for _, e := range v.Entries {
		switch e.Kind {
		case archive.Correction:
			row.Corrections++
		case archive.Judged, archive.Rejudged:
			row.Verdicts++
		}
	}
	if d, ok := v.Disposition(); ok {
		row.Disposition = string(d.What)
	}
	if r, ok := v.Redacted(); ok {
		row.Redacted = r.On
	}
	l.Visits = append(l.Visits, row)
}

// Page puts the list on a page, one visit a row.
func (l *List) Page(p *workshop.Page) {
	p.Title(lines.Count(len(l.Visits), "visit", "visits") + " " + l.about)
	var rows [][]string
	for _, r := range l.Visits {
		day, _, _ := strings.Cut(r.Started, "T")
		rows = append(rows, []string{r.Visit, day, r.Serial, r.notes()})
	}
	p.Table([]string{"visit", "started", "machine", "what came of it"}, rows)
}

// notes says in a few words what came of a visit.
func (r Row) notes() string {
	said := "not judged"
	if r.Acceptance != "" {
		said = r.Acceptance + ", " + r.Serviceability + " (" + r.Release + ")"
	}
	if r.Corrections > 0 {
		said += "; " + lines.Count(r.Corrections, "correction", "corrections")
	}
	if r.Verdicts > 1 {
		said += "; " + lines.Count(r.Verdicts, "verdict", "verdicts")
	}
	if r.Disposition != "" {
		said += "; to be done: " + dispositions[archive.What(r.Disposition)]
	}
	if r.Redacted != "" {
		said += "; redacted on " + r.Redacted
	}
	if r.Past != "" {
		said += "; " + r.Past
	}
	return said
}

// dispositions are the words for what is done about a visit.
var dispositions = map[archive.What]string{
	archive.Repeat: "repeat the visit", archive.Correct: "correct the record",
	archive.Concede: "concede it", archive.AcceptAsLost: "nothing, what is missing is accepted as lost",
}
