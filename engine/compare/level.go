package compare

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Level is how large a change is, in the words of semantic versioning as releases
// keep it.
type Level string

// The levels, from the least to the greatest.
const (
	// None is no difference but in examples, comments and layout.
	None Level = "none"
	// Patch is another wording: no outcome is another.
	Patch Level = "patch"
	// Minor asks a new question, is looser, or changes what bears on neither answer.
	Minor Level = "minor"
	// Major may turn an accepted visit into one that is not, a serviceable machine
	// into one that is not, or a restricted one into one that may not be used.
	Major Level = "major"
)

var levels = []Level{None, Patch, Minor, Major}

// Reason is one reason for a level.
type Reason struct {
	Level Level  `json:"level"`
	What  string `json:"what"`
}

// Step is the level by which one version number differs from another, both three
// whole numbers.
func Step(from, to string) Level {
	a, b := strings.Split(from, "."), strings.Split(to, ".")
	for i, level := range []Level{Major, Minor, Patch} {
		if i < len(a) && i < len(b) && a[i] != b[i] {
			return level
		}
	}
	return None
}

// Covers tells whether a step of one level may hold a change of another.
func (l Level) Covers(change Level) bool {
	return slices.Index(levels, l) >= slices.Index(levels, change)
}

// Next is the least version after another whose step covers the level.
func Next(version string, l Level) string {
	parts := strings.Split(version, ".")
	at := map[Level]int{Major: 0, Minor: 1}
	i, ok := at[l]
	if !ok {
		i = 2
	}
	for j := range parts {
		n, err := strconv.Atoi(parts[j])
		switch {
		case err != nil || j > i:
			n = 0
		case j == i:
			n++
		}
		parts[j] = strconv.Itoa(n)
	}
	return strings.Join(parts, ".")
}

// weigh gives the difference its level and the reasons for it.
func (d *Difference) weigh() {
	d.Because = append(d.Because, d.ruleReasons()...)
	d.Because = append(d.Because, d.dataReasons()...)
	slices.SortStableFunc(d.Because, func(a, b Reason) int {
		return slices.Index(levels, b.Level) - slices.Index(levels, a.Level)
	})
	d.Because = slices.Compact(d.Because)
	d.Level = None
	if len(d.Because) > 0 {
		d.Level = d.Because[0].Level
	}
}

// ruleReasons are those that show without anything being tried.
func (d *Difference) ruleReasons() []Reason {
	var out []Reason
	add := func(l Level, format string, args ...any) {
		out = append(out, Reason{l, fmt.Sprintf(format, args...)})
	}
	for _, r := range d.Added {
		if answers(r.Concern) && r.Severity != string(verdict.Minor) {
			add(Major, "%s is asked now, and is %s", r.Name, r.Severity)
			continue
		}
		add(Minor, "%s is asked now, and bears on neither answer", r.Name)
	}
	for _, r := range d.Dropped {
		add(Minor, "%s is no longer asked", r.Name)
	}
	for _, r := range d.Changed {
		concern, _, _ := strings.Cut(r.Name, ".")
		for _, f := range r.Fields {
			switch f.Field {
			case "severity":
				l := Minor
				if answers(concern) && rank(severityOrder, f.New) > rank(severityOrder, f.Old) {
					l = Major
				}
				add(l, "%s is %s now, not %s", r.Name, f.New, f.Old)
			case "concession":
				l := Minor
				if answers(concern) && rank(concessionOrder, f.New) > rank(concessionOrder, f.Old) {
					l = Major
				}
				add(l, "%s: a concession is granted by %s now, not by %s", r.Name, f.New, f.Old)
			case "who", "since":
				add(Minor, "%s: %s is %s now, not %s", r.Name, f.Field, f.New, f.Old)
			}
		}
		switch {
		case slices.Contains(r.Kinds, KindLogic):
			add(Minor, "%s asks in another way", r.Name)
		case len(r.Kinds) > 0:
			add(Patch, "%s is worded anew", r.Name)
		}
	}
	return out
}

