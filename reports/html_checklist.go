package reports

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
)

// pageArea is the steps of one area of the machine.
type pageArea struct {
	Name, Said string
	Open       bool // something was found or left undone
	Steps      []pageStep
}

// pageStep is one item of the checklist.
type pageStep struct {
	Title, Found, Done, Left string
	Readings                 []string
	Notable                  bool
}

// areaNames are the areas in words.
var areaNames = map[string]string{
	"arrival": "Arrival", "look": "First look", "isolate": "Isolation and protection", "battery": "Battery",
	"deck": "Brush deck", "squeegee": "Squeegee", "drive": "Drive", "tanks": "Tanks, hoses and seals",
	"electric": "Electric", "return": "Return to power", "function": "Function tests", "charger": "Charger", "close": "Closing",
}

// checklist lays out the steps by area, in the order of work. Without figures the
// steps have neither title nor area, and stand by their names.
func (p *page) checklist(v *verdict.Verdict, s *sheet.Sheet) {
	rows := map[string]sheet.StepRow{}
	if s.Figures != nil {
		for _, r := range s.Figures.Steps {
			rows[r.Step] = r
		}
	}
	bad, read := badPointers(v), readSaid(s)
	at := map[string]int{}
	order := map[string]int{}
	add := func(row sheet.StepRow, step pageStep) {
		i, ok := at[row.Area]
		if !ok {
			i = len(p.Areas)
			at[row.Area] = i
			name, known := areaNames[row.Area]
			if !known {
				name = cmp.Or(row.Area, "Steps")
			}
			p.Areas = append(p.Areas, pageArea{Name: name})
			order[name], _ = strconv.Atoi(row.Order) // what has no order comes first
		}
		p.Areas[i].Steps = append(p.Areas[i].Steps, step)
	}
	recorded := map[string]bool{}
	for i, step := range s.Visit.Steps {
		recorded[step.Step] = true
		row := rows[step.Step]
		add(row, stepOf(i, step, row, bad, read))
	}
	for _, row := range stepRows(s) {
		if row.Required && !recorded[row.Step] {
			add(row, pageStep{Title: row.Title, Found: "not recorded", Notable: true})
		}
	}
	slices.SortStableFunc(p.Areas, func(a, b pageArea) int { return cmp.Compare(order[a.Name], order[b.Name]) })
	for i := range p.Areas {
		p.Areas[i].sum()
	}
	for _, part := range s.Visit.Parts {
		p.Parts = append(p.Parts, lines.Sentence(part.Part+", at "+titleOf(rows, part.Step)+": "+part.Fitted+" fitted, "+part.Removed+" taken out, which went to "+part.RemovedWentTo))
	}
}

func titleOf(rows map[string]sheet.StepRow, step string) string {
	return cmp.Or(rows[step].Title, step)
}

// sum says in short what became of an area.
func (a *pageArea) sum() {
	notable := 0
	for _, s := range a.Steps {
		if s.Notable {
			notable++
		}
	}
	a.Open = notable > 0
	a.Said = lines.Count(len(a.Steps), "step", "steps") + ", nothing found"
	if notable > 0 {
		a.Said = lines.Count(len(a.Steps), "step", "steps") + ", " + strconv.Itoa(notable) + " with something found or left undone"
	}
}

func stepOf(i int, step sheet.Step, row sheet.StepRow, bad map[string]bool, read map[string]string) pageStep {
	out := pageStep{
		Title: cmp.Or(row.Title, step.Step), Found: step.Found, Done: spoken(step.Done), Left: step.Left,
		Notable: step.Skipped != nil || step.Found == "defective" || step.Left == "defective",
	}
	if step.Skipped != nil {
		out.Found = "left undone: " + spoken(step.Skipped.Reason)
		if step.Skipped.Note != "" {
			out.Found += "; " + step.Skipped.Note
		}
	}
	for k, r := range step.Readings {
		pointer := "/steps/" + strconv.Itoa(i) + "/readings/" + strconv.Itoa(k)
		said := spoken(r.Reading)
		if r.NotObtained != nil {
			said += " not read: " + spoken(r.NotObtained.Reason)
		}
		if laid, ok := read[pointer]; ok {
			said = laid
		}
		if bad[pointer+"/as_found"] || bad[pointer+"/as_left"] {
			said, out.Notable = said+"; it does not conform", true
		}
		out.Readings = append(out.Readings, said)
	}
	if step.Note != "" {
		out.Readings = append(out.Readings, step.Note)
	}
	return out
}

// readSaid is what was read at the steps, by the pointer of each measure.
func readSaid(s *sheet.Sheet) map[string]string {
	out := map[string]string{}
	if s.Figures == nil {
		return out
	}
	for _, r := range s.Figures.Readings {
		said := strings.Join(r.Title, ", ")
		for _, q := range r.Found {
			said += " " + q.Text
		}
		for _, q := range r.Left {
			said += ", left " + q.Text
		}
		if len(r.Found)+len(r.Left) == 0 {
			continue
		}
		if len(r.Allowed) > 0 {
			said += " (" + strings.Join(r.Allowed, "; ") + ")"
		}
		out[r.At] = strings.TrimSpace(said)
	}
	return out
}

// spoken turns a code into words.
func spoken(code string) string { return strings.ReplaceAll(code, "-", " ") }

// badPointers are the places in the record that an outcome turns on which does
// not conform.
func badPointers(v *verdict.Verdict) map[string]bool {
	out := map[string]bool{}
	for _, o := range v.Outcomes {
		if o.Outcome == verdict.Nonconforming && o.Pointer != "" {
			out[o.Pointer] = true
		}
	}
	return out
}

// stepRows are the steps as the release lays them out.
func stepRows(s *sheet.Sheet) []sheet.StepRow {
	if s.Figures == nil {
		return nil
	}
	return s.Figures.Steps
}
