// Package reads finds what the rules of a release read: which fields of the record
// and of earlier visits, and which limits, steps, classes and units.
//
// Start at [Find]. It follows the compiled rules: every reference is resolved,
// through local variables, helper functions and what other rules have built, to the
// places it can lead to. No rule is asked anything. Nothing that a rule reads is
// left out; what is taken by a key that is only known when a record is judged counts
// as read whole, so a field may be listed that no record makes the rule read.
package reads
