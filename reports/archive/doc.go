// Package archive words what the commands of the archive found: lists of visits,
// what is known of one, what verification found, what a proof shows.
//
// Start at [NewList], [NewShown], [NewVerified] and [NewProven]: each result is
// written as JSON as it is, or laid out on a page of package workshop. The package
// finds nothing out and reads nothing but its arguments.
package archive
