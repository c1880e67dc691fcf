package units

import (
	"math/big"
	"regexp"
	"slices"
	"strings"
)

// Kind says what is known of a number with its unit, as "76 °F".
type Kind struct {
	// Value is a temperature, not a difference of two, or a quantity of any other
	// kind; Difference the difference of two temperatures. Neither: nothing is
	// known. Both: two facts are written alike.
	Value, Difference bool
	// Recorded is a reading; what is not is written by a rule.
	Recorded bool
}

const number = `-?\d+(?:\.\d+)?(?:(?: \d+)?/\d+)?`

var (
	symbols  = alternatives()
	quantity = regexp.MustCompile(`(` + number + `)( (?:to|and|or) )(` + number + `) (` + symbols + `)|` +
		`(` + number + `) (` + symbols + `)`)
)

// alternatives are the symbols, longest first, for a regular expression.
func alternatives() string {
	var all []string
	for _, u := range table {
		all = append(all, regexp.QuoteMeta(u.symbol))
	}
	slices.SortFunc(all, func(a, b string) int { return len(b) - len(a) })
	return strings.Join(all, "|")
}

// one is a quantity, or two in one unit, in a text.
type one struct {
	start, end int
	texts      []string // the numbers as written
	between    string   // what stands between two
	both       bool     // each of two has its unit behind it
	symbol     string
}

// find finds the quantities of a text, in order.
func find(text string) []one {
	var out []one
	for _, m := range quantity.FindAllStringSubmatchIndex(text, -1) {
		group := func(i int) string {
			if m[2*i] < 0 {
				return ""
			}
			return text[m[2*i]:m[2*i+1]]
		}
		q := one{start: m[0], end: m[1], texts: []string{group(5)}, symbol: group(6)}
		if group(1) != "" {
			q.texts, q.between, q.symbol = []string{group(1), group(3)}, group(2), group(4)
		}
		if !stands(text, q.start, q.end) {
			continue
		}
		out = append(out, q)
	}
	return pairs(text, out)
}

// pairs joins "90 in·lbf to 100 in·lbf" to one.
func pairs(text string, found []one) []one {
	var out []one
	for _, q := range found {
		if n := len(out); n > 0 {
			last := &out[n-1]
			between := text[last.end:q.start]
			if len(last.texts) == 1 && len(q.texts) == 1 && last.symbol == q.symbol && (between == " to " || between == " and ") {
				last.end, last.between, last.both = q.end, between, true
				last.texts = append(last.texts, q.texts[0])
				continue
			}
		}
		out = append(out, q)
	}
	return out
}

// stands reports whether a quantity stands for itself, and is not part of a name,
// a date or a longer word.
func stands(text string, start, end int) bool {
	if start > 0 && strings.ContainsRune("-./:_·", rune(text[start-1])) || isWord(lastRune(text[:start])) {
		return false
	}
	next := firstRune(text[end:])
	return !isWord(next) && next != '·' && next != '/' && next != '³'
}

// Text tells the quantities of a text in the system. Asked what is known of a
// number with its unit, kind answers; nil knows nothing.
func (s System) Text(text string, kind func(quantity string) Kind) string {
	if s == AsRecorded {
		return text
	}
	if kind == nil {
		kind = func(string) Kind { return Kind{} }
	}
	found := find(text)
	var b strings.Builder
	rest := 0
	for i := 0; i < len(found); i++ {
		q := found[i]
		b.WriteString(text[rest:q.start])
		rest = q.end
		// What a reading is in the unit of its limit stands behind it in brackets.
		if i+1 < len(found) && text[q.end:found[i+1].start] == " (" && strings.HasPrefix(text[found[i+1].end:], ")") {
			inner := found[i+1]
			i, rest = i+1, inner.end+1
			b.WriteString(s.swapped(text, q, inner, kind))
			continue
		}
		b.WriteString(s.told(text[q.start:q.end], q, kind))
	}
	b.WriteString(text[rest:])
	return b.String()
}

