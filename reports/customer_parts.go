package reports

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// fewTitles is how many things of one kind a customer's page names.
const fewTitles = 3

// named lists titles, the first few by name.
func named(titles []string) string {
	said := strings.Join(titles[:min(fewTitles, len(titles))], "; ")
	if more := len(titles) - fewTitles; more > 0 {
		said += "; and " + lines.Count(more, "more thing", "more things")
	}
	return said
}

// unchecked says what was left out, why, and what could not be told.
func (c *customer) unchecked() []string {
	var out []string
	add := func(text string) { out = append(out, lines.Sentence(text)) }
	if c.s != nil {
		switch v := c.s.Visit; {
		case v.Stop != nil:
			add("The visit was stopped because it was not safe to go on: " + v.Stop.Hazard + ". Nothing was checked after that")
		case v.CutShort != nil:
			add("The visit was cut short: " + v.CutShort.Reason)
		case v.Absence != nil:
			add("The machine could not be looked at: " + word(absenceWords, v.Absence.Reason) + ". Nothing about it was checked")
			return out
		}
		for _, left := range c.leftOut() {
			add(left)
		}
	}
	for _, open := range c.untold() {
		add(open)
	}
	if c.v.Acceptance.Value != verdict.Accepted {
		add("Not all of this visit was done, or noted, as it must be. Our office looks into it and will call you if anything follows for the machine")
	}
	return out
}

// leftOut are the steps of the work that were not done, by the reason.
func (c *customer) leftOut() []string {
	var reasons []string
	titles := map[string][]string{}
	add := func(reason, step string) {
		if titles[reason] == nil {
			reasons = append(reasons, reason)
		}
		titles[reason] = append(titles[reason], cmp.Or(c.titles[step], "a step of the work"))
	}
	told := map[string]bool{}
	for _, s := range c.s.Visit.Steps {
		told[s.Step] = true
		if s.Skipped != nil {
			add(s.Skipped.Reason, s.Step)
		}
	}
	if c.s.Figures != nil && c.v.Visit.EndedAs != "completed" {
		for _, row := range c.s.Figures.Steps {
			if row.Required && !told[row.Step] {
				add("not-reached", row.Step)
			}
		}
	}
	var out []string
	for _, reason := range reasons {
		out = append(out, fmt.Sprintf("Not done, because %s: %s", word(reasonWords, reason), named(titles[reason])))
	}
	return out
}

// untold are the questions about the machine that the visit left without an
// answer, by the part of the machine.
func (c *customer) untold() []string {
	var areas []string
	titles := map[string][]string{}
	for _, a := range verdict.Actions(c.v.Outcomes) {
		for _, o := range a.Outcomes() {
			parts := strings.Split(o.Rule, ".")
			if o.Concern != verdict.Condition || o.Outcome != verdict.Indeterminate || len(parts) < 2 {
				continue
			}
			area := parts[1]
			if titles[area] == nil {
				areas = append(areas, area)
			}
			if !slices.Contains(titles[area], o.Title) {
				titles[area] = append(titles[area], o.Title)
			}
		}
	}
	var out []string
	for _, area := range areas {
		said := "Of the " + area
		if area == "meters" {
			said = "Of the hour meters"
		}
		out = append(out, said+" we do not know whether this is so: "+named(titles[area]))
	}
	return out
}

// needed are the things that are still to be done, the soonest first, and by whom.
func (c *customer) needed() []string {
	var out []string
	if c.s == nil {
		out = append(out, "The record of this visit was not at hand when this page was made. Please ask us.")
	} else {
		open := slices.Clone(c.s.Open)
		slices.SortStableFunc(open, func(a, b sheet.Item) int { return cmp.Compare(a.Due, b.Due) })
		for _, i := range open {
			by := "by us"
			if i.Owner == "customer" {
				by = "by you"
			}
			said := "By " + i.Due + ", " + by + ": " + i.What
			if i.Severity == string(verdict.Critical) {
				said = "Urgent. " + said
			}
			out = append(out, lines.Sentence(said))
		}
	}
	if c.v.Visit.Kind == "service" && c.v.Completion != verdict.Full {
		out = append(out, "The service is not complete and stays due. We agree another day with you.")
	}
	if len(out) == 0 {
		out = append(out, "Nothing that we know of.")
	}
	return out
}

// told says who heard of what, and what they answered.
func (c *customer) told() []string {
	if c.s == nil {
		return nil
	}
	var out []string
	type talk struct{ role, how, at, answer string }
	var talks []talk
	about := map[talk][]string{}
	for _, t := range c.s.Visit.Told {
		k := talk{t.Role, t.How, t.At, t.Answer}
		if about[k] == nil {
			talks = append(talks, k)
		}
		if said := subjectWords(t.About, c.titles); !slices.Contains(about[k], said) {
			about[k] = append(about[k], said)
		}
	}
	for _, k := range talks {
		out = append(out, fmt.Sprintf("The %s was told %s, %s, about %s. %s", word(nil, k.role), toldHow(k.how), moment(k.at),
			strings.Join(about[k], ", "), word(answerWords, k.answer)))
	}
	if a := c.s.Visit.Absence; a != nil && a.ToldRole != "" {
		out = append(out, "Told that the machine could not be looked at: "+word(nil, a.ToldRole)+".")
	}
	signed := word(signedWords, c.s.Visit.Signatures.Customer.Answer)
	if role := c.s.Visit.Signatures.Customer.Role; role != "" {
		signed += " (" + word(nil, role) + ")"
	}
	return append(out, lines.Sentence(signed))
}

func toldHow(how string) string {
	return word(map[string]string{"in-person": "in person", "telephone": "by telephone", "writing": "in writing"}, how)
}

// moment is a time as written, without its offset.
func moment(at string) string {
	return "on " + day(at) + " at " + at[min(len(at), len("2006-01-02T")):min(len(at), len("2006-01-02T15:04"))]
}

// checked says which parts of the machine the work went through.
func (c *customer) checked() []string {
	if c.s == nil || c.s.Figures == nil {
		return nil
	}
	area := map[string]string{}
	for _, row := range c.s.Figures.Steps {
		area[row.Step] = row.Area
	}
	var areas []string
	steps := 0
	for _, s := range c.s.Visit.Steps {
		if s.Left == "" {
			continue
		}
		steps++
		if said, ok := areaWords[area[s.Step]]; ok && !slices.Contains(areas, said) {
			areas = append(areas, said)
		}
	}
	if steps == 0 {
		return nil
	}
	return []string{lines.Sentence(lines.Count(steps, "step", "steps") + " of the work: " + strings.Join(areas, "; "))}
}

// next says what holds until the next visit.
func (c *customer) next() []string {
	out := []string{"Charge the battery fully before our next visit, as its manual says, unless something above speaks against it. " +
		"Do not charge a battery that is damaged, hot, frozen or leaking."}
	if c.v.Serviceability == verdict.Unserviceable {
		out[0] = "Do not charge the battery until we have released the machine; then charge it fully before our next visit."
	}
	out = append(out, "The daily checks by those who use the machine go on. This visit does not take their place.")
	if c.s != nil && c.s.Figures != nil {
		for _, s := range c.s.Figures.Services {
			if len(s.Due) > 0 {
				out = append(out, "The next "+s.Level+" service is due by "+s.Due[0]+".")
			}
		}
	}
	return append(out, "Batteries hold acid and give off gas that can explode, chargers carry mains voltage, and the machine is heavy and moves: "+
		"keep to the manuals and to local rules, and leave work on them to qualified people.")
}
