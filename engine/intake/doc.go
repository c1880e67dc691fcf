// Package intake hands visits in to an archive, so that what lies there holds
// together: each version once, each verdict beside what it is of, and every verdict
// in keeping with what its visit is compared with.
//
// Start at [Check], which judges visits against the machine's earlier ones in the
// archive and keeps both, and at [Add], which keeps visits without judging them.
// After either, visits whose comparison has changed, by one handed in late or
// corrected, are judged again by the release that judged them, and both verdicts
// stay. A run that ends before that leaves verdicts that are out of date; the next
// one that touches the machine finds them.
//
// The package reads no flag and prints nothing.
package intake
