package record

import (
	"slices"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"
)

// closest returns the candidate that the word was most likely meant to be, if
// there is one near enough. Capitals and signs between letters do not count:
// asFound is as_found. One letter in four may be wrong, at least one from three
// letters on; two letters that changed places count as one. Of equals the first
// wins.
func closest(word string, candidates []string) (string, bool) {
	plain := lettersOnly(word)
	allowed := len([]rune(plain)) / 4
	if allowed == 0 && len([]rune(plain)) >= 3 {
		allowed = 1
	}
	best, found := "", false
	for _, candidate := range candidates {
		other := lettersOnly(candidate)
		distance := levenshtein.ComputeDistance(plain, other)
		if distance == 2 && sorted(plain) == sorted(other) {
			distance = 1
		}
		if distance < allowed || distance == allowed && !found {
			best, found, allowed = candidate, true, distance
		}
	}
	return best, found
}

// lettersOnly returns the letters and digits of a word, in lower case.
func lettersOnly(word string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, word)
}

func sorted(word string) string {
	letters := []rune(word)
	slices.Sort(letters)
	return string(letters)
}

// listed returns the values as a list in words: "a", "b" or "c".
func listed(values []any, joint string) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = shown(v)
	}
	return joined(words, joint)
}

// joined returns the words as a list: a, b or c.
func joined(words []string, joint string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " " + joint + " " + words[last]
}

// texts returns the words as values.
func texts(words []string) []any {
	values := make([]any, len(words))
	for i, w := range words {
		values[i] = w
	}
	return values
}

// words returns those of the values that are texts.
func words(values []any) []string {
	var found []string
	for _, v := range values {
		if w, ok := v.(string); ok {
			found = append(found, w)
		}
	}
	return found
}
