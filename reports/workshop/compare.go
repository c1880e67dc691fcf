package workshop

import (
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/turn"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// Difference is what differs between two releases, as people read it: for whoever
// changes the rules ([Difference.Page]) and for whoever works by them
// ([Difference.Notice]).
type Difference struct{ *compare.Difference }

// Page puts the difference on a page, with all that was found and tried.
func (d Difference) Page(p *Page) {
	p.Title(d.New.Name + " compared with " + d.Old.Name)
	p.Pairs(
		[2]string{"old", d.Old.Name + standing(d.Old)},
		[2]string{"new", d.New.Name + standing(d.New)},
		[2]string{"change", string(d.Level)},
	)
	if !d.Differs() {
		p.Paragraph("Nothing differs in meaning.")
	}
	if len(d.Because) > 0 {
		p.Heading("Why it is " + string(d.Level))
		p.Items(d.reasons()...)
	}
	if len(d.Added)+len(d.Dropped)+len(d.Changed) > 0 {
		p.Heading("Rules")
	}
	p.Definitions(named(d.ruleRows())...)
	if n := d.quiet(); n > 0 {
		p.Paragraph(fmt.Sprintf("%s something that differs; on their examples no difference was found.", lines.Count(n, "more rule reads", "more rules read")))
	}
	for _, part := range []struct {
		heading string
		items   []compare.Item
	}{{"Limits", d.Limits}, {"Steps", d.Steps}, {"Classes", d.Classes}, {"Units", d.Units}, {"Helpers", d.Shared}} {
		if len(part.items) > 0 {
			p.Heading(part.heading)
			p.Definitions(named(itemRows(part.items))...)
		}
	}
	d.visitBlocks(p)
	p.Heading("What was tried")
	p.Items(d.tried()...)
}

func standing(e compare.Edition) string {
	text := ", a folder that no releases.yaml lists"
	switch e.State {
	case ruleset.Draft:
		text = ", a draft"
	case ruleset.Released:
		text = ", released, in force from " + e.From
	case ruleset.Withdrawn:
		text = ", withdrawn"
	}
	return fmt.Sprintf("%s: %s, %s", text, lines.Count(e.Rules, "rule", "rules"), lines.Count(e.Examples, "example", "examples"))
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// reasons are those of the level itself, and how many lesser ones there are.
func (d Difference) reasons() []string {
	var out []string
	lesser := 0
	for _, r := range d.Because {
		if r.Level == d.Level {
			out = append(out, r.What+".")
		} else {
			lesser++
		}
	}
	if lesser > 0 {
		out = append(out, fmt.Sprintf("And %s.", lines.Count(lesser, "lesser reason", "lesser reasons")))
	}
	return out
}

// shown tells whether a rule is worth a line: it differs itself, or its examples
// turned.
func shown(r compare.RuleChange) bool {
	return len(r.Kinds) > 0 || r.Effect.Direction != turn.None
}

func (d Difference) quiet() int {
	n := 0
	for _, r := range d.Changed {
		if !shown(r) {
			n++
		}
	}
	return n
}

func (d Difference) ruleRows() [][]string {
	var rows [][]string
	for _, r := range d.Added {
		rows = append(rows, []string{r.Name, "new, " + r.Severity + ": " + r.Title})
	}
	for _, r := range d.Dropped {
		rows = append(rows, []string{r.Name, "dropped: " + r.Title})
	}
	for _, r := range d.Changed {
		if shown(r) {
			rows = append(rows, []string{r.Name, howRule(r) + "; " + effect(r.Effect)})
		}
	}
	return rows
}

// howRule says how a rule differs itself, and what differs of what it reads.
func howRule(r compare.RuleChange) string {
	var parts []string
	var texts []string
	for _, f := range r.Fields {
		switch f.Field {
		case "severity", "concession", "who", "since":
			parts = append(parts, f.Field+" "+turned(f))
		default:
			texts = append(texts, f.Field)
		}
	}
	if len(texts) > 0 {
		parts = append(parts, "another wording of "+strings.Join(texts, ", "))
	}
	if len(r.Parts) > 0 {
		parts = append(parts, "another "+strings.Join(r.Parts, ", "))
	}
	if len(r.Reads) > 0 {
		parts = append(parts, "reads what differs: "+strings.Join(r.Reads, ", "))
	}
	return strings.Join(parts, "; ")
}

// turned is a field's old and new value.
func turned(f compare.Field) string {
	switch {
	case f.Old == "":
		return "+ " + f.New
	case f.New == "":
		return "- " + f.Old
	}
	return f.Old + " → " + f.New
}

// effect says what a rule's examples showed.
func effect(e compare.Effect) string {
	on := "on " + lines.Count(e.Examples, "example", "examples")
	if e.Direction == turn.None {
		return "no difference was found " + on
	}
	word := map[string]string{
		turn.Stricter: "stricter", turn.Looser: "looser", turn.Both: "stricter and looser",
		turn.Neither: "neither stricter nor looser",
	}[e.Direction]
	var turns []string
	for _, t := range e.Turned {
		turns = append(turns, turnText(t))
	}
	return word + ", found " + on + ": " + strings.Join(turns, "; ")
}

func turnText(t turn.Turn) string {
	return fmt.Sprintf("%d %s → %s (first in %s)", t.Count, t.From, t.To, t.First)
}

func itemRows(items []compare.Item) [][]string {
	var rows [][]string
	for _, item := range items {
		var parts []string
		for _, f := range item.Fields {
			parts = append(parts, strings.TrimSpace(f.Field+" "+turned(f)))
		}
		text := item.Change
		if len(parts) > 0 {
			text += ": " + strings.Join(parts, "; ")
		}
		if item.Unit != "" {
			text += "; unit " + item.Unit
		}
		if n := len(item.Rules); n > 0 {
			text += "; read by " + lines.Count(n, "rule", "rules")
		}
		rows = append(rows, []string{item.Name, text})
	}
	return rows
}

// visitBlocks tells of the visits that were judged by both.
func (d Difference) visitBlocks(p *Page) {
	if d.Visits == nil {
		return
	}
	p.Heading("Visits")
	if len(d.Visits.Changed) == 0 {
		p.Paragraph(fmt.Sprintf("No answer turned on %s.", lines.Count(d.Visits.Judged, "visit", "visits")))
	}
	var rows [][]string
	for _, v := range d.Visits.Changed {
		rows = append(rows, []string{v.Visit, v.Machine, arrow(v.OldAcceptance, v.NewAcceptance) + "; " + arrow(v.OldServiceability, v.NewServiceability)})
	}
	p.Table([]string{"visit", "machine", "answers"}, rows)
	rows = nil
	for _, t := range d.Visits.Turned {
		rows = append(rows, []string{t.Rule, turnText(t.Turn)})
	}
	p.Definitions(named(rows)...)
}

// named are rows of a name and what is said of it.
func named(rows [][]string) [][2]string {
	var out [][2]string
	for _, r := range rows {
		out = append(out, [2]string{r[0], r[1]})
	}
	return out
}

func arrow(old, now string) string {
	if old == now {
		return now
	}
	return old + " → " + now
}

// tried says what the findings rest on.
func (d Difference) tried() []string {
	t := d.Tried
	out := []string{
		fmt.Sprintf("%s that differ%s, or read%s what does, answered for %s of both releases: %s of %s turned.",
			lines.Count(t.Rules, "rule", "rules"), verb(t.Rules, "s", ""), verb(t.Rules, "s", ""),
			lines.Count(t.Examples, "example", "examples"), fmt.Sprint(t.Turned), lines.Count(t.Outcomes, "outcome", "outcomes")),
		fmt.Sprintf("%s not tried: neither %s nor anything %s differs.",
			lines.Count(t.Same, "rule was", "rules were"), verb(t.Same, "it", "they"), verb(t.Same, "it reads", "they read")),
		fmt.Sprintf("Examples by name: %d new, %d dropped, %d changed.", d.Examples.Added, d.Examples.Dropped, d.Examples.Changed),
	}
	if t.Unbuilt > 0 {
		out = append(out, fmt.Sprintf("%s no visit that could be handed in, and %s left out; rules test says why.",
			lines.Count(t.Unbuilt, "example makes", "examples make"), verb(t.Unbuilt, "was", "were")))
	}
	if v := d.Visits; v != nil {
		text := lines.Count(v.Judged, "visit was", "visits were") + " judged by both releases"
		if v.Refused > 0 {
			text += "; " + lines.Count(v.Refused, "record", "records") + " refused"
		}
		out = append(out, text+".")
	}
	return append(out, "Where no difference was found, that is no proof that there is none.")
}