// swapped tells a reading that stands in two units: first in that of the system.
func (s System) swapped(text string, q, inner one, kind func(string) Kind) string {
	u, _ := named(q.symbol)
	in, _ := named(inner.symbol)
	written := text[q.start:q.end]
	switch {
	case u.system == s || in.system == u.system:
		return written + " (" + text[inner.start:inner.end] + ")"
	case in.system == s:
		return text[inner.start:inner.end] + " (" + written + " " + wording(kind(written)) + ")"
	}
	return s.told(written, q, kind)
}

// told is a quantity in the system, with what was written in brackets.
func (s System) told(written string, q one, kind func(string) Kind) string {
	from, ok := named(q.symbol)
	if !ok {
		return written
	}
	to, ok := s.counterpart(from)
	if !ok {
		return written
	}
	known := Kind{Recorded: true}
	for i, t := range q.texts {
		k := kind(t + " " + q.symbol)
		switch {
		case from.quantity == "temperature" && k.Value == k.Difference,
			from.symbol == "in" && !k.Value && !strings.ContainsAny(t, "./"):
			return written // it may be either; it may be the word
		case i > 0 && k.Difference != known.Difference:
			return written
		}
		known.Difference = k.Difference && !k.Value
		known.Recorded = known.Recorded && k.Recorded
	}
	if known.Difference {
		from, to = from.difference(), to.difference()
	}
	var numbers []string
	for _, t := range q.texts {
		value, step, ok := read(t)
		if !ok {
			return written
		}
		numbers = append(numbers, printed(convert(value, step, from, to)))
	}
	sep := q.between
	if q.both {
		sep = " " + to.symbol + sep
	}
	return strings.Join(numbers, sep) + " " + to.symbol + " (" + written + " " + wording(known) + ")"
}

// wording says whose the number in brackets is: the record's, or a rule's.
func wording(k Kind) string {
	if k.Recorded {
		return "as recorded"
	}
	return "as written"
}

// read reads a number, and how fine it is written: one of its last place, or of a
// fraction a tenth of its part.
func read(text string) (value, step *big.Rat, ok bool) {
	whole, part, mixed := strings.Cut(text, " ")
	if mixed {
		a, _, ok1 := read(whole)
		b, step, ok2 := read(part)
		if !ok1 || !ok2 {
			return nil, nil, false
		}
		return a.Add(a, b), step, true
	}
	if value, ok = new(big.Rat).SetString(text); !ok {
		return nil, nil, false
	}
	if strings.Contains(text, "/") {
		return value, new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Mul(value.Denom(), big.NewInt(10))), true
	}
	step = big.NewRat(1, 1)
	if _, decimals, found := strings.Cut(text, "."); found {
		for range decimals {
			step.Quo(step, big.NewRat(10, 1))
		}
	}
	return value, step, true
}

// First is the number with its unit that a text begins with, as written.
func First(text string) (written string, ok bool) {
	found := find(text)
	if len(found) == 0 || found[0].start != 0 || len(found[0].texts) != 1 {
		return "", false
	}
	return text[:found[0].end], true
}

// Number is the number and the symbol that a text of one quantity, and nothing
// else, has in the system; not ok where the system has its unit itself, or no
// other for it. A difference is that of two temperatures.
func (s System) Number(text string, difference bool) (value, symbol string, ok bool) {
	found := find(text)
	if len(found) != 1 || found[0].start != 0 || found[0].end != len(text) || len(found[0].texts) != 1 {
		return "", "", false
	}
	from, ok := named(found[0].symbol)
	if !ok {
		return "", "", false
	}
	to, ok := s.counterpart(from)
	if !ok {
		return "", "", false
	}
	if difference {
		from, to = from.difference(), to.difference()
	}
	v, step, ok := read(found[0].texts[0])
	if !ok {
		return "", "", false
	}
	return printed(convert(v, step, from, to)), to.symbol, true
}
