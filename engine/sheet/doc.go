// Package sheet holds what a page about a visit prints beside the verdict: who
// was there, what was found and done step by step, the readings, what is still
// open, when the next service is due.
//
// Start at [Sheet]. One part of it stands in the record and is taken from there
// as written, numbers as text ([Visit]). The other part, all that takes a unit, a
// correction or a limit, was laid out by the release of the rules that judged the
// visit ([Figures]); package judge asks for it. This package judges nothing and
// computes nothing: it compares no reading with a limit, and a sheet says nothing
// about the visit that the verdict does not.
package sheet
