package judge

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// layout is where a release lays out the figures of a sheet, by the member of
// [sheet.Figures] that they fill. A release that has none of it draws no
// pictures; one that has some of it must have all.
var layout = map[string]string{
	"class":        "shared.sheet.class",
	"cells":        "shared.sheet.cells",
	"means":        "shared.sheet.means",
	"weakest":      "shared.sheet.weakest",
	"full_charge":  "shared.sheet.full_charge",
	"level_band":   "shared.sheet.level_band",
	"posts":        "shared.sheet.posts",
	"torque_band":  "shared.sheet.torque_band",
	"voltages":     "shared.sheet.voltages",
	"voltage_band": "shared.sheet.voltage_band",
	"rest":         "shared.sheet.rest",
	"meters":       "shared.sheet.meters",
	"steps":        "shared.sheet.steps",
	"readings":     "shared.sheet.readings",
	"services":     "shared.due.services",
}

func sheetDocuments() []string { return slices.Sorted(maps.Values(layout)) }

// laysOut tells whether a release has anything to say of a sheet.
func laysOut(set *ruleset.Set) bool {
	return slices.ContainsFunc(sheetDocuments(), func(name string) bool {
		ref := ast.MustParseRef("data." + name)
		return len(set.Compiler().GetRulesExact(ref)) > 0
	})
}

// Sheet is what a page shows of a case besides its verdict. It has no figures
// where the release lays out none.
func (j *Judge) Sheet(ctx context.Context, c Case) (*sheet.Sheet, error) {
	in, err := inputValue(c)
	if err != nil {
		return nil, err
	}
	s := j.planner.session(ctx, in)
	defer s.close()
	return j.layOut(ctx, c, s)
}

// JudgeWithSheet is [Judge.Judge] and [Judge.Sheet] in one, which is sooner done:
// what the rules worked out need not be worked out again for the sheet.
func (j *Judge) JudgeWithSheet(ctx context.Context, c Case) (*verdict.Verdict, *sheet.Sheet, error) {
	in, err := inputValue(c)
	if err != nil {
		return nil, nil, err
	}
	s := j.planner.session(ctx, in)
	defer s.close()
	v, err := j.judge(ctx, c, s)
	if err != nil {
		return nil, nil, err
	}
	laid, err := j.layOut(ctx, c, s)
	if err != nil {
		return nil, nil, err
	}
	return v, laid, nil
}

func (j *Judge) layOut(ctx context.Context, c Case, s *session) (*sheet.Sheet, error) {
	figures, err := j.figures(ctx, c, s)
	if err != nil {
		return nil, fmt.Errorf("laying out visit %q by release %s: %w", c.Record.ID(), j.set.Version(), err)
	}
	return sheet.Of(c.Record, c.Earlier, figures)
}

func (j *Judge) figures(ctx context.Context, c Case, s *session) (*sheet.Figures, error) {
	if j.sheet == nil {
		return nil, nil
	}
	got, err := s.ask(ctx, sheetDocuments(), j.sheet)
	if err != nil {
		return nil, err
	}
	src := source{set: j.set, record: c.Record, earlier: c.Earlier}
	laid := make(map[string]any, len(layout))
	for member, name := range layout {
		raw, err := ast.JSON(got[name])
		if err != nil {
			return nil, &Fault{Rule: name, Message: "is no document", Err: err}
		}
		if laid[member], err = src.resolved(raw); err != nil {
			return nil, &Fault{Rule: name, Message: "a quantity", Err: err}
		}
	}
	data, err := json.Marshal(laid)
	if err != nil {
		return nil, fmt.Errorf("writing the figures down: %w", err)
	}
	figures, err := sheet.Decode(data)
	if err != nil {
		return nil, &Fault{Rule: "shared.sheet", Message: "the figures of a sheet", Err: err}
	}
	return figures, nil
}

// resolved replaces whatever is given as a fact is, but for its name, by the
// quantity that it stands for.
func (src source) resolved(v any) (any, error) {
	switch v := v.(type) {
	case []any:
		out := make([]any, len(v))
		for i, e := range v {
			var err error
			if out[i], err = src.resolved(e); err != nil {
				return nil, fmt.Errorf("%d: %w", i, err)
			}
		}
		return out, nil
	case map[string]any:
		if isQuantity(v) {
			return src.quantity(v)
		}
		out := make(map[string]any, len(v))
		for _, name := range slices.Sorted(maps.Keys(v)) {
			var err error
			if out[name], err = src.resolved(v[name]); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
		}
		return out, nil
	}
	return v, nil
}

// isQuantity recognises the forms of a fact that are numbers.
func isQuantity(v map[string]any) bool {
	have := strings.Join(slices.Sorted(maps.Keys(v)), " ")
	return slices.ContainsFunc([]string{"at", "earlier", "limit", "number"}, func(form string) bool {
		return strings.Join(forms[form], " ") == have
	})
}

func (src source) quantity(v map[string]any) (sheet.Quantity, error) {
	named := maps.Clone(v)
	named["name"] = "quantity"
	fact, err := src.fact(named)
	if err != nil {
		return sheet.Quantity{}, err
	}
	return sheet.Quantity{
		Text: fact.Text, Value: fact.Value, Unit: fact.Unit, Pointer: fact.Pointer, Earlier: fact.Earlier,
		Limit: fact.Limit, Source: fact.Source, Mark: fact.Mark,
	}, nil
}
