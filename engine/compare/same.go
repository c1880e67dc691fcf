package compare

import "slices"

// Same are the rules of the new release, sorted by name, that give for every record
// the outcomes and words that they give in the old one: neither they, nor anything
// that they read, nor anything that the engine reads besides the rules differs. A
// rule that is not among them may still come to the same.
func Same(old, now Side) ([]string, error) {
	a, err := withoutExamples(old)
	if err != nil {
		return nil, err
	}
	b, err := withoutExamples(now)
	if err != nil {
		return nil, err
	}
	if entriesDiffer(a, b) {
		return nil, nil
	}
	var same []string
	for name := range b.rules {
		if _, ok := a.rules[name]; ok && ruleChange(a, b, name) == nil {
			same = append(same, name)
		}
	}
	slices.Sort(same)
	return same, nil
}
