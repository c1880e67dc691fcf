package archive

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/workshop"
)

// Proven is what a proof shows.
type Proven struct {
	Visit      string           `json:"visit,omitempty"`
	Entries    []ShownEntry     `json:"entries,omitempty"`
	Files      []ProvenFile     `json:"files,omitempty"`
	Old        *ShownCheckpoint `json:"old,omitempty"`
	Checkpoint ShownCheckpoint  `json:"checkpoint"`
}

// ProvenFile is a file that is one of those the entries name.
type ProvenFile struct {
	File  string `json:"file"`
	Entry int64  `json:"entry"`
	As    string `json:"as"` // record or verdict
}

// ShownCheckpoint is a checkpoint for people and programs.
type ShownCheckpoint struct {
	Origin   string   `json:"origin"`
	Entries  int64    `json:"entries"`
	Hash     string   `json:"hash"`
	SignedBy []string `json:"signed_by"`
}

// NewProven is what a proof shows; files are those that were held against it.
func NewProven(p archive.Proven, files []ProvenFile) Proven {
	out := Proven{Visit: p.Visit, Files: files, Checkpoint: NewCheckpoint(p.Checkpoint)}
	for _, e := range p.Entries {
		out.Entries = append(out.Entries, ShownEntry{e.Index, e})
	}
	if p.Old != nil {
		old := NewCheckpoint(*p.Old)
		out.Old = &old
	}
	return out
}

// NewCheckpoint is a checkpoint as it is shown.
func NewCheckpoint(c archive.Checkpoint) ShownCheckpoint {
	return ShownCheckpoint{Origin: c.Origin, Entries: c.Size, Hash: c.Hash.String(), SignedBy: append([]string{}, c.SignedBy...)}
}

// Page puts on a page what the proof shows.
func (s Proven) Page(p *workshop.Page) {
	if s.Old != nil {
		p.Title(fmt.Sprintf("The first %s are unchanged", lines.Count(int(s.Old.Entries), "entry", "entries")))
		p.Heading("old checkpoint")
		p.Pairs(s.Old.pairs()...)
	} else {
		p.Title(fmt.Sprintf("%s about visit %s: in the archive", lines.Count(len(s.Entries), "entry", "entries"), s.Visit))
	}
	p.Heading("checkpoint")
	p.Pairs(s.Checkpoint.pairs()...)
	for _, e := range s.Entries {
		p.Heading(fmt.Sprintf("entry %d: %s", e.Index, heading(e.Entry)))
		p.Pairs(details(e.Entry)...)
	}
	var files []string
	for _, f := range s.Files {
		files = append(files, fmt.Sprintf("%s is the %s of entry %d", f.File, f.As, f.Entry))
	}
	if len(files) > 0 {
		p.Heading("files")
	}
	p.Items(files...)
}

func (c ShownCheckpoint) pairs() [][2]string {
	by := strings.Join(c.SignedBy, ", ")
	if by == "" {
		by = "nobody whose key was given: hold it against one known otherwise"
	}
	return [][2]string{
		{"of", c.Origin}, {"entries", strconv.FormatInt(c.Entries, 10)}, {"head", c.Hash}, {"signed by", by},
	}
}
