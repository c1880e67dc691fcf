package mutation

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// move is a number of the release that rules hold readings against, and what it is
// moved to. A limit whose bounds are alike is one number and moved as one.
type move struct {
	Change
	paths [][]string  // below data
	plain json.Number // as written
	to    json.Number
}

// moves lists what numbers are moved to: every bound of limits.yaml, and every
// number of a class, a step to either side. A step is the number's own place where
// the row gives one, else its last digit as written.
func moves(release fs.FS) ([]move, error) {
	files := []string{"limits.yaml"}
	classes, err := fs.Glob(release, "classes/*.yaml")
	if err != nil {
		return nil, err
	}
	slices.Sort(classes)
	var all []move
	for _, file := range append(files, classes...) {
		data, err := fs.ReadFile(release, file)
		if err != nil {
			return nil, fmt.Errorf("reading numbers: %w", err)
		}
		var doc yaml.Node
		if err := yaml.Unmarshal(data, &doc); err != nil {
			return nil, fmt.Errorf("reading %s: %w", file, err)
		}
		if len(doc.Content) == 0 {
			continue
		}
		r := numberReader{file: file}
		if strings.HasPrefix(file, "classes/") {
			r.under = []string{"classes"}
		}
		r.walk(doc.Content[0], nil, strings.Join(r.under, ""))
		if r.err != nil {
			return nil, r.err
		}
		all = append(all, r.moves...)
	}
	return all, nil
}

type numberReader struct {
	file  string
	under []string // where the file stands below data
	moves []move
	err   error
}

// place is the key of the decimal place that a row's numbers are held to; it is no
// limit itself.
const place = "place"

// walk reads all rows below a node; label is what people call it.
func (r *numberReader) walk(n *yaml.Node, at []string, label string) {
	switch n.Kind {
	case yaml.SequenceNode:
		for i, e := range n.Content {
			r.walk(e, append(slices.Clone(at), strconv.Itoa(i)), label+"["+nameOf(e, i)+"]")
		}
	case yaml.MappingNode:
		r.row(n, at, label)
	}
}

// nameOf is what an element of a list is called: by its first word, so that it
// keeps its name when others are put before it.
func nameOf(n *yaml.Node, i int) string {
	if n.Kind == yaml.MappingNode && len(n.Content) > 1 && n.Content[1].ShortTag() == "!!str" {
		return n.Content[1].Value
	}
	return strconv.Itoa(i)
}

// row moves the numbers of one mapping.
func (r *numberReader) row(n *yaml.Node, at []string, label string) {
	values := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		values[n.Content[i].Value] = n.Content[i+1]
	}
	step := ""
	if p := values[place]; p != nil {
		step = p.Value
	}
	least, most := values["min"], values["max"]
	one := least != nil && most != nil && least.Value == most.Value
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, v := n.Content[i].Value, n.Content[i+1]
		here := append(slices.Clone(at), key)
		switch {
		case v.Kind != yaml.ScalarNode:
			r.walk(v, here, strings.TrimPrefix(label+"."+key, "."))
		case v.ShortTag() != "!!int" && v.ShortTag() != "!!float", v.Style != 0, key == place:
		case one && key == "max":
		case one && key == "min":
			r.number(v, label, "min and max", step, here, append(slices.Clone(at), "max"))
		default:
			r.number(v, label, key, step, here)
		}
	}
}

// number moves one number to either side.
func (r *numberReader) number(n *yaml.Node, label, name, step string, paths ...[]string) {
	value, ok := new(big.Rat).SetString(n.Value)
	if !ok {
		r.err = fmt.Errorf("reading %s: line %d: %q is no number", r.file, n.Line, n.Value)
		return
	}
	by, ok := new(big.Rat).SetString(step)
	if !ok || by.Sign() <= 0 {
		by = lastDigit(n.Value)
	}
	whole := func(p []string) []string { return append(slices.Clone(r.under), p...) }
	var full [][]string
	for _, p := range paths {
		full = append(full, whole(p))
	}
	for _, to := range []*big.Rat{new(big.Rat).Sub(value, by), new(big.Rat).Add(value, by)} {
		text := decimal(to)
		r.moves = append(r.moves, move{
			Change: Change{
				Kind: Limit, File: r.file, Line: n.Line, Rule: label,
				Text: name + ": " + n.Value, What: "moved to " + text,
			},
			paths: full, plain: json.Number(n.Value), to: json.Number(text),
		})
	}
}

// lastDigit is one of the last digit that a number is written with.
func lastDigit(text string) *big.Rat {
	_, decimals, _ := strings.Cut(text, ".")
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(len(decimals))), nil)
	return new(big.Rat).SetFrac(big.NewInt(1), ten)
}

// decimal writes a number that has a finite decimal, without zeros at its end.
func decimal(r *big.Rat) string {
	n, _ := r.FloatPrec()
	return r.FloatString(n)
}
