package review

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"math/big"
	"path"
	"slices"
	"strings"
)

// sources finds limits that do not say what quantity they limit; and those, and
// numbers of a class, whose source says no more than how they are said to be known:
// what is marked as published names its text.
func (r *reviewer) sources() {
	check := func(file string, line int, name string, v any) {
		mark, source := text(v, "mark"), text(v, "source")
		if mark == "" {
			return // nothing that has a source
		}
		if strings.HasPrefix(mark, "published") && (source == "" || source == mark || strings.HasPrefix(source, "common practice")) {
			r.add(Sources, file, line, fmt.Sprintf("%s is marked as %s, and its source names no text: %q", name, mark, source),
				"name the text in source, or write mark: common practice")
		}
		if strings.TrimSpace(source) == "" {
			r.add(Sources, file, line, name+" has no source", "say in source where it is from, or what the practice is")
		}
	}
	limits := object(r.set.Data()["limits"])
	for area, of := range limits {
		for name, limit := range object(of) {
			if area != "instruments" && text(limit, "quantity") == "" {
				unit, _ := r.set.Unit(text(limit, "unit"))
				r.add(Quantities, "limits.yaml", r.data["limits.yaml"].line("limits", area, name),
					area+"."+name+" does not say what quantity it limits, so a unit of another would not be noticed", "add quantity: "+unit.Quantity)
			}
			check("limits.yaml", r.data["limits.yaml"].line("limits", area, name), area+"."+name, limit)
		}
	}
	for class, of := range object(r.set.Data()["classes"]) {
		file := "classes/" + class + ".yaml"
		for name, v := range object(object(of)["battery"]) {
			check(file, r.data[file].line(class, "battery", name), "battery."+name, v)
		}
		ranges, _ := object(of)["ranges"].([]any)
		for _, v := range ranges {
			check(file, r.data[file].line(class, "ranges"), text(v, "reading"), v)
		}
	}
	for _, rule := range r.set.Rules() {
		if len(rule.Sources) == 0 && rule.Basis == "" {
			r.add(Sources, fileOf(rule.Name), 1, "the rule has no source", "list related_resources, or say custom.basis: common practice")
		}
	}
}

func fileOf(rule string) string { return strings.ReplaceAll(rule, ".", "/") + ".rego" }

// guards finds guarded limits that leave less than a quarter of their band between
// the two ends, each moved inwards by the expanded uncertainty of an instrument of
// the base visits that measures that quantity. A limit with one end has no band, and
// an uncertainty that is stated as a part of the reading is taken at the end that
// lies further from zero.
func (r *reviewer) guards() error {
	used, err := r.instruments()
	if err != nil {
		return err
	}
	limits := object(r.set.Data()["limits"])
	for _, area := range slices.Sorted(maps.Keys(limits)) {
		for _, name := range slices.Sorted(maps.Keys(object(limits[area]))) {
			r.guard("limits.yaml", r.data["limits.yaml"].line("limits", area, name), area+"."+name, object(limits[area])[name], used)
		}
	}
	for class, of := range object(r.set.Data()["classes"]) {
		file := "classes/" + class + ".yaml"
		for name, v := range object(object(of)["battery"]) {
			r.guard(file, r.data[file].line(class, "battery", name), "battery."+name, v, used)
		}
	}
	return nil
}

