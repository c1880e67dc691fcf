package replay

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/intake"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// ReproductionSchema names the form of a [Reproduction] as JSON.
const ReproductionSchema = "reproduction/1"

// Reproduction says whether recorded verdicts come out again, byte for byte. As JSON
// it is the document of schema reproduction/1; lists are never null.
type Reproduction struct {
	Schema   string    `json:"schema"` // [ReproductionSchema]
	Selected Selection `json:"selected"`
	// Visits were selected; Same of their verdicts came out again.
	Visits int `json:"visits"`
	Same   int `json:"same"`
	// By are the releases that verdicts were reached by again.
	By []Used `json:"by"`
	// Differ are the verdicts that came out otherwise, by visit.
	Differ []Differing `json:"differ"`
	// NotReached are the visits of which no verdict could be reached, by visit.
	NotReached []NotJudged `json:"not_reached"`
}

// Proven tells whether every verdict came out again.
func (r *Reproduction) Proven() bool { return r.Same == r.Visits }

// Differing is a verdict that came out otherwise.
type Differing struct {
	Visit   string `json:"visit"`
	Release string `json:"release"`
	Was     string `json:"was"` // digest of the archived verdict
	Is      string `json:"is"`  // digest of what came out
	// What says what differs, in words.
	What string `json:"what"`
}

// Reproduce judges visits again, each by the release that its latest verdict names,
// with the concessions and the time of receipt that it was judged with, and holds what
// comes out against the bytes in the archive. Of the options From, Select, Decoder,
// Workers and Progress are looked at. No cache is.
func Reproduce(ctx context.Context, opt Options, editions *Editions) (*Reproduction, error) {
	r := &reproducer{from: opt.From, editions: editions, by: map[*Edition]int{}}
	if err := eachMachine(ctx, opt.From, opt.Decoder, opt.Select, opt.Workers, opt.Progress, r); err != nil {
		return nil, err
	}
	out := &Reproduction{Schema: ReproductionSchema, Selected: opt.Select, Same: r.same, By: []Used{},
		Differ: append([]Differing{}, r.differ...), NotReached: append([]NotJudged{}, r.missed...)}
	out.Visits = out.Same + len(out.Differ) + len(out.NotReached)
	for e, n := range r.by {
		out.By = append(out.By, Used{Release: e.release(), Visits: n})
	}
	slices.SortFunc(out.By, compareUsed)
	slices.SortFunc(out.Differ, func(a, b Differing) int { return cmp.Compare(a.Visit, b.Visit) })
	slices.SortFunc(out.NotReached, func(a, b NotJudged) int { return cmp.Compare(a.Visit, b.Visit) })
	return out, nil
}

type reproducer struct {
	from     archive.Source
	editions *Editions

	mu     sync.Mutex
	same   int
	by     map[*Edition]int
	differ []Differing
	missed []NotJudged
}

func (r *reproducer) not(n NotJudged) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.missed = append(r.missed, n)
}

func (r *reproducer) gone(context.Context, archive.Visit) error { return nil }

func (r *reproducer) visit(ctx context.Context, o one) error {
	e, err := r.editions.Recorded(ctx, o.visit)
	var missing *Missing
	if errors.As(err, &missing) {
		r.not(NotJudged{Visit: o.visit.ID, Why: missing.Why, What: missing.What})
		return nil
	}
	if err != nil {
		return err
	}
	entry, _ := o.visit.Verdict()
	if entry.Compared != o.compared && len(o.redacted) > 0 {
		r.not(NotJudged{Visit: o.visit.ID, Why: Redacted,
			What: fmt.Sprintf("it was judged with visit %s, redacted since", strings.Join(o.redacted, ", "))})
		return nil
	}
	concessions, err := intake.Concessions(ctx, r.from, entry)
	if err != nil {
		return err
	}
	was, err := r.from.Bytes(ctx, entry.Verdict)
	if err != nil {
		return err
	}
	j, err := e.judge()
	if err != nil {
		return err
	}
	c := o.instance()
	c.Concessions = concessions
	now, err := j.Judge(ctx, c)
	if err != nil {
		return err
	}
	is, err := verdict.Encode(now)
	if err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.by[e]++
	if bytes.Equal(was, is) {
		r.same++
		return nil
	}
	r.differ = append(r.differ, Differing{Visit: o.visit.ID, Release: e.side.Name, Was: entry.Verdict, Is: record.Digest(is), What: unlike(was, now, entry.Compared != o.compared)})
	return nil
}

// unlike says in words how a verdict differs from the archived one.
func unlike(was []byte, now *verdict.Verdict, compared bool) string {
	var said []string
	if compared {
		said = append(said, "the visits that it is compared with are others than when it was judged")
	}
	old, err := readVerdict(was)
	if err != nil {
		return strings.Join(append(said, "the archived one cannot be read: "+err.Error()), "; ")
	}
	f := &found{Old: answers(old), New: answers(now)}
	f.differ(old, now)
	if f.Old != f.New {
		said = append(said, fmt.Sprintf("it was %s, %s, %s and is %s, %s, %s", f.Old.Acceptance, f.Old.Serviceability, f.Old.Completion,
			f.New.Acceptance, f.New.Serviceability, f.New.Completion))
	}
	for _, o := range f.Outcomes {
		said = append(said, fmt.Sprintf("%s of %s was %s and is %s", o.Rule, o.Subject, o.Old.Answer(), o.New.Answer()))
		break // the first shows what kind of difference it is
	}
	if n := len(f.Outcomes); n > 1 {
		said = append(said, fmt.Sprintf("%d more outcomes differ", n-1))
	}
	if len(f.Outcomes) == 0 && f.Old == f.New {
		said = append(said, "answers and findings are the same, other bytes are not")
	}
	return strings.Join(said, "; ")
}