// answers tells whether a concern bears on acceptance or serviceability.
func answers(concern string) bool {
	return concern == ruleset.Procedure || concern == ruleset.Condition
}

// The orders in which rules and limits are graded, the mildest first.
var (
	severityOrder   = []string{"minor", "major", "critical"}
	concessionOrder = []string{"lead", "lead-and-customer", "never"}
	decidedOrder    = []string{"rounded", "direct", "guarded"}
)

func rank(order []string, word string) int { return slices.Index(order, word) }

// dataReasons are those that the data give.
func (d *Difference) dataReasons() []Reason {
	var out []Reason
	for _, section := range []struct {
		one   string
		items []Item
		gone  Level // where one is dropped
	}{
		{"limit", d.Limits, Minor},
		{"step", d.Steps, Major},
		{"class", d.Classes, Major},
		{"unit", d.Units, Major},
		{"helper", d.Shared, Minor},
	} {
		for _, item := range section.items {
			what := section.one + " " + item.Name
			switch item.Change {
			case Dropped:
				out = append(out, Reason{section.gone, what + " is gone"})
			case Added:
				out = append(out, Reason{Minor, what + " is new"})
			case Wording:
				out = append(out, Reason{Patch, what + " is worded anew"})
			default:
				out = append(out, changed(section.one, what, item.Fields)...)
			}
		}
	}
	return out
}

// changed are the reasons that a changed member of a section gives. What numbers do is
// left to what is tried, for a release has an example on either side of each limit; other
// fields have none that would have to turn.
func changed(section, what string, fields []Field) []Reason {
	out := []Reason{{Minor, what + " is another"}}
	for _, f := range fields {
		var stricter string
		switch section {
		case "limit":
			if f.Field == "decided" && rank(decidedOrder, f.New) > rank(decidedOrder, f.Old) {
				stricter = fmt.Sprintf(" is decided %s, not %s", f.New, f.Old)
			}
		case "unit":
			stricter = fmt.Sprintf(": %s is %s now, not %s", f.Field, f.New, f.Old)
			if isWording(f) {
				stricter = ""
			}
		case "step":
			stricter = stepStricter(f)
		case "class":
			stricter = classStricter(f)
		}
		if stricter != "" {
			out = append(out, Reason{Major, what + stricter})
		}
	}
	return out
}

// stepStricter says what more a field of a step asks than before; nothing if it does not.
func stepStricter(f Field) string {
	switch f.Field {
	case "severity":
		if rank(severityOrder, f.New) > rank(severityOrder, f.Old) {
			return fmt.Sprintf(" is %s if left defective, not %s", f.New, f.Old)
		}
	case "may_skip":
		if f.Old != "" {
			return " may no longer be left undone for " + f.Old
		}
	case "power":
		if f.New != "either" {
			return fmt.Sprintf(" needs the power %s, not %s", f.New, f.Old)
		}
	}
	return ""
}

// classStricter does so for a field of a class. Whatever is said of the machine in words
// can make a record wrong that was right.
func classStricter(f Field) string {
	listed := strings.HasPrefix(f.Field, "requires") || strings.HasPrefix(f.Field, "precedence")
	switch {
	case listed && f.New != "":
		return fmt.Sprintf(": %s has %s now", f.Field, f.New)
	case listed, isNumber(f.Old) && isNumber(f.New):
		return ""
	case f.Old == "":
		return fmt.Sprintf(": %s is %s now", f.Field, f.New)
	case f.New == "":
		return fmt.Sprintf(": %s is no longer %s", f.Field, f.Old)
	}
	return fmt.Sprintf(": %s is %s now, not %s", f.Field, f.New, f.Old)
}

func isNumber(text string) bool {
	_, ok := new(big.Rat).SetString(text)
	return ok
}
