package judge

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"

	"github.com/visitgauge/visitgauge/engine/plan"
)

// Sharing brings many cases into the form that is evaluated, and holds what they have in
// common once: cases that differ in a field or two take little more room than one. It
// holds all it has seen, so it is for a set of cases that are held anyway. The zero
// value is ready, and may be used by several goroutines at once.
type Sharing struct {
	mu   sync.Mutex
	held map[string]sharedTerm
}

// sharedTerm is a value held once, with a number that stands for it and no other.
type sharedTerm struct {
	term   *ast.Term
	number uint64
}

// Prepare does as the function [Prepare] does.
func (s *Sharing) Prepare(c Case) (Prepared, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	in, err := inputBy(c, func(v any) (*ast.Term, error) {
		shared, err := s.hold(v)
		return shared.term, err
	})
	return Prepared{in}, err
}

// hold gives the one term for a value. Values are told apart by how they are written, so
// that 95 and 95.0 stay two.
func (s *Sharing) hold(v any) (sharedTerm, error) {
	switch v := v.(type) {
	case map[string]any:
		return s.object(v)
	case []any:
		return s.array(v)
	case string:
		return s.one("s"+v, func() *ast.Term { return ast.StringTerm(v) }), nil
	case json.Number:
		return s.one("n"+v.String(), func() *ast.Term { return ast.NumberTerm(v) }), nil
	case bool:
		return s.one(strconv.FormatBool(v), func() *ast.Term { return ast.InternedTerm(v) }), nil
	case nil:
		return s.one("null", func() *ast.Term { return ast.InternedNullTerm }), nil
	}
	return sharedTerm{}, fmt.Errorf("holding a value of type %T, which no record has", v)
}

func (s *Sharing) object(v map[string]any) (sharedTerm, error) {
	key := []byte{'{'}
	members := make([][2]*ast.Term, 0, len(v))
	for _, name := range slices.Sorted(maps.Keys(v)) {
		k, err := s.hold(name)
		if err != nil {
			return sharedTerm{}, err
		}
		e, err := s.hold(v[name])
		if err != nil {
			return sharedTerm{}, err
		}
		key = binary.AppendUvarint(binary.AppendUvarint(key, k.number), e.number)
		members = append(members, [2]*ast.Term{k.term, e.term})
	}
	return s.one(string(key), func() *ast.Term { return plan.Settled(ast.ObjectTerm(members...)) }), nil
}

func (s *Sharing) array(v []any) (sharedTerm, error) {
	key := []byte{'['}
	elements := make([]*ast.Term, 0, len(v))
	for _, e := range v {
		held, err := s.hold(e)
		if err != nil {
			return sharedTerm{}, err
		}
		key = binary.AppendUvarint(key, held.number)
		elements = append(elements, held.term)
	}
	return s.one(string(key), func() *ast.Term { return ast.ArrayTerm(elements...) }), nil
}

// one is the term held under a key, made now if there is none yet.
func (s *Sharing) one(key string, made func() *ast.Term) sharedTerm {
	if held, ok := s.held[key]; ok {
		return held
	}
	if s.held == nil {
		s.held = map[string]sharedTerm{}
	}
	held := sharedTerm{made(), uint64(len(s.held))}
	s.held[key] = held
	return held
}
