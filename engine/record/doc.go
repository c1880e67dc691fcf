// Package record turns bytes into visit records, or into a list of what is
// wrong with them.
//
// Start at [NewDecoder] and [Decoder.Decode], which take the bytes of one
// record; [NewReader] finds those bytes in files, directories and JSON Lines
// streams, one record after the other.
//
// Decoding is strict, so that a record says one thing only, whoever reads it:
// valid UTF-8 without a byte order mark, no field twice, nothing after the end,
// numbers as plain decimals that are kept as they were written. What remains is
// held against the schema of a visit. Every problem of a record is reported,
// in the order of the document, with line, column, JSON pointer, a plain
// sentence and what would mend it.
//
// The package judges nothing: whether a visit was done well is for the rules to
// say. It never repairs a record either, however plain the mistake is.
package record
