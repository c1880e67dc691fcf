package reports

import (
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// changes says what is different from the visit before.
func (p *page) changes(s *sheet.Sheet, t trails) {
	add := func(said string) { p.Changes = append(p.Changes, lines.Sentence(said)) }
	if s.Last == nil {
		if s.Visit.FirstVisit {
			add("this was the first visit to the machine")
		} else {
			add("no earlier visit of the machine is at hand, so nothing could be compared")
		}
	} else {
		add("the visit before was " + s.Last.ID + " on " + s.Last.Day + ", ended as " + spoken(s.Last.EndedAs))
	}
	if s.Figures != nil {
		for _, said := range runSince(s.Figures.Meters) {
			add(said)
		}
	}
	for _, c := range s.Visit.MeterChanges {
		said := c.Meter + " meter replaced on " + c.Date + " (" + c.Reason + "): the old one showed " + c.OldLast.Value.String() + " h last, the new one " + c.NewFirst.Value.String() + " h first"
		if c.Reference != "" {
			said += "; " + c.Reference
		}
		add(said)
	}
	if s.Visit.Battery != nil {
		for _, c := range s.Visit.Battery.Changes {
			add(lines.Count(len(c.Blocks), "block", "blocks") + " replaced on " + c.Date + ": " + strings.Join(c.Blocks, ", ") + " (" + c.Reason + "; " + c.Reference + ")")
		}
	}
	for _, said := range weakestSince(s, t) {
		add(said)
	}
	for _, i := range s.OpenBefore {
		add(answeredItem(i))
	}
	for _, a := range s.Visit.TagsAnswered {
		said := "tag " + a.Tag + " " + a.Answer
		if a.Evidence != "" {
			said += ": " + a.Evidence
		}
		add(said)
	}
}

// runSince says how long each meter ran since it was read last.
func runSince(meters []sheet.MeterRow) []string {
	by := map[string][]string{}
	var visits []string
	for _, m := range meters {
		if len(m.Since) != 1 || len(m.Before) != 1 {
			continue
		}
		b := m.Before[0]
		visit := "since " + b.Visit + ", " + b.Days + " days before, the meters ran "
		if !slices.Contains(visits, visit) {
			visits = append(visits, visit)
		}
		by[visit] = append(by[visit], m.Meter+" "+m.Since[0].Text)
	}
	var out []string
	for _, visit := range visits {
		out = append(out, visit+strings.Join(by[visit], ", "))
	}
	return out
}

// weakestSince sets the weakest cell beside the one of the visit before that read
// gravity.
func weakestSince(s *sheet.Sheet, t trails) []string {
	if s.Figures == nil {
		return nil
	}
	var read []trailPoint
	for _, p := range t.upTo(s) {
		if p.cell != "" {
			read = append(read, p)
		}
	}
	if len(read) < 2 || read[len(read)-1].visit != s.Visit.ID {
		return nil
	}
	then, now := read[len(read)-2], read[len(read)-1]
	said := "weakest cell " + now.cell + " with " + now.gravity.Text + " at " + now.temperature.Text + " electrolyte; on " + then.visit + " it was " + then.cell + " with " + then.gravity.Text + " at " + then.temperature.Text
	return []string{said}
}

// answeredItem says what became of an item that was open.
func answeredItem(i sheet.Item) string {
	said := "open item " + i.Item + ", " + i.What + ": "
	switch i.Answer {
	case "":
		return said + "not answered on this visit"
	case "kept":
		said += "kept open"
	default:
		said += spoken(i.Answer)
	}
	if i.Evidence != "" {
		said += "; " + i.Evidence
	}
	return said
}

// listed is names in order, as a sentence lists them.
func listed(names []string) string {
	slices.Sort(names)
	return strings.Join(names, ", ")
}

// pageService is when one level of service is due.
type pageService struct {
	Level, Due string
	How        []string
}

// due says when the next service is due, and how that was worked out.
func (p *page) due(s *sheet.Sheet) {
	first := ""
	for _, service := range s.Figures.Services {
		out := pageService{Level: service.Level, Due: "not known", How: dueHow(service)}
		for _, d := range service.Due {
			out.Due = d
			if first == "" || d < first {
				first = d
				p.Due = "The next service is due on " + d + ", level " + service.Level + "."
			}
		}
		p.Services = append(p.Services, out)
	}
	slices.SortStableFunc(p.Services, func(a, b pageService) int { return strings.Compare(a.Due, b.Due) })
	if first == "" && len(p.Services) > 0 {
		p.Due = "When the next service is due is not known: no completed service is at hand to count from."
	}
}

// dueHow is how the day of a service was worked out.
func dueHow(service sheet.Service) []string {
	var out []string
	for _, c := range service.Counted {
		said := "Counted from " + c.Visit + " on " + c.Day + ", level " + c.Level
		if !c.Full {
			said += ", which was done in part: it is due before the day given here"
		}
		out = append(out, lines.Sentence(said))
	}
	for _, d := range service.ByDays {
		out = append(out, "By days: every "+service.EveryDays+" days, so on "+d+".")
	}
	for _, h := range service.ByHours {
		said := "By hours: every " + service.EveryHours + " h of power-on, so at " + h.RunUntil.Text + " on the meter, " + h.ToRun.Text + " from now"
		for _, r := range service.Rate {
			said += "; the machine ran " + r.Run.Text + " in " + r.Days + " days since " + r.Visit + ", " + r.PerWeek.Text + " a week, so on " + h.Day
		}
		out = append(out, lines.Sentence(said))
	}
	if len(service.ByDays) > 0 && len(service.ByHours) == 0 {
		out = append(out, "By hours it is not known: the machine's own rate of use takes two readings of its power-on meter.")
	}
	if len(service.ByHours) > 0 {
		out = append(out, "Whichever comes first counts.")
	}
	return out
}
