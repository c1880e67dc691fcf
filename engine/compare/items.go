package compare

import (
	"maps"
	"slices"
	"strings"
)

// items compares a section whose members have names of their own.
func items(section string, a, b *side) []Item {
	old, _ := a.Set.Data()[section].(map[string]any)
	now, _ := b.Set.Data()[section].(map[string]any)
	out := []Item{}
	for _, name := range union(old, now) {
		if item, differs := itemOf(name, old[name], now[name]); differs {
			out = append(out, item)
		}
	}
	return out
}

// limitItems compares the limits, which stand under their areas.
func limitItems(a, b *side) []Item {
	out := []Item{}
	old, _ := a.Set.Data()["limits"].(map[string]any)
	now, _ := b.Set.Data()["limits"].(map[string]any)
	for _, area := range union(old, now) {
		oldArea, _ := old[area].(map[string]any)
		nowArea, _ := now[area].(map[string]any)
		for _, name := range union(oldArea, nowArea) {
			item, differs := itemOf(area+"."+name, oldArea[name], nowArea[name])
			if !differs {
				continue
			}
			item.Rules = readers(a, b, "limits."+item.Name)
			out = append(out, item)
		}
	}
	return out
}

// itemOf compares one member of a section; nil stands for none.
func itemOf(name string, old, now any) (Item, bool) {
	list := fields("", old, now)
	if len(list) == 0 {
		return Item{}, false
	}
	item := Item{Name: name, Change: Changed, Fields: list, Rules: []string{}}
	shown := now
	switch {
	case old == nil:
		item.Change = Added
		item.Fields = whole(now, func(f *Field, text string) { f.New = text })
	case now == nil:
		item.Change, shown = Dropped, old
		item.Fields = whole(old, func(f *Field, text string) { f.Old = text })
	case !slices.ContainsFunc(list, func(f Field) bool { return !isWording(f) }):
		item.Change = Wording
	}
	if object, ok := shown.(map[string]any); ok {
		item.Title, _ = object["title"].(string)
		item.Unit, _ = object["unit"].(string)
	}
	return item, true
}

// whole are the plain fields of a member that is there on one side alone.
func whole(v any, put func(*Field, string)) []Field {
	object, _ := v.(map[string]any)
	out := []Field{}
	for _, key := range slices.Sorted(maps.Keys(object)) {
		if key == "title" {
			continue // it stands for itself
		}
		f := Field{Field: key}
		put(&f, text(object[key]))
		out = append(out, f)
	}
	return out
}

// readers are the rules that read a path of the data by name, in either release.
func readers(a, b *side, path string) []string {
	found := map[string]bool{}
	for _, s := range []*side{a, b} {
		for rule, reach := range s.reaches {
			for read := range reach.data {
				if read == path || strings.HasPrefix(read, path+".") {
					found[rule] = true
				}
			}
		}
	}
	return append([]string{}, slices.Sorted(maps.Keys(found))...)
}

// sharedItems compares the helpers.
func sharedItems(a, b *side) []Item {
	out := []Item{}
	for _, name := range union(a.texts, b.texts) {
		if !strings.HasPrefix(name, "shared.") || sameText(a, b, name) {
			continue
		}
		item := Item{Name: name, Change: Changed, Fields: []Field{}, Rules: []string{}}
		switch {
		case len(a.texts[name]) == 0:
			item.Change = Added
		case len(b.texts[name]) == 0:
			item.Change = Dropped
		}
		found := map[string]bool{}
		for _, s := range []*side{a, b} {
			for rule, reach := range s.reaches {
				if reach.names[name] {
					found[rule] = true
				}
			}
		}
		item.Rules = append(item.Rules, slices.Sorted(maps.Keys(found))...)
		out = append(out, item)
	}
	return out
}

// union are the keys of both, sorted.
func union[V any](a, b map[string]V) []string {
	keys := map[string]bool{}
	for key := range a {
		keys[key] = true
	}
	for key := range b {
		keys[key] = true
	}
	return slices.Sorted(maps.Keys(keys))
}
