package intake

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"slices"
	"sync"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// machinesHeld is how many machines are held with their visits at a time.
const machinesHeld = 32

// Options say how visits are handed in. Archive, Decoder and Rules must be set.
type Options struct {
	// Options are those of judging. Its History and Compare are not looked at.
	stream.Options
	Archive *archive.Archive
	// Correction is there where the one visit handed in corrects another version.
	Correction *archive.Change
}

// Check judges items as [stream.Run] does, each against what the archive and the
// items before it have of its machine, and archives each visit with its verdict
// before it is told of. A visit that is there already is judged as received then.
// At the end it judges again what must be, and tells again of it.
func Check(ctx context.Context, items iter.Seq[record.Item], opt Options, emit func(stream.Result) error, again func(Again) error) error {
	c := &check{
		opt:     opt,
		keeper:  keeper{archive: opt.Archive, decoder: opt.Decoder, rules: opt.Rules},
		pending: map[string]*record.Record{},
		held:    map[string]*archive.Machine{},
	}
	run := opt.Options
	run.Compare = c.compare
	// What was judged is kept and told, though the run was interrupted.
	whole := context.WithoutCancel(ctx)
	ran := stream.Run(ctx, items, run, func(r stream.Result) error {
		if r.Verdict != nil {
			problems, err := c.keep(whole, r)
			if err != nil {
				return err
			}
			if problems != nil {
				r = stream.Result{Problems: problems}
			}
		}
		return emit(r)
	})
	if ran != nil && !errors.Is(ran, stream.ErrInterrupted) {
		return ran
	}
	return errors.Join(ran, c.again(ctx, again))
}

// check is one run.
type check struct {
	opt Options
	keeper

	mu      sync.Mutex
	pending map[string]*record.Record // compared, and not archived yet, by visit id

	// Of the goroutine that compares.
	held  map[string]*archive.Machine // by serial
	order []string                    // of held, the oldest first
}

func (c *check) receipt() archive.Receipt {
	return archive.Receipt{Received: c.opt.Received, Correction: c.opt.Correction}
}

// compare finds what a record is judged with, or refuses it.
func (c *check) compare(ctx context.Context, rec *record.Record) (stream.Comparison, error) {
	c.mu.Lock()
	before := c.pending[rec.ID()]
	c.mu.Unlock()
	if before != nil && before.Digest() != rec.Digest() {
		return stream.Comparison{}, refused(rec, "", &archive.Refusal{
			Message: fmt.Sprintf("another record with the id %q stands before it in the input, and its bytes differ", rec.ID()),
			Mend:    "keep the one that is right, or hand the other in by itself, as a correction",
		})
	}
	with := stream.Comparison{Received: c.opt.Received}
	v, already, err := c.opt.Archive.Fits(ctx, rec, c.receipt())
	if err != nil {
		return with, refused(rec, "", err)
	}
	if already {
		with.Received = v.Standing().Received
	}
	m, err := c.machine(ctx, rec.Serial())
	if err != nil {
		return with, err
	}
	with.Earlier, _ = m.Earlier(rec)
	c.mu.Lock()
	c.pending[rec.ID()] = rec
	c.mu.Unlock()
	for serial, m := range c.held {
		if serial == rec.Serial() {
			m.Put(rec)
		} else {
			m.Drop(rec.ID()) // as of another machine, if a correction says so
		}
	}
	return with, nil
}

// machine is the visits of a machine: those archived, and those that will be.
func (c *check) machine(ctx context.Context, serial string) (*archive.Machine, error) {
	if m := c.held[serial]; m != nil {
		return m, nil
	}
	c.mu.Lock()
	var pending []*record.Record
	for _, rec := range c.pending {
		pending = append(pending, rec)
	}
	c.mu.Unlock()
	// What is archived from here on was pending, or is in what is read.
	m, err := archive.LoadMachine(ctx, c.opt.Archive, c.opt.Decoder, serial)
	if err != nil {
		return nil, err
	}
	for _, rec := range pending {
		m.Drop(rec.ID())
		if rec.Serial() == serial {
			m.Put(rec)
		}
	}
	if len(c.order) == machinesHeld {
		delete(c.held, c.order[0])
		c.order = slices.Delete(c.order, 0, 1)
	}
	c.held[serial], c.order = m, append(c.order, serial)
	return m, nil
}

// keep archives a visit and its verdict, together. Problems say why it was
// refused, as by another process that handed in the same id meanwhile.
func (c *check) keep(ctx context.Context, r stream.Result) (record.Problems, error) {
	compared, err := archive.Compared(r.Earlier)
	if err != nil {
		return nil, err
	}
	concessions, err := written(r.Verdict, c.opt.Concessions)
	if err != nil {
		return nil, err
	}
	var added archive.Added
	err = c.opt.Archive.Do(ctx, func(b *archive.Batch) (err error) {
		if added, err = b.Add(r.Record, c.receipt()); err != nil {
			return err
		}
		_, err = b.AddVerdict(archive.Judgement{Verdict: r.Verdict, Concessions: concessions, Compared: compared, Why: "it was handed in again and checked"})
		return err
	})
	c.mu.Lock()
	delete(c.pending, r.Record.ID())
	c.mu.Unlock()
	if err != nil {
		err = refused(r.Record, r.Source, err)
		var problems record.Problems
		if errors.As(err, &problems) {
			return problems, nil
		}
		return nil, err
	}
	return nil, c.note(ctx, added)
}

// written is the documents of the concessions that a verdict speaks of.
func written(v *verdict.Verdict, concessions []judge.Concession) ([][]byte, error) {
	spoken := map[string]bool{}
	for _, o := range v.Outcomes {
		spoken[o.ConcededBy] = true
	}
	for _, i := range v.Ignored {
		spoken[i.ID] = true
	}
	var out [][]byte
	for _, c := range concessions {
		if !spoken[c.ID] {
			continue
		}
		data, err := verdict.Canonical(c)
		if err != nil {
			return nil, fmt.Errorf("writing concession %q: %w", c.ID, err)
		}
		out = append(out, data)
	}
	return out, nil
}

// refused puts a refusal of the archive into the form of what is wrong with a
// record. Other errors stay what they are.
func refused(rec *record.Record, source string, err error) error {
	var r *archive.Refusal
	if !errors.As(err, &r) {
		return err
	}
	const id = "/id"
	line, column, _ := rec.Position(id)
	return record.Problems{{Source: source, Line: line, Column: column, Pointer: id, Message: r.Message, Mend: r.Mend}}
}
