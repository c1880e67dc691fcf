package units

import (
	"unicode"
	"unicode/utf8"
)

// isWord reports whether a character can be part of a word or number.
func isWord(r rune) bool { return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r)) }

// firstRune and lastRune are the outer characters of a text; RuneError of none.
func firstRune(s string) rune { r, _ := utf8.DecodeRuneInString(s); return r }

func lastRune(s string) rune { r, _ := utf8.DecodeLastRuneInString(s); return r }
