package mutation

import (
	"cmp"
	"slices"
	"strings"
	"sync"
)

// memory remembers which examples noticed changes before, so that they are tried
// first. It decides about the order alone, never about what comes of it.
type memory struct {
	mu   sync.Mutex
	rule map[string][]int32 // by rule: what noticed last, latest last
	hits []int              // by case
}

func newMemory(cases int) *memory {
	return &memory{rule: map[string][]int32{}, hits: make([]int, cases)}
}

func (m *memory) note(c Change, i int32) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.rule[near(c)] = append(m.rule[near(c)], i)
	m.hits[i]++
}

// near names what lies close to a change: the same rule, or the rows of numbers that
// stand together.
func near(c Change) string {
	rows, _, _ := strings.Cut(c.Rule, "[")
	return rows
}

// order sorts candidates by how likely and how cheap it is that they notice. Numbers
// are those that a change is about, if it is about any.
func (m *memory) order(c Change, numbers []string, candidates []int32, t *trial) []int32 {
	m.mu.Lock()
	defer m.mu.Unlock()
	rank := map[int32]int{}
	for at, i := range m.rule[near(c)] {
		rank[i] = at + 1
	}
	own := func(i int32) int {
		if strings.HasPrefix(c.Rule, t.cases[i].Rule+".") {
			return 1
		}
		return 0
	}
	writes := map[int32]int{}
	for _, i := range candidates {
		for _, n := range numbers {
			if t.cases[i].Writes(n) {
				writes[i]++
			}
		}
	}
	out := slices.Clone(candidates)
	slices.SortStableFunc(out, func(a, b int32) int {
		return cmp.Or(
			cmp.Compare(own(b), own(a)),
			cmp.Compare(writes[b], writes[a]),
			cmp.Compare(rank[b], rank[a]),
			cmp.Compare(float64(t.cost[a])/float64(1+m.hits[a]), float64(t.cost[b])/float64(1+m.hits[b])),
		)
	})
	return out
}
