// Package spoken says in words which place of a record a JSON pointer means: cell
// B3.1 gravity as found. Start at [Place]. It explains nothing else about the record.
package spoken

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// names are the fields that tell the elements of an array apart, besides the one
// that is named as a single element is.
var names = []string{"id", "item", "tag", "quantity", "for"}

// Place says which place of a record the tokens of a JSON pointer lead to. An
// element of an array is called by what tells it from the others, or by its number
// from 1; the token * stands for every element. What lies around an element that has
// a name is left out, and so is the word value at the end.
func Place(record any, tokens []string) string {
	var words []string
	at := record
	for i := 0; i < len(tokens); i++ {
		token := tokens[i]
		next := member(at, token)
		list, isArray := next.([]any)
		if !isArray || i+1 == len(tokens) {
			if token != "value" || i+1 < len(tokens) {
				words = append(words, strings.ReplaceAll(token, "_", " "))
			}
			at = next
			continue
		}
		i++
		word := single(token)
		switch index, err := strconv.Atoi(tokens[i]); {
		case tokens[i] == "*":
			words = append(words[:0], "every "+word)
			at = first(list)
		case err != nil || index < 0 || index >= len(list):
			words = append(words, "another "+word)
			at = nil
		default:
			name, named := nameOf(list[index], word)
			if named {
				if len(words) > 0 && !strings.HasPrefix(words[0], "step ") && !strings.HasPrefix(words[0], "instrument ") && !strings.HasPrefix(words[0], "person ") {
					words = words[:0]
				}
			} else {
				name = strconv.Itoa(index + 1)
			}
			words = append(words, word+" "+name)
			at = list[index]
		}
	}
	if len(words) == 0 {
		return "the record"
	}
	return strings.Join(words, " ")
}

func member(v any, name string) any {
	object, _ := v.(map[string]any)
	return object[name]
}

func first(list []any) any {
	if len(list) == 0 {
		return nil
	}
	return list[0]
}

// single is one of what a field's name says in the plural.
func single(name string) string {
	word := strings.ReplaceAll(name, "_", " ")
	if word == "people" {
		return "person"
	}
	return strings.TrimSuffix(word, "s")
}

// nameOf is what tells an element from the others.
func nameOf(element any, word string) (string, bool) {
	for _, name := range append([]string{word}, names...) {
		switch v := member(element, name).(type) {
		case string:
			return v, true
		case json.Number:
			return v.String(), true
		}
	}
	if text, ok := element.(string); ok {
		return fmt.Sprintf("%q", text), true
	}
	return "", false
}
