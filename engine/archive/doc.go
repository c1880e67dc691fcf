// Package archive keeps visits and verdicts across runs, in one file, in the
// order in which they came, and proves that what lies there is what was put
// there.
//
// Start at [Open]. [Archive.Add] takes a visit byte for byte as handed in and
// [Archive.AddVerdict] what came of judging it; [Archive.Do] does several such
// things at once or none. [Archive.Visits] and [Archive.Machine] read them back;
// with [Folder], which reads a directory or a JSON Lines file, they are a
// [Source]. [LoadMachine] gives what the visits of a machine are compared with.
//
// # Nothing is taken back
//
// Each addition is an [Entry], a small document that names by digest the bytes
// that lie beside it. Entries are the leaves of a Merkle tree (RFC 6962, RFC 9162)
// and are never changed: another version of a visit is a correction beside the
// first, a verdict judged again stands beside the earlier one. A redaction takes
// away bytes, and leaves the entry with its hash, and says who did it and why.
// [Archive.Verify] finds what was changed, removed, moved or put in by other means
// and names it. Who can write the file can write all of it anew, hashes too: what
// shows that is a [Checkpoint] kept elsewhere, or a [Proof] in another's hand.
//
// # One file
//
// The file is a SQLite database with a rollback journal: at rest it is one file,
// which can be copied or held against a copy, and read from a medium that cannot
// be written. An addition is told of as done only when it is on the disk
// (synchronous=EXTRA, which also holds the removal of the journal there).
//
// The package judges nothing, reads no clock, and decides nothing about when
// something is to be redacted: days and reasons are handed in.
package archive
