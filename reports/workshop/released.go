package workshop

import (
	"fmt"

	"github.com/visitgauge/visitgauge/engine/publish"
)

// Released is what came of a release.
type Released struct{ *publish.Released }

// Page puts on a page what was written down of the release.
func (r Released) Page(p *Page) {
	e := r.Entry
	p.Title(e.Version + " is released")
	p.Pairs(
		[2]string{"in force", "from " + e.From + " on"},
		[2]string{"digest", e.Digest},
		[2]string{"author", e.Author},
		[2]string{"approved", fmt.Sprintf("by %s on %s", e.ApprovedBy, e.ApprovedOn)},
		[2]string{"told", e.Told},
		[2]string{"reason", e.Reason},
		[2]string{"review", e.Review},
		[2]string{"note", e.Note},
	)
	text := "Its folder is frozen: whatever is changed in it from now on is refused."
	if d := r.Difference; d != nil {
		text += fmt.Sprintf(" The notice to send out is printed by rules compare %s %s --format markdown.", d.Old.Name, e.Version)
	}
	p.Paragraph(text)
}
