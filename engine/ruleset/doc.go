// Package ruleset turns a folder of policies into a checked, compiled and
// catalogued rule set.
//
// Start at [Load] for one release folder, or at [ReadReleases] and
// [Releases.Open] for a folder of releases with its releases.yaml. Everything
// that can be wrong with a release is found here, before a record is judged:
// documents against their schemas, rules against the contract they must keep,
// names against the rules and data that exist. All problems are reported
// together, each with the file, the place in it and what would mend it.
//
// The package judges nothing: it holds no record and asks no rule a question.
package ruleset
