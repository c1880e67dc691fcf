package workshop

import (
	"fmt"

	"github.com/visitgauge/visitgauge/engine/review"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Findings is what the review of a release found.
type Findings struct {
	Release  string           `json:"release"`
	Findings []review.Finding `json:"findings"` // sorted by file and line
}

// Page puts the findings on a page, each with its place and mend.
func (f Findings) Page(p *Page) {
	if len(f.Findings) == 0 {
		p.Paragraph("Release " + f.Release + ": nothing to mend.")
		return
	}
	p.Title("Release " + f.Release + ": " + lines.Count(len(f.Findings), "finding", "findings"))
	for _, one := range f.Findings {
		p.Pairs(
			[2]string{one.Check, placed(one) + one.Message},
			[2]string{"mend", one.Mend},
		)
	}
}

func placed(f review.Finding) string {
	switch {
	case f.File == "":
		return ""
	case f.Line == 0:
		return f.File + ": "
	}
	return fmt.Sprintf("%s:%d: ", f.File, f.Line)
}
