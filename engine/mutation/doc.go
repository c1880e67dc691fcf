// Package mutation finds out what the examples of a release would not notice. It
// changes one thing at a time (a limit by a step, a comparison turned, a body left
// out) and demands that an example then answers otherwise than it expects.
//
// Start at [Run]. What no example notices is a hole: with it, a mistake of that
// kind could stand in the release and every example would still be met. A change
// that can make no difference is listed, with the reason, in the release's own
// unnoticed.yaml, and an entry there that nothing needs is a finding too.
//
// The rules are compiled once, with a switch at every place where something can be
// changed. A switch that is not thrown answers as the rule was written, and notes
// whether it would have answered otherwise if it had been: the examples in which
// no switch of a place would have need not be run for it, since everything that
// follows would be the same. Numbers are moved in the data, and only examples of rules
// that can read the number are run. Each change ends at the first example that notices.
//
// The questions are put to a plan of the rules (engine/plan). What does not rest on the
// rule or helper that a switch stands in is taken from when the example was run as it is.
//
// What only the words of a finding depend on is not tried, for examples do not say
// words.
package mutation
