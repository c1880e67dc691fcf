// Package stream takes visits from bytes to verdicts, several at a time and one
// after the other in the order they were handed in.
//
// Start at [Run]. Records are decoded and compared with earlier ones in input
// order, judged by several workers, and told of in input order again. A record
// that is refused does not stop the others; a faulty rule set stops the run once
// all that was judged before it has been told. What is held at a time is bounded
// by the number of workers and of machines, never by that of visits.
//
// The package reads no flag and prints nothing.
package stream

import (
	"context"
	"errors"
	"fmt"
	"iter"

	"golang.org/x/sync/errgroup"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// windowPerWorker is how many records a worker may be ahead of the one that is
// told next. A record that takes long then keeps none idle for a while.
const windowPerWorker = 4

// Options say how records are judged. Decoder and Rules must be set.
type Options struct {
	Decoder *record.Decoder
	Rules   *Rules
	// History is what visits are compared with; each record of the run is added
	// to it once it was compared. Nil for none before the first.
	History *history.Tracker
	// Compare, where it is set, says in the place of History what a record is
	// compared with. It is called for each record in input order. An error of type
	// [record.Problems] refuses the record, and need not name its source; any other
	// ends the run.
	Compare func(context.Context, *record.Record) (Comparison, error)
	// Received is when the records were received (RFC 3339); empty if nobody said.
	Received string
	// Concessions are looked through for each visit.
	Concessions []judge.Concession
	// Sheets asks for the sheet of each visit too.
	Sheets bool
	// Workers is how many visits are judged at a time; one if zero or less.
	Workers int
}

// Comparison is what one record is judged with.
type Comparison struct {
	Earlier history.Earlier
	// Received is when the record was received; empty if nobody said.
	Received string
}

// Result is what came of one item of the input: a verdict, or what is wrong with
// the record. Exactly one of the two is there.
type Result struct {
	Verdict  *verdict.Verdict
	Problems record.Problems
	// Sheet is there beside a verdict if it was asked for.
	Sheet *sheet.Sheet
	// Record is what the verdict is of, and Source the path it was read from.
	Record *record.Record
	Source string
	// Earlier is what it was compared with.
	Earlier history.Earlier
}

// ErrInterrupted is the error of [Run] where its context was cancelled before
// the input ended.
var ErrInterrupted = errors.New("interrupted")

// Run judges the items and tells of each, in order, from the goroutine that
// called it. An error of emit ends the run and is returned. When ctx is
// cancelled no more records are taken; those that were begun are finished and
// told, then the error is [ErrInterrupted]. A source that never answers cannot
// be interrupted in Go: the goroutine that reads it is then left waiting.
func Run(ctx context.Context, items iter.Seq[record.Item], opt Options, emit func(Result) error) error {
	workers := max(opt.Workers, 1)
	if opt.History == nil {
		opt.History = &history.Tracker{}
	}
	r := &run{
		opt:   opt,
		slots: make(chan *slot, windowPerWorker*workers),
		stop:  make(chan struct{}),
	}
	feed := make(chan record.Item)
	go read(items, feed, r.stop)
	interrupted := make(chan bool, 1)
	go func() {
		interrupted <- r.dispatch(ctx, feed, workers)
	}()
	err := r.tell(emit)
	close(r.stop)
	for range r.slots { // lets the dispatcher go if it waits for room
	}
	if err == nil && <-interrupted {
		return ErrInterrupted
	}
	return err
}

// run is one run.
type run struct {
	opt   Options
	slots chan *slot    // in input order
	stop  chan struct{} // closed when no more is wanted
}

// slot is where a worker leaves what came of one record.
type slot struct {
	done   chan struct{} // closed when the rest is set
	result Result
	err    error // the rule set is at fault
}

// read hands on items until no more are wanted. It alone waits for their source.
func read(items iter.Seq[record.Item], feed chan<- record.Item, stop <-chan struct{}) {
	defer close(feed)
	for item := range items {
		select {
		case feed <- item:
		case <-stop:
			return
		}
	}
}

// dispatch gives each item a slot and a worker. It reports whether it was
// interrupted before the input ended.
func (r *run) dispatch(ctx context.Context, feed <-chan record.Item, workers int) (interrupted bool) {
	defer close(r.slots)
	var group errgroup.Group
	group.SetLimit(workers)
	// The workers send nothing; their slots are closed one by one.
	defer func() { _ = group.Wait() }()
	for {
		if ctx.Err() != nil {
			return true
		}
		select {
		case <-ctx.Done():
			return true
		case <-r.stop:
			return false
		case item, ok := <-feed:
			if !ok {
				return false
			}
			s := &slot{done: make(chan struct{})}
			select {
			case r.slots <- s:
			case <-r.stop:
				return false
			}
			c, day, problems, err := r.prepare(context.WithoutCancel(ctx), item)
			if c.Record == nil {
				s.result.Problems, s.err = problems, err
				close(s.done)
				continue
			}
			group.Go(func() error {
				defer close(s.done)
				// A visit that was begun is finished, so that what is told has no gaps.
				s.result, s.err = r.judge(context.WithoutCancel(ctx), item, c, day)
				return nil
			})
		}
	}
}

// prepare decodes an item and finds what it is compared with. Both happen in
// input order: history depends on it.
func (r *run) prepare(ctx context.Context, item record.Item) (c judge.Case, day string, problems record.Problems, err error) {
	rec, err := decode(r.opt.Decoder, item)
	if err == nil {
		c, err = r.compare(ctx, rec)
	}
	if err != nil {
		if errors.As(err, &problems) {
			for i := range problems {
				problems[i].Source = item.Source
			}
			return judge.Case{}, "", problems, nil
		}
		return judge.Case{}, "", nil, err
	}
	c.Record, c.Concessions = rec, r.opt.Concessions
	return c, rec.LocalDay(), nil, nil
}

// compare finds what a record is judged with.
func (r *run) compare(ctx context.Context, rec *record.Record) (judge.Case, error) {
	if r.opt.Compare == nil {
		c := judge.Case{Earlier: r.opt.History.Earlier(rec), Received: r.opt.Received}
		r.opt.History.Add(rec)
		return c, nil
	}
	with, err := r.opt.Compare(ctx, rec)
	return judge.Case{Earlier: with.Earlier, Received: with.Received}, err
}

// judge judges one record by the rules for its day.
func (r *run) judge(ctx context.Context, item record.Item, c judge.Case, day string) (Result, error) {
	j, err := r.opt.Rules.on(ctx, day)
	var none *notInForce
	if errors.As(err, &none) {
		return Result{Problems: record.Problems{noRules(item, c.Record, day)}}, nil
	}
	if err != nil {
		return Result{}, err
	}
	result := Result{Record: c.Record, Source: item.Source, Earlier: c.Earlier}
	if r.opt.Sheets {
		result.Verdict, result.Sheet, err = j.JudgeWithSheet(ctx, c)
	} else {
		result.Verdict, err = j.Judge(ctx, c)
	}
	if err != nil {
		return Result{}, fmt.Errorf("%s: line %d: %w", item.Source, item.FirstLine, err)
	}
	return result, nil
}

// tell emits results in input order, until there are no more or one is an error.
func (r *run) tell(emit func(Result) error) error {
	for s := range r.slots {
		<-s.done
		if s.err != nil {
			return s.err
		}
		if err := emit(s.result); err != nil {
			return err
		}
	}
	return nil
}

// Load adds earlier records to a history without judging them. Refused ones are
// told of and passed over. An error of refused ends it and is returned. It is
// interrupted as [Run] is.
func Load(ctx context.Context, items iter.Seq[record.Item], decoder *record.Decoder, into *history.Tracker, refused func(record.Problems) error) error {
	return Each(ctx, items, func(item record.Item) error {
		rec, err := decode(decoder, item)
		var problems record.Problems
		switch {
		case errors.As(err, &problems):
			return refused(problems)
		case err != nil:
			return err
		}
		into.Add(rec)
		return nil
	})
}

// Each hands items to do, one after the other, until there are no more or one is
// an error, which is returned. It is interrupted as [Run] is, even while it waits
// for an item.
func Each(ctx context.Context, items iter.Seq[record.Item], do func(record.Item) error) error {
	feed, stop := make(chan record.Item), make(chan struct{})
	defer close(stop)
	go read(items, feed, stop)
	for {
		if ctx.Err() != nil {
			return ErrInterrupted
		}
		select {
		case <-ctx.Done():
			return ErrInterrupted
		case item, ok := <-feed:
			if !ok {
				return nil
			}
			if err := do(item); err != nil {
				return err
			}
		}
	}
}

func decode(decoder *record.Decoder, item record.Item) (*record.Record, error) {
	if item.Err != nil {
		return nil, item.Err
	}
	return decoder.Decode(item.Source, item.FirstLine, item.Data)
}

// noRules is what is wrong with a record of a day on which no release was in
// force.
func noRules(item record.Item, rec *record.Record, day string) record.Problem {
	const started = "/started"
	line, column, _ := rec.Position(started)
	return record.Problem{
		Source: item.Source, Line: line, Column: column, Pointer: started,
		Message: fmt.Sprintf("no release of the rules was in force on %s, the day it started", day),
		Mend:    "correct the day, or name the release to judge by",
	}
}