func (r *reviewer) guard(file string, line int, name string, limit any, used []instrument) {
	low, hasLow := r.base(text(limit, "min"), text(limit, "unit"), false)
	high, hasHigh := r.base(text(limit, "max"), text(limit, "unit"), false)
	if text(limit, "decided") != "guarded" || !hasLow || !hasHigh {
		return
	}
	unit, _ := r.set.Unit(text(limit, "unit"))
	band := new(big.Rat).Sub(high, low)
	for _, i := range used {
		if i.quantity != unit.Quantity {
			continue
		}
		u := i.uncertainty
		if i.percent {
			end := new(big.Rat).Abs(high)
			if other := new(big.Rat).Abs(low); other.Cmp(end) > 0 {
				end = other
			}
			u = new(big.Rat).Mul(u, new(big.Rat).Quo(end, big.NewRat(100, 1)))
		}
		room := new(big.Rat).Sub(band, new(big.Rat).Mul(u, big.NewRat(2, 1)))
		if new(big.Rat).Mul(room, big.NewRat(4, 1)).Cmp(band) < 0 {
			r.add(Guard, file, line, fmt.Sprintf("%s is guarded, and instrument %s of base visit %s (U = %s %s) leaves less than a quarter of its band from %s to %s",
				name, i.id, i.visit, decimal(u), baseUnit(r, unit.Quantity), text(limit, "min"), text(limit, "max")),
				"ask for a finer instrument, widen the band, or decide it directly and say in a note who bears the risk")
		}
	}
}

// instrument is one of a base visit with what it states for a quantity.
type instrument struct {
	visit, id, quantity string
	uncertainty         *big.Rat // expanded, brought to k = 2; in the base unit, or per cent of the reading
	percent             bool
}

// instruments are those of the base visits that state an uncertainty.
func (r *reviewer) instruments() ([]instrument, error) {
	var out []instrument
	names, err := fs.Glob(r.files, "examples/base/*.json")
	if err != nil {
		return nil, err
	}
	for _, file := range names {
		data, err := fs.ReadFile(r.files, file)
		if err != nil {
			return nil, fmt.Errorf("reading base visit: %w", err)
		}
		dec := json.NewDecoder(strings.NewReader(string(data)))
		dec.UseNumber()
		var doc map[string]any
		if err := dec.Decode(&doc); err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		base := strings.TrimSuffix(path.Base(file), ".json")
		list, _ := object(doc[base])["instruments"].([]any)
		for _, v := range list {
			measures, _ := object(v)["measures"].([]any)
			for _, m := range measures {
				i := instrument{visit: base, id: text(v, "id"), quantity: text(m, "quantity"), percent: text(m, "uncertainty_as") == "percent"}
				if unit, ok := r.set.Unit(text(m, "unit")); ok {
					i.quantity = unit.Quantity // as limits name it
				}
				k, hasK := new(big.Rat).SetString(text(m, "k"))
				u, ok := r.base(text(m, "uncertainty"), text(m, "unit"), true)
				if i.percent {
					u, ok = new(big.Rat).SetString(text(m, "uncertainty"))
				}
				if !ok || !hasK || k.Sign() == 0 {
					continue
				}
				i.uncertainty = u.Mul(u, new(big.Rat).Quo(big.NewRat(2, 1), k))
				out = append(out, i)
			}
		}
	}
	return out, nil
}

// base is a value in the base unit of its quantity; of a difference without the
// unit's own zero.
func (r *reviewer) base(value, code string, difference bool) (*big.Rat, bool) {
	v, ok := new(big.Rat).SetString(value)
	unit, known := r.set.Unit(code)
	num, okNum := new(big.Rat).SetString(unit.Num)
	den, okDen := new(big.Rat).SetString(unit.Den)
	add, okAdd := new(big.Rat).SetString(unit.Add)
	if !ok || !known || !okNum || !okDen || !okAdd || den.Sign() == 0 {
		return nil, false
	}
	v.Mul(v, num).Quo(v, den)
	if !difference {
		v.Add(v, add)
	}
	return v, true
}

// baseUnit is the code of the base unit of a quantity.
func baseUnit(r *reviewer, quantity string) string {
	for _, code := range slices.Sorted(maps.Keys(object(r.set.Data()["units"]))) {
		if u, _ := r.set.Unit(code); u.Quantity == quantity && u.Num == u.Den && u.Add == "0" {
			return code
		}
	}
	return ""
}

func decimal(r *big.Rat) string {
	return strings.TrimRight(strings.TrimRight(r.FloatString(9), "0"), ".")
}
