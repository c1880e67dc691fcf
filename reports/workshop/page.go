// Package workshop words what the commands for keepers of the rules found: lists
// and explanations of rules, findings of checks, tests and trials, comparisons.
//
// Start at [Render]: a result is written as JSON as it is, or laid out on a [Page],
// which becomes plain text or Markdown. Each command has a file here that puts its
// result on a page. The package finds nothing out and reads nothing but its
// arguments.
package workshop

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Format is a form in which a result is written.
type Format string

// The forms.
const (
	Text     Format = "text"     // for people, in lines of at most 80 characters
	Markdown Format = "markdown" // for people, to be sent on
	JSON     Format = "json"     // for programs, with an indent of two
)

// Render writes a result in a format. JSON is of result; text and Markdown are of
// what page lays out.
func Render(format Format, result any, page func(*Page)) ([]byte, error) {
	switch format {
	case JSON:
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(result); err != nil {
			return nil, fmt.Errorf("writing the result as JSON: %w", err)
		}
		return b.Bytes(), nil
	case Text, Markdown:
		p := &Page{}
		page(p)
		if format == Text {
			return p.text(), nil
		}
		return p.markdown(), nil
	}
	return nil, fmt.Errorf("writing the result: there is no format %q\nit is text, markdown or json", format)
}

// Page is a text for people, made of blocks. The zero value is an empty page.
type Page struct{ blocks []block }

// A block is one part of a page; of its fields, those its kind needs are set.
type block struct {
	kind  kind
	text  string
	items []string
	pairs [][2]string
	head  []string
	rows  [][]string
}

type kind int

const (
	title kind = iota
	heading
	name
	paragraph
	items
	pairs
	definitions
	table
	verbatim
)

// Title is the line at the top of a page or of a large part of it.
func (p *Page) Title(text string) { p.add(block{kind: title, text: text}) }

// Heading stands above a part of a page.
func (p *Page) Heading(text string) { p.add(block{kind: heading, text: text}) }

// Name stands above a part of a page as a heading does, with capitals as they are: what
// it names is spelt so.
func (p *Page) Name(text string) { p.add(block{kind: name, text: text}) }

// Paragraph is running text.
func (p *Page) Paragraph(text string) { p.add(block{kind: paragraph, text: text}) }

// Items is a list; no items are no block.
func (p *Page) Items(list ...string) {
	if len(list) > 0 {
		p.add(block{kind: items, items: list})
	}
}

// Pairs lists words with what they stand for; pairs with no second part are left
// out.
func (p *Page) Pairs(list ...[2]string) {
	var kept [][2]string
	for _, l := range list {
		if l[1] != "" {
			kept = append(kept, l)
		}
	}
	if len(kept) > 0 {
		p.add(block{kind: pairs, pairs: kept})
	}
}

// Definitions lists what may be long with what is said of it, each on lines of its
// own.
func (p *Page) Definitions(list ...[2]string) {
	if len(list) > 0 {
		p.add(block{kind: definitions, pairs: list})
	}
}

// Table has a head, whose length is that of every row. The last column is broken
// into lines where it does not fit.
func (p *Page) Table(head []string, rows [][]string) {
	if len(rows) > 0 {
		p.add(block{kind: table, head: head, rows: rows})
	}
}

// Verbatim is text that keeps its lines, of a file say.
func (p *Page) Verbatim(text string) { p.add(block{kind: verbatim, text: text}) }

func (p *Page) add(b block) { p.blocks = append(p.blocks, b) }
