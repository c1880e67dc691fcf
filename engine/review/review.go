// Package review looks at a release as a careful reviewer would: all that the loader
// demands, and what is allowed but not meant.
//
// Start at [Check]. A finding says where it is and what would mend it. What is known
// and meant stands, each with its reason, in exemptions.yaml.
//
// Two checks search rather than prove. Whether conforming and nonconforming of a rule
// can both hold is looked for in the rule's text (a body of one that asks nothing more
// than a body of the other) and by asking: each rule its own examples, pairs of them
// mixed, and all rules the base visits. Whether wording leaves a placeholder empty is
// looked for in the answers to the examples. What none of these shows is not found.
package review

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/reads"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// Finding is one thing in a release that should be otherwise.
type Finding struct {
	Check   string `json:"check"`   // which check found it, one of the words of this package
	File    string `json:"file"`    // inside the release; of the schema of visits, its name; empty for the release as a whole
	Line    int    `json:"line"`    // 1-based; 0 where it has no line
	Message string `json:"message"` // what is wrong
	Mend    string `json:"mend"`    // what would mend it
}

// The checks.
const (
	Loader  = "loader" // what no release may be loaded with
	Limits  = "limit"  // a limit that no rule reads
	Fields  = "field"  // a field of a visit or a class that nothing uses
	Steps   = "step"   // a step that no class requires
	Both    = "both"   // a rule that can answer two ways at once
	Sources = "source" // a number or rule without a source
	// Quantities: a limit whose unit is held to nothing.
	Quantities = "quantity"
	Guard      = "guard"       // a guarded limit that leaves little room
	Wording    = "wording"     // a text that leaves a placeholder empty
	Format     = "format"      // Rego that OPA's formatter would write otherwise
	Modelines  = "editor line" // a file that an editor is not told the schema of
)

// Options say how a release is checked. The zero value runs on one processor and
// tells nobody.
type Options struct {
	Workers int // rules asked at a time; at least 1 is taken
	// Progress is told how many of the rules were asked so far, by one goroutine
	// at a time; may be nil.
	Progress func(done, of int)
	// Resolves tells whether a path beside a file of the release leads to a file;
	// both are slash-separated, the first inside the release. Nil where the release
	// lies in no folder on disk.
	Resolves func(file, path string) bool
}

// Check checks the release in the root of a folder. The findings are sorted by file
// and line; none is a good release. The error is for what keeps it from being
// checked.
func Check(ctx context.Context, release fs.FS, decoder *record.Decoder, opt Options) ([]Finding, error) {
	r := &reviewer{files: release, opt: opt, findings: []Finding{}}
	if err := r.plain(); err != nil {
		return nil, err
	}
	set, err := ruleset.Load(ctx, release, ruleset.Options{})
	var problems ruleset.Problems
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			r.add(Loader, p.File, p.Line, p.Message, p.Mend)
		}
		return r.sorted(), nil // what a broken release means cannot be asked
	case err != nil:
		return nil, err
	}
	r.set = set
	if r.reads, err = reads.Find(set); err != nil {
		return nil, err
	}
	if err := r.readData(); err != nil {
		return nil, err
	}
	r.limits()
	if err := r.fields(); err != nil {
		return nil, err
	}
	r.steps()
	r.sources()
	if err := r.guards(); err != nil {
		return nil, err
	}
	if err := r.alike(); err != nil {
		return nil, err
	}
	if r.runner, err = examples.New(release, set, decoder); err != nil {
		return nil, err
	}
	if err := r.ask(ctx); err != nil {
		return nil, err
	}
	return r.sorted(), nil
}

// reviewer gathers the findings about one release.
type reviewer struct {
	files    fs.FS
	opt      Options
	set      *ruleset.Set
	reads    *reads.Reads
	runner   *examples.Runner
	data     map[string]*document // data files by name
	findings []Finding
}

func (r *reviewer) add(check, file string, line int, message, mend string) {
	r.findings = append(r.findings, Finding{check, file, line, message, mend})
}

func (r *reviewer) sorted() []Finding {
	slices.SortStableFunc(r.findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Check, b.Check), cmp.Compare(a.Message, b.Message))
	})
	return slices.Compact(r.findings)
}

// walk calls do for each file of the release with the ending.
func (r *reviewer) walk(ending string, do func(name string, data []byte)) error {
	return fs.WalkDir(r.files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !d.Type().IsRegular() || len(name) < len(ending) || name[len(name)-len(ending):] != ending {
			return err
		}
		data, err := fs.ReadFile(r.files, name)
		if err != nil {
			return fmt.Errorf("checking the release: %w", err)
		}
		do(name, data)
		return nil
	})
}
