// Package plan evaluates a release's rules from the plan that OPA's planner makes of
// them: the same answers as OPA's evaluator gives, sooner.
//
// OPA plans a set of rules into functions of simple statements, which it otherwise
// turns into WebAssembly. Here the statements are laid out once as Go values and run
// over OPA's own values, with OPA's own built-in functions. What a query would search
// for anew each time, a plan has found before: where a rule stands, what a limit is,
// which sets are the same for every visit.
//
// Start at [New] and [Plan.Over]. A plan takes no part in saying what is wrong with a
// release: where it meets an error it says no more than that, and whoever asked puts
// the question to OPA's evaluator, which names the place. What it does not know how to
// do, [New] refuses.
package plan
