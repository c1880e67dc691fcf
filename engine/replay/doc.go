// Package replay judges archived visits under another release of the rules, and says
// what would have been judged differently and why.
//
// Start at [Run]. Each visit is judged by two releases, with the same record and the
// same earlier visits: by the one that is asked about, and by the one that it is held
// against. What comes of it is a what-if. It is no verdict, it is not archived, and it
// changes nothing that was judged. Concessions were granted under a release and are
// applied on neither side; where one covers an outcome that differs, that is said.
//
// [Reproduce] asks another question: whether each archived verdict comes out again,
// byte for byte, by the release it was judged by.
//
// # What is not judged twice
//
// Where both releases have a rule, and neither it nor anything it reads differs, its
// outcomes are taken from one side for the other. Where the archive holds a visit's
// verdict by the very release that it is held against, and what it is compared with
// has not changed since, that verdict is that side. [Options.InFull] does without
// either, and comes to the same. What was found for a visit is kept in a [Cache], so
// that a run which was stopped goes on where it was.
//
// What a visit is compared with is chosen by nothing that a release decides, so visits
// are judged in any order, on any number of workers, with the same result.
package replay
