package ruleset

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// classQuantities are what the limits of a class are of that say it by their
// place alone, by their pointer below the class. What a range is of, its reading
// says.
var classQuantities = map[string]string{
	"/battery/rest_voltage":   "voltage",
	"/battery/voltage_spread": "voltage",
}

// reading is what the visits under examples/base say of a reading.
type reading struct {
	quantities []string // sorted; of the units it is recorded in
}

// readBaseReadings collects the readings that base visits record. Nothing else in
// a release names them: the schema of a visit leaves the names to the classes,
// so a class is held to what visits record. Where one of them cannot be read,
// there are none.
func (l *loader) readBaseReadings() map[string]reading {
	readings := map[string]reading{}
	for _, name := range l.files.names {
		d, at := l.docs[name], l.places[name]
		if at.kind != baseFile {
			continue
		}
		if d == nil { // it could not be read, and may have recorded any
			return nil
		}
		top, _ := d.value.(map[string]any)
		visit, _ := top[at.topKey].(map[string]any)
		for _, step := range objectsOf(visit["steps"]) {
			for _, row := range objectsOf(step["readings"]) {
				id, ok := row["reading"].(string)
				if !ok {
					continue
				}
				r := readings[id]
				for _, state := range []string{"as_found", "as_left"} {
					measure, _ := row[state].(map[string]any)
					code, _ := measure["unit"].(string)
					if q := l.quantityOf(code); q != "" && !slices.Contains(r.quantities, q) {
						r.quantities = append(r.quantities, q)
						slices.Sort(r.quantities)
					}
				}
				readings[id] = r
			}
		}
	}
	return readings
}

// limitedQuantities are the quantities that a limit may be of: the one it names,
// or in a class the one of its place or those its reading is recorded in. There
// are none where nothing says so.
func (l *loader) limitedQuantities(d *document, limit map[string]any, pointer string) []string {
	if q, ok := limit["quantity"].(string); ok {
		return []string{q}
	}
	at := l.places[d.file]
	if at.kind != classFile {
		return nil
	}
	if q, ok := classQuantities[strings.TrimPrefix(pointer, childPointer("", at.topKey))]; ok {
		return []string{q}
	}
	id, _ := limit["reading"].(string)
	return l.readings[id].quantities
}

// checkClass demands that every name in a class is one that it can mean: a
// misspelt step would be demanded of every visit and found in none, and a
// misspelt reading never be held to its range.
func (l *loader) checkClass(d *document) {
	top := l.places[d.file].topKey
	root := childPointer("", top)
	value, _ := d.value.(map[string]any)
	class, _ := value[top].(map[string]any)

	steps, _ := l.data["steps"].(map[string]any)
	l.checkClassSteps(d, class, root, slices.Sorted(maps.Keys(steps)))

	recorded := slices.Sorted(maps.Keys(l.readings))
	for i, r := range objectsOf(class["ranges"]) {
		at := fmt.Sprintf("%s/ranges/%d", root, i)
		l.checkName(d, at+"/reading", r["reading"], recorded, "no visit under examples/base records a reading",
			"let a visit under examples/base record it", " If it is new, let a visit under examples/base record it")
	}

	var meters, levels []string
	for _, m := range listOf(class["meters"]) {
		if meter, ok := m.(string); ok {
			meters = append(meters, meter)
		}
	}
	for _, r := range objectsOf(class["requires"]) {
		if level, ok := r["level"].(string); ok && r["kind"] == "service" {
			levels = append(levels, level)
		}
	}
	for i, m := range objectsOf(class["duty"]) {
		l.checkName(d, fmt.Sprintf("%s/duty/%d/meter", root, i), m["meter"], meters, "the class has no meter",
			"its meters are "+strings.Join(meters, ", "), "")
	}
	for i, s := range objectsOf(class["service"]) {
		l.checkName(d, fmt.Sprintf("%s/service/%d/level", root, i), s["level"], levels, "the class requires no steps of a service of level",
			"its levels of service are "+strings.Join(levels, ", "), "")
	}
}

func (l *loader) checkClassSteps(d *document, class map[string]any, root string, steps []string) {
	check := func(pointer string, name any) {
		l.checkName(d, pointer, name, steps, "steps.yaml has no step", "write a step of steps.yaml, or add this one there", "")
	}
	for i, r := range objectsOf(class["requires"]) {
		for j, name := range listOf(r["steps"]) {
			check(fmt.Sprintf("%s/requires/%d/steps/%d", root, i, j), name)
		}
	}
	for i, p := range objectsOf(class["precedence"]) {
		for _, side := range []string{"before", "after"} {
			check(fmt.Sprintf("%s/precedence/%d/%s", root, i, side), p[side])
		}
	}
	for i, r := range objectsOf(class["ranges"]) {
		check(fmt.Sprintf("%s/ranges/%d/step", root, i), r["step"])
	}
}

// checkName demands that a name is one of the known ones, and says which is near,
// or what else would mend it. Where none are known, their file is missing or
// refused, and that is said elsewhere.
func (l *loader) checkName(d *document, pointer string, name any, known []string, fault, mend, besides string) {
	text, ok := name.(string)
	if !ok || len(known) == 0 || slices.Contains(known, text) {
		return
	}
	if near := nearest(text, known); near != "" {
		mend = fmt.Sprintf("did you mean %q?", near) + besides
	}
	l.add(d.valueProblem(pointer, fmt.Sprintf("%s: %s %q", pointer, fault, text), mend))
}

func listOf(v any) []any {
	list, _ := v.([]any)
	return list
}

// objectsOf gives the elements of a list with their places; what is no object is
// an empty one, which the schema refuses.
func objectsOf(v any) []map[string]any {
	list := listOf(v)
	objects := make([]map[string]any, len(list))
	for i, e := range list {
		objects[i], _ = e.(map[string]any)
	}
	return objects
}
