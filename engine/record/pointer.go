package record

import (
	"net/url"
	"strconv"
	"strings"
)

var (
	pointerEscaper   = strings.NewReplacer("~", "~0", "/", "~1")
	pointerUnescaper = strings.NewReplacer("~1", "/", "~0", "~")
)

// A path is a JSON pointer as its unescaped parts; indexes are in decimal.
type path []string

// pointer returns the path as RFC 6901 writes it.
func (p path) pointer() string {
	var b strings.Builder
	for _, part := range p {
		b.WriteByte('/')
		b.WriteString(pointerEscaper.Replace(part))
	}
	return b.String()
}

// last returns the last part, or nothing for the record as a whole.
func (p path) last() string {
	if len(p) == 0 {
		return ""
	}
	return p[len(p)-1]
}

// with returns the path of a member or element; p is not changed.
func (p path) with(part string) path {
	return append(p[:len(p):len(p)], part)
}

// parseLocation reads a location as the schema library writes it: a JSON
// pointer whose parts are escaped as for a URL on top.
func parseLocation(location string) path {
	if location == "" {
		return nil
	}
	parts := strings.Split(strings.TrimPrefix(location, "/"), "/")
	for i, part := range parts {
		// The library wrote it, so that it always unescapes; if it did not,
		// the part as it stands is the best there is to print.
		if plain, err := url.PathUnescape(part); err == nil {
			part = plain
		}
		parts[i] = pointerUnescaper.Replace(part)
	}
	return parts
}

// parsePointer reads a JSON pointer. It returns false for what RFC 6901 does
// not allow: no slash in front, or a ~ that is followed by neither 0 nor 1.
func parsePointer(pointer string) (path, bool) {
	if pointer == "" {
		return nil, true
	}
	if pointer[0] != '/' {
		return nil, false
	}
	parts := strings.Split(pointer[1:], "/")
	for i, part := range parts {
		for rest := part; ; {
			_, after, found := strings.Cut(rest, "~")
			if !found {
				break
			}
			if after == "" || after[0] != '0' && after[0] != '1' {
				return nil, false
			}
			rest = after[1:]
		}
		parts[i] = pointerUnescaper.Replace(part)
	}
	return parts, true
}

// resolve returns the value that the pointer names, if there is one.
func resolve(v any, pointer string) (any, bool) {
	parts, ok := parsePointer(pointer)
	if !ok {
		return nil, false
	}
	return descend(v, parts)
}

// descend returns the value at the end of the path, if there is one.
func descend(v any, p path) (any, bool) {
	for _, part := range p {
		switch container := v.(type) {
		case map[string]any:
			member, ok := container[part]
			if !ok {
				return nil, false
			}
			v = member
		case []any:
			i, ok := index(part, len(container))
			if !ok {
				return nil, false
			}
			v = container[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// index reads an array index as RFC 6901 writes it: digits, no leading zero.
func index(part string, length int) (int, bool) {
	if part == "" || part[0] < '0' || part[0] > '9' || len(part) > 1 && part[0] == '0' {
		return 0, false
	}
	i, err := strconv.Atoi(part)
	if err != nil || i >= length {
		return 0, false
	}
	return i, true
}
