package mutation

import (
	"context"
	"io/fs"

	"github.com/visitgauge/visitgauge/engine/examples"
	"github.com/visitgauge/visitgauge/engine/ruleset"
)

// IsPlanned tells whether a plan answers the questions about a release.
func IsPlanned(ctx context.Context, release fs.FS, set *ruleset.Set, runner *examples.Runner, opt Options) (bool, error) {
	t, err := newTrial(ctx, release, set, runner, opt)
	return err == nil && t.plans != nil && t.plans.wired != nil && t.plans.apart != nil, err
}

// Unplanned has OPA's evaluator answer every question.
func (o Options) Unplanned() Options {
	o.unplanned = true
	return o
}
