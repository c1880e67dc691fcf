package replay

import (
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/engine/replay"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// Report is a replay as people read it.
type Report struct{ *replay.Replay }

// Page puts the replay on a page.
func (r Report) Page(p *workshop.Page) {
	p.Title(title(r.Replay))
	p.Paragraph(r.WhatIf)
	p.Pairs(
		[2]string{"under", standing(r.New)},
		[2]string{"against", r.Against},
		[2]string{"as judged", used(r.Old)},
		[2]string{"visits", selected(r.Selected)},
	)
	p.Paragraph(summary(r.Replay))
	note(p, ways(r.Replay))
	note(p, asked(r.Replay))
	for _, part := range parts(r.Replay) {
		if n := part.turned(); n > 0 {
			p.Heading(part.Name)
			p.Paragraph(fmt.Sprintf("%s otherwise. A row as judged, a column under %s:", lines.Count(n, "visit came out", "visits came out"), r.New.Name))
			p.Table(part.grid())
		} else if len(part.Transitions) > 0 {
			p.Paragraph(part.Name + " is the same on both sides: " + tally(part) + ".")
		}
	}
	r.rules(p)
	r.machines(p)
	r.visits(p)
	r.apart(p)
	if r.Recorded != nil {
		Reproduction{r.Recorded}.blocks(p)
	}
	if r.Differs() {
		p.Paragraph(r.WhatIf) // the end of a long page is far from its beginning
	}
}

// note says something if there is anything to say.
func note(p *workshop.Page, text string) {
	if text != "" {
		p.Paragraph(text)
	}
}

// tally counts the visits of a part that did not turn.
func tally(part part) string {
	var out []string
	for _, t := range part.Transitions {
		out = append(out, fmt.Sprintf("%d %s", t.Count, t.New))
	}
	return strings.Join(out, ", ")
}

func (r Report) rules(p *workshop.Page) {
	rules := counted(r.Replay)
	if len(rules) == 0 {
		return
	}
	p.Heading("Rules that make the difference")
	var rows [][2]string
	for _, c := range rules {
		rows = append(rows, [2]string{c.Rule, c.Title + ". " + changed(c)})
	}
	p.Definitions(rows...)
	if aboutWork(rules) {
		p.Paragraph(hindsight)
	}
}

func (r Report) machines(p *workshop.Page) {
	if len(r.Machines) == 0 {
		return
	}
	p.Heading("Machines that would have been left in another state")
	p.Paragraph(machinesSummary(r.Replay))
	p.Paragraph(caution)
	kept, more := first(machines(r.Replay), mostInText)
	var rows [][2]string
	for _, m := range kept {
		rows = append(rows, [2]string{machineName(m), machineVisits(m)})
	}
	p.Definitions(rows...)
	note(p, more)
}

func (r Report) visits(p *workshop.Page) {
	changes, more := told(r.Replay, mostInText)
	if len(changes) == 0 {
		return
	}
	p.Heading("Visits that would have been judged differently")
	for _, c := range changes {
		day, _, _ := strings.Cut(c.Started, "T")
		p.Name(fmt.Sprintf("%s of %s, machine %s at %s", c.Visit, day, c.Serial, c.Site))
		p.Paragraph(answers(c) + "; as judged by " + c.Release + ".")
		var rows [][2]string
		for _, g := range groups(c.Outcomes) {
			text := g.subjects() + ": " + g.Turn
			for _, t := range g.tellings() {
				text += "; " + t.sentence()
			}
			rows = append(rows, [2]string{g.Rule, text})
		}
		p.Definitions(rows...)
		for _, conceded := range c.Concessions {
			p.Paragraph("Concession " + covers(conceded) + "; applied on neither.")
		}
	}
	if more > 0 {
		p.Paragraph(moreVisits(more))
	}
}

// apart tells of what counts nowhere else.
func (r Report) apart(p *workshop.Page) {
	if rules := unasked(r.Replay); len(rules) > 0 {
		p.Heading("Could not have been asked")
		p.Paragraph(notAsked)
		var rows []string
		for _, c := range rules {
			rows = append(rows, fmt.Sprintf("%s: %s", c.Rule, lines.Count(c.NotAsked, "visit", "visits")))
		}
		p.Items(rows...)
	}
	if len(r.Concessions) > 0 {
		p.Heading("Concessions")
		p.Paragraph(noConcession)
		kept, more := first(r.Concessions, mostInText)
		var rows []string
		for _, c := range kept {
			rows = append(rows, conceded(c))
		}
		p.Items(rows...)
		note(p, more)
	}
	notJudged(p, "Not judged on both sides", r.NotJudged)
}
