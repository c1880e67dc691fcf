package reports

import (
	"html/template"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// page is what the template of a visit prints, in its order.
type page struct {
	Visit, Machine, Class string
	Facts                 []pair
	Answers               []pair // what was asked, and the answer as word and sentence
	Warnings              []string
	Told                  []string
	Todo                  string
	Done                  []pageGroup // to put right, notes, what stands by concession
	Open                  []pageGroup // could not be judged
	Items                 []sheet.Item
	NoReadings            string
	Pictures              []pagePicture
	Areas                 []pageArea
	Parts                 []string
	Changes               []string
	Due                   string
	Services              []pageService
	Plan                  []pageGroup
	Cautions              []string
	Digests               []pair
	Signatures            []string
	HasSheet              bool
}

// pair is a text with what it is.
type pair struct{ Label, Word, Text string }

// pagePicture is a picture with the same numbers as a table.
type pagePicture struct {
	Title, Caption string
	SVG            template.HTML
	Table          pageTable
}

// pageTable has a row header in the first column.
type pageTable struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// page lays out a visit.
func (h *HTML) page(visit Visit) (*page, error) {
	v := visit.Verdict
	p := &page{Visit: v.Visit.ID, Machine: v.Visit.Serial, Class: v.Visit.Class, HasSheet: visit.Sheet != nil}
	p.Answers = []pair{
		split("The visit", acceptance(v.Acceptance)),
		split("The machine", serviceability(v)),
		split("The service", completion(v)),
	}
	for _, mark := range marks(v) {
		p.Warnings = append(p.Warnings, lines.Sentence(mark))
	}
	p.actions(v, visit.Sheet)
	p.Digests = digests(v)
	s := visit.Sheet
	if s == nil {
		p.Facts = factsOf(v)
		p.NoReadings = "This page was made from a saved verdict, which carries no readings, checklist or signatures. Make it with the record and with those of the earlier visits to have them shown."
		return p, nil
	}
	p.Facts = sheetFacts(v, s)
	p.Warnings = append(slices.DeleteFunc(p.Warnings, func(w string) bool {
		// A tag of this visit is told of in full.
		return slices.ContainsFunc(s.Visit.TagsPlaced, func(t sheet.Tag) bool { return strings.HasPrefix(w, "Tag "+t.Tag+" hangs ") })
	}), warnings(s)...)
	p.Told = toldOf(s)
	p.Items = s.Open
	p.Signatures = signatures(s)
	p.checklist(v, s)
	p.changes(s, h.trail)
	if s.Figures == nil {
		p.NoReadings = "The release of the rules that judged this visit lays out no readings, so there are no pictures and no next service."
		return p, nil
	}
	if len(s.Figures.Class) == 1 {
		p.Class = s.Figures.Class[0].Title
	}
	p.due(s)
	return p, p.readings(v, s, h.trail)
}

// split parts an answer in plain words into its first word and the rest.
func split(label, answer string) pair {
	word, rest, ok := strings.Cut(answer, ": ")
	if !ok {
		if word, rest, ok = strings.Cut(answer, " "); !ok {
			return pair{Label: label, Word: answer}
		}
	}
	return pair{Label: label, Word: word, Text: lines.Sentence(rest)}
}

// factsOf are who, what and when of a verdict alone.
func factsOf(v *verdict.Verdict) []pair {
	return []pair{
		{Label: "Where", Text: v.Visit.Site},
		{Label: "When", Text: period(v.Visit.Started, v.Visit.Ended)},
		{Label: "What", Text: whatOf(v)},
		{Label: "Ended", Text: v.Visit.EndedAs},
	}
}

func whatOf(v *verdict.Verdict) string {
	if v.Visit.Level == "none" {
		return v.Visit.Kind
	}
	return v.Visit.Kind + ", level " + v.Visit.Level
}

// period is from when to when, in the offset as written.
func period(started, ended string) string {
	clock := func(at string) string { return at[min(len(at), 11):min(len(at), 16)] }
	said := day(started) + ", " + clock(started) + " to "
	if day(ended) != day(started) {
		said += day(ended) + ", "
	}
	return said + clock(ended)
}

// sheetFacts are who, what and when of the record.
func sheetFacts(v *verdict.Verdict, s *sheet.Sheet) []pair {
	var people []string
	for _, p := range s.Visit.People {
		people = append(people, p.Role+" "+p.ID)
	}
	where := s.Visit.Site.ID
	if s.Visit.Site.Room != "" {
		where += ", " + s.Visit.Site.Room
	}
	if s.Visit.Place != nil && s.Visit.Place.Indoors {
		where += " (indoors)"
	} else if s.Visit.Place != nil {
		where += " (outdoors)"
	}
	return []pair{
		{Label: "Who", Text: strings.Join(people, ", ")},
		{Label: "Where", Text: where},
		{Label: "When", Text: period(v.Visit.Started, v.Visit.Ended)},
		{Label: "What", Text: whatOf(v)},
		{Label: "Ended", Text: ended(s)},
	}
}

// ended is how the visit ended, and why if not as planned.
func ended(s *sheet.Sheet) string {
	switch v := s.Visit; {
	case v.Stop != nil:
		return "stopped because it was not safe to go on: " + v.Stop.Hazard
	case v.CutShort != nil:
		return "cut short: " + v.CutShort.Reason
	case v.Absence != nil:
		return "not available: " + strings.ReplaceAll(v.Absence.Reason, "-", " ")
	}
	return strings.ReplaceAll(s.Visit.EndedAs, "-", " ")
}

// warnings are the tags that this visit placed.
func warnings(s *sheet.Sheet) []string {
	var out []string
	for _, t := range s.Visit.TagsPlaced {
		said := "Tag " + t.Tag + " was placed at " + t.Place + ": " + strings.ToUpper(t.SignalWord) + ", \u201c" + t.Message + "\u201d"
		if t.KeyWithheld {
			said += "; the key was taken along"
		}
		out = append(out, lines.Sentence(said))
	}
	return out
}

// toldOf is who at the site was told what, and what they answered.
func toldOf(s *sheet.Sheet) []string {
	var out []string
	for _, t := range s.Visit.Told {
		answer := map[string]string{"acknowledged": "they acknowledged it", "refused": "they refused", "nobody-there": "nobody was there"}[t.Answer]
		out = append(out, lines.Sentence(t.Role+" was told "+how(t.How)+" at "+clockOf(t.At)+" about "+t.About+"; "+answer))
	}
	return out
}

func how(told string) string {
	return map[string]string{"in-person": "in person", "telephone": "by telephone", "writing": "in writing"}[told]
}

func clockOf(at string) string { return day(at) + " " + at[min(len(at), 11):min(len(at), 16)] }

// signatures are the technician's and the customer's answer.
func signatures(s *sheet.Sheet) []string {
	t, c := s.Visit.Signatures.Technician, s.Visit.Signatures.Customer
	customer := map[string]string{"signed": "Customer: signed", "refused": "Customer: refused to sign", "nobody-there": "Customer: nobody was there to sign"}[c.Answer]
	if c.Role != "" {
		customer += ", " + c.Role
	}
	return []string{"Technician: signed by " + t.By + " at " + clockOf(t.At), customer + ", told " + how(c.ToldBy)}
}

// digests say by what the visit was judged and with what it was compared.
func digests(v *verdict.Verdict) []pair {
	out := []pair{
		{Label: "Release of the rules", Word: v.Release.Version, Text: v.Release.Digest},
		{Label: "Record", Word: v.Visit.ID, Text: v.Visit.Digest},
	}
	for i, e := range v.Earlier {
		same := func(o verdict.Earlier) bool { return o.Visit == e.Visit && o.Digest == e.Digest }
		if slices.ContainsFunc(v.Earlier[:i], same) {
			continue
		}
		var slots []string
		for _, o := range v.Earlier[i:] {
			if same(o) {
				slots = append(slots, slot(o))
			}
		}
		out = append(out, pair{Label: "Compared with " + strings.Join(slots, ", "), Word: e.Visit, Text: e.Digest})
	}
	if v.Received != "" {
		out = append(out, pair{Label: "Received", Text: v.Received})
	}
	return out
}
