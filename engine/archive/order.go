package archive

import (
	"slices"

	"golang.org/x/mod/sumdb/tlog"
)

// deed is what was done to an entry by other means than adding one.
type deed int

const (
	altered deed = iota
	moved
	removed
	slipped // put in
)

// A difference is one deed. Was is the place in the order that the hashes keep,
// is the place in the order that lies there; -1 where it has none.
type difference struct {
	deed    deed
	was, is int
}

// differences tells how the order that lies there came from the one that the
// hashes keep, by the fewest moves: what is only shifted, because something before
// it was removed or put in, is not told of.
func differences(kept, found []tlog.Hash) []difference {
	// Two entries may say the same; what is unchanged at both ends tells them apart.
	start := 0
	for start < min(len(kept), len(found)) && kept[start] == found[start] {
		start++
	}
	kept, found = kept[start:], found[start:]
	for len(kept) > 0 && len(found) > 0 && kept[len(kept)-1] == found[len(found)-1] {
		kept, found = kept[:len(kept)-1], found[:len(found)-1]
	}
	out := between(kept, found)
	for i := range out {
		if out[i].was >= 0 {
			out[i].was += start
		}
		if out[i].is >= 0 {
			out[i].is += start
		}
	}
	return out
}

// between is the differences of rows that differ at both ends.
func between(kept, found []tlog.Hash) []difference {
	places := map[tlog.Hash][]int{}
	for i, h := range kept {
		places[h] = append(places[h], i)
	}
	was := make([]int, len(found)) // place in kept, or -1
	used := make([]bool, len(kept))
	for i, h := range found {
		was[i] = -1
		if left := places[h]; len(left) > 0 {
			was[i], places[h] = left[0], left[1:]
			used[left[0]] = true
		}
	}
	stays := longestRising(was)
	var out []difference
	from, to := 0, 0 // in kept and found: where the gap begins
	gap := func(endKept, endFound int) {
		var gone, come []int
		for i := from; i < endKept; i++ {
			if !used[i] {
				gone = append(gone, i)
			}
		}
		for i := to; i < endFound; i++ {
			if was[i] < 0 {
				come = append(come, i)
			} else {
				out = append(out, difference{moved, was[i], i})
			}
		}
		both := min(len(gone), len(come))
		for i := range both {
			out = append(out, difference{altered, gone[i], come[i]})
		}
		for _, i := range gone[both:] {
			out = append(out, difference{removed, i, -1})
		}
		for _, i := range come[both:] {
			out = append(out, difference{slipped, -1, i})
		}
		from, to = endKept+1, endFound+1
	}
	for _, i := range stays {
		gap(was[i], i)
	}
	gap(len(kept), len(found))
	return out
}

// longestRising returns the indexes of a longest rising series of the numbers that
// are not negative.
func longestRising(numbers []int) []int {
	var ends []int // ends[n] is the index of the least end of a series of n+1
	before := make([]int, len(numbers))
	for i, n := range numbers {
		if n < 0 {
			continue
		}
		at, _ := slices.BinarySearchFunc(ends, n, func(end, n int) int { return numbers[end] - n })
		before[i] = -1
		if at > 0 {
			before[i] = ends[at-1]
		}
		if at == len(ends) {
			ends = append(ends, i)
		} else {
			ends[at] = i
		}
	}
	var out []int
	if len(ends) > 0 {
		for i := ends[len(ends)-1]; i >= 0; i = before[i] {
			out = append(out, i)
		}
	}
	slices.Reverse(out)
	return out
}
