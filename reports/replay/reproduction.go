package replay

import (
	"fmt"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// Reproduction is recorded verdicts reached again, as people read it.
type Reproduction struct{ *replay.Reproduction }

// Page puts on a page which verdicts came out again, and which did not.
func (r Reproduction) Page(p *workshop.Page) {
	p.Title("Recorded verdicts, reached again")
	p.Pairs([2]string{"visits", selected(r.Selected)})
	r.blocks(p)
}

func (r Reproduction) blocks(p *workshop.Page) {
	p.Heading("As recorded")
	p.Paragraph(r.came())
	p.Pairs([2]string{"judged by", used(r.By)})
	if len(r.Differ) > 0 {
		p.Heading("Came out otherwise")
		kept, more := first(r.Differ, mostInText)
		var rows [][2]string
		for _, d := range kept {
			rows = append(rows, [2]string{d.Visit, fmt.Sprintf("by %s: %s. On record is %s; it came out as %s", d.Release, d.What, d.Was, d.Is)})
		}
		p.Definitions(rows...)
		note(p, more)
	}
	notJudged(p, "Not reached again", r.NotReached)
}

// came says how many verdicts came out again.
func (r Reproduction) came() string {
	if r.Visits == 0 {
		return "There was no visit to judge again."
	}
	text := fmt.Sprintf("%d of %s came out again, byte for byte, by the release that judged it then.", r.Same, lines.Count(r.Visits, "verdict", "verdicts"))
	if n := len(r.Differ); n > 0 {
		text += fmt.Sprintf(" %s.", lines.Count(n, "came out otherwise", "came out otherwise"))
	}
	if n := len(r.NotReached); n > 0 {
		text += fmt.Sprintf(" %s.", lines.Count(n, "could not be reached", "could not be reached"))
	}
	return text
}

// notJudged lists visits that could not be judged, and why.
func notJudged(p *workshop.Page, heading string, list []replay.NotJudged) {
	if len(list) == 0 {
		return
	}
	p.Heading(heading)
	kept, more := first(list, mostInText)
	var rows [][2]string
	for _, n := range kept {
		rows = append(rows, [2]string{n.Visit, whys[n.Why] + ": " + n.What})
	}
	p.Definitions(rows...)
	note(p, more)
}
