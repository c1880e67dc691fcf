package reports

import (
	"cmp"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// customerPage is what the template of a customer's page prints, in its order.
type customerPage struct {
	Machine, Class, Site, Day, Kind, Visit string
	State                                  string // the answer for the machine, as a word for the style
	Promise, More                          string
	Warnings                               []string // what not to do, and until when
	Parts                                  []customerPart
	Contact                                string
}

// customerPart is a list under a heading.
type customerPart struct {
	ID, Title string
	Items     []string
}

// customer gathers the page of one visit.
type customer struct {
	v      *verdict.Verdict
	s      *sheet.Sheet // nil where it is not at hand
	hide   func(string) string
	titles map[string]string // of steps
	page   customerPage
}

// customerOf lays out the page of a visit.
func customerOf(visit Visit, contact string) customerPage {
	v, s := visit.Verdict, visit.Sheet
	c := &customer{v: v, s: s, hide: hider(s), titles: map[string]string{}}
	if s != nil && s.Figures != nil {
		for _, row := range s.Figures.Steps {
			c.titles[row.Step] = row.Title
		}
	}
	c.page = customerPage{Machine: v.Visit.Serial, Site: v.Visit.Site, Day: day(v.Visit.Started), Visit: v.Visit.ID,
		Kind: c.kind(), State: string(v.Serviceability), Contact: contact}
	if s != nil && s.Figures != nil && len(s.Figures.Class) == 1 {
		c.page.Class = s.Figures.Class[0].Title
	}
	if s != nil && s.Visit.Site.Room != "" {
		c.page.Site += ", " + s.Visit.Site.Room
	}
	c.page.Promise, c.page.More = promise(v, c.flawed())
	c.warnings()
	c.part("found", "What was not as it must be", c.wrong())
	c.part("unchecked", "What was not checked, or could not be told", c.unchecked())
	c.part("needed", "What is still needed", c.needed())
	c.part("told", "Who was told, and what they answered", c.told())
	c.part("checked", "What was checked", c.checked())
	c.part("next", "Until our next visit", c.next())
	c.clean()
	return c.page
}

func (c *customer) part(id, title string, items []string) {
	if len(items) > 0 {
		c.page.Parts = append(c.page.Parts, customerPart{ID: id, Title: title, Items: items})
	}
}

// clean takes persons' ids out of every text of the page, wherever it came from,
// and makes visible what would be obeyed and not printed.
func (c *customer) clean() {
	p := &c.page
	clean := func(text string) string { return lines.Plain(c.hide(text)) }
	for _, text := range []*string{&p.Machine, &p.Class, &p.Site, &p.Kind, &p.Visit, &p.Promise, &p.More, &p.Contact} {
		*text = clean(*text)
	}
	for i := range p.Warnings {
		p.Warnings[i] = clean(p.Warnings[i])
	}
	for i := range p.Parts {
		for j := range p.Parts[i].Items {
			p.Parts[i].Items[j] = clean(p.Parts[i].Items[j])
		}
	}
}

func (c *customer) kind() string {
	kind := word(kindWords, c.v.Visit.Kind)
	if c.v.Visit.Level != "" && c.v.Visit.Level != "none" {
		kind = c.v.Visit.Level + " " + kind
	}
	return kind
}

// warnings say what must not be done.
func (c *customer) warnings() {
	add := func(text string) { c.page.Warnings = append(c.page.Warnings, lines.Sentence(text)) }
	for _, t := range c.v.Tags {
		said := "A tag with the number " + t.Tag + " hangs on the machine"
		if placed := c.placed(t.Tag); placed != nil {
			said += " (" + placed.Place + "): " + strings.ToUpper(placed.SignalWord) + ", \u201c" + placed.Message + "\u201d"
			if placed.KeyWithheld {
				said += ". We keep the key"
			}
		}
		add(said + ". Leave the tag on, and do not use the machine until we have taken it off")
	}
	for _, r := range c.v.Restrictions {
		if r.Expired {
			add("What was allowed until " + r.Until + " is not allowed any longer (" + r.NotToDo + "). Do not use the machine until we have looked at it")
			continue
		}
		add("Until " + r.Until + ": " + r.NotToDo)
	}
	if c.v.Serviceability == verdict.Unserviceable && len(c.v.Tags) == 0 {
		add("Do not use or charge the machine until we have released it")
	}
	if c.v.Serviceability == verdict.Undetermined {
		add("If anything about it is unusual, as smell, heat, noise, leaking or a stop that does not work at once, switch it off, keep people away and call")
	}
}

func (c *customer) placed(tag string) *sheet.Tag {
	if c.s == nil {
		return nil
	}
	i := slices.IndexFunc(c.s.Visit.TagsPlaced, func(t sheet.Tag) bool { return t.Tag == tag })
	if i < 0 {
		return nil
	}
	return &c.s.Visit.TagsPlaced[i]
}

// flawed tells whether anything about the machine is not as it must be.
func (c *customer) flawed() bool {
	return slices.ContainsFunc(c.v.Outcomes, func(o verdict.Outcome) bool {
		return o.Concern == verdict.Condition && o.Outcome == verdict.Nonconforming
	})
}

// wrong are the things about the machine that are not as they must be, each once,
// gravest first. Tags and open items are told of by themselves.
func (c *customer) wrong() []string {
	var out []string
	for _, a := range verdict.Actions(c.v.Outcomes) {
		for _, o := range a.Outcomes() {
			kind, name, _ := strings.Cut(o.Subject, " ")
			if o.Concern != verdict.Condition || o.Outcome != verdict.Nonconforming || kind == "tag" || kind == "item" {
				continue
			}
			said := "Not so: " + o.Title
			if title := c.titles[name]; kind == "step" && title != "" {
				said = title + ": " + cmp.Or(c.note(name), "not in order")
			}
			if said = lines.Sentence(said); !slices.Contains(out, said) {
				out = append(out, said)
			}
		}
	}
	return out
}

// note is what was noted at a step.
func (c *customer) note(step string) string {
	if c.s == nil {
		return ""
	}
	for _, s := range c.s.Visit.Steps {
		if s.Step == step {
			return s.Note
		}
	}
	return ""
}
