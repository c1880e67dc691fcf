// Package compare says what differs in meaning between two releases of the rules,
// and what becomes of visits by it.
//
// Start at [Compare]. Rules are compared as they are parsed, not as they are
// written: comments, order and layout make no difference. Limits, steps, classes
// and units are compared value by value, numbers as numbers. What a difference does
// is not read off but tried: every rule that differs, or reads something that
// does, answers for the examples of both releases, and where visits are given both
// releases judge those too. What was tried is counted, since finding no difference
// is no proof that there is none.
//
// From what was found follows how large the change is ([Level]): the number of the
// version that must be raised.
package compare
