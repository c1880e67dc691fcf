package archive

import (
	"math/rand/v2"
	"slices"
	"testing"

	"golang.org/x/mod/sumdb/tlog"
)

// TestDifferencesNameOneDeed does one thing to a row of entries, of which some say
// the same, and demands that just that is named.
func TestDifferencesNameOneDeed(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	hash := func(n int) tlog.Hash { return tlog.RecordHash([]byte{byte(n), byte(n >> 8)}) }
	for range 400 {
		kept := make([]tlog.Hash, 2+random.IntN(60))
		for i := range kept {
			kept[i] = hash(i)
		}
		at := random.IntN(len(kept))
		strange := hash(5000 + at)
		for _, test := range []struct {
			found []tlog.Hash
			want  difference
		}{
			{slices.Delete(slices.Clone(kept), at, at+1), difference{removed, at, -1}},
			{slices.Insert(slices.Clone(kept), at, strange), difference{slipped, -1, at}},
			{slices.Replace(slices.Clone(kept), at, at+1, strange), difference{altered, at, at}},
		} {
			if got := differences(kept, test.found); len(got) != 1 || got[0] != test.want {
				t.Fatalf("%d entries: %+v, want %+v", len(kept), got, test.want)
			}
		}
		to := random.IntN(len(kept))
		moved := slices.Insert(slices.Delete(slices.Clone(kept), at, at+1), to, kept[at])
		got := differences(kept, moved)
		// Of two neighbours either may be the one that moved.
		if near := at-to == 1 || to-at == 1; at != to && (len(got) != 1 || !near && (got[0].was != at || got[0].is != to)) || at == to && len(got) != 0 {
			t.Fatalf("moved from %d to %d: %+v", at, to, got)
		}
		if got := differences(kept, kept); len(got) != 0 {
			t.Fatalf("nothing was done: %+v", got)
		}
	}
	twice := []tlog.Hash{hash(1), hash(2), hash(1), hash(3)}
	if got := differences(twice, twice); len(got) != 0 {
		t.Errorf("two that say the same: %+v", got)
	}
	if got := differences(twice, twice[1:]); len(got) != 1 || got[0].deed != removed {
		t.Errorf("one of two that say the same is gone: %+v", got)
	}
}
