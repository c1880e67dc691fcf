package archive

import "testing"

// FuzzCheckProof hands in proofs from anywhere. None may stop the program, and the
// entries of one that is taken are of its visit and among those of its checkpoint.
func FuzzCheckProof(f *testing.F) {
	a, _ := filled(f, 3)
	old, _, err := a.Checkpoint(f.Context(), "")
	if err != nil {
		f.Fatal(err)
	}
	for _, id := range []string{"V-000", "V-002"} {
		proof, err := a.Prove(f.Context(), id, "")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(proof)
	}
	since, err := a.ProveSince(f.Context(), old, "")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(since)
	f.Add([]byte(`{"schema":"archive-proof/1","visit":"V","entries":[{"index":0,"leaf":"{}","hashes":[]}],"checkpoint":"a\n9223372036854775807\n47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := CheckProof(data, nil)
		if err != nil {
			return
		}
		if len(p.Checkpoint.SignedBy) > 0 {
			t.Error("a signature that nobody checked is told of")
		}
		for _, e := range p.Entries {
			if e.Visit != p.Visit || e.Index < 0 || e.Index >= p.Checkpoint.Size {
				t.Errorf("an entry that cannot be: %+v", e)
			}
		}
	})
}
