// Package publish writes into a policies folder on disk: drafts, their catalogues,
// releases and withdrawals.
//
// Start at [Open]. A [Folder] makes a draft from a release ([Folder.Draft]), writes
// the catalogues of drafts ([Folder.Catalogues]), releases a draft
// ([Folder.Release]) and withdraws a release ([Folder.Withdraw]). Each of them is
// done whole or not at all: files are written beside the place they belong in and
// renamed, releases.yaml last. A folder that was released is never written to, and
// one that was altered since is refused.
//
// What a release keeps in releases.yaml is what ISO 9001:2015, 8.5.6 asks to be
// kept of a change: what its review found (review, note), who authorised it
// (author, approved_by, approved_on) and what had to be done because of it (told,
// reason).
//
// The package asks no clock: what day it is, its caller says.
package publish
