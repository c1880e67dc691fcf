package saved

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/stream"
	"github.com/visitgauge/visitgauge/engine/verdict"
)

// Sheets makes the sheets of saved verdicts, from the records they were judged
// from and by the release that judged them. It holds where each record stands,
// and the records of one machine at a time.
type Sheets struct {
	Records *Records
	Decoder *record.Decoder
	Rules   *stream.Rules

	machines map[string][]string // digests by serial, in the order added
	serial   string              // of the machine whose records are held
	held     []*record.Record
}

// A Missing error says why there is no sheet of a verdict. The verdict can be
// told of without.
type Missing struct {
	// What is not at hand, in a few words.
	What string
	Err  error // nil where What says it all
}

// Error says what is missing, and why.
func (e *Missing) Error() string {
	if e.Err == nil {
		return e.What
	}
	return e.What + ": " + e.Err.Error()
}

// Unwrap is what reading it ended with.
func (e *Missing) Unwrap() error { return e.Err }

// Add notes where the record of an item stands, and of which machine it is. What
// is no record is returned as an error of type [record.Problems].
func (s *Sheets) Add(item record.Item) error {
	if err := s.Records.Add(item); err != nil {
		return err
	}
	rec, err := s.Decoder.Decode(item.Source, item.FirstLine, item.Data)
	if err != nil {
		return err
	}
	if s.machines == nil {
		s.machines = map[string][]string{}
	}
	if of := s.machines[rec.Serial()]; !slices.Contains(of, rec.Digest()) {
		s.machines[rec.Serial()] = append(of, rec.Digest())
	}
	return nil
}

// Of makes the sheet of a verdict. An error of type *[Missing] says what is not
// at hand: the release, or earlier visits that the verdict names. Nothing is then
// laid out, lest the sheet compares with other visits than the verdict does.
func (s *Sheets) Of(ctx context.Context, v *verdict.Verdict, found Found) (*sheet.Sheet, error) {
	rec, err := s.Decoder.Decode(found.Source, 1, found.Data)
	var ps record.Problems
	if errors.As(err, &ps) {
		return nil, &Missing{What: "the record in its form of today", Err: err}
	}
	if err != nil {
		return nil, err
	}
	j, err := s.Rules.Recorded(ctx, v.Release)
	if err != nil {
		return nil, &Missing{What: "the release", Err: err}
	}
	earlier, err := s.earlier(rec, v)
	if err != nil {
		return nil, err
	}
	return j.Sheet(ctx, judge.Case{Record: rec, Earlier: earlier, Received: v.Received})
}

// earlier is what the verdict says the record was compared with.
func (s *Sheets) earlier(rec *record.Record, v *verdict.Verdict) (history.Earlier, error) {
	machine, err := s.machine(rec.Serial())
	if err != nil {
		return history.Earlier{}, err
	}
	named := map[string]string{} // digest by visit
	for _, e := range v.Earlier {
		named[e.Visit] = e.Digest
	}
	stands := map[string]int{} // index in visits, by id
	var visits []*record.Record
	for _, r := range machine {
		i, twice := stands[r.ID()]
		switch {
		case !twice:
			stands[r.ID()] = len(visits)
			visits = append(visits, r)
		case visits[i].Digest() != named[r.ID()]:
			visits[i] = r // the one handed in last corrects it, unless the verdict names another
		}
	}
	earlier := history.Choose(rec, visits)
	var now []verdict.Earlier
	for _, slot := range earlier.Slots() {
		now = append(now, verdict.Earlier{Slot: slot.Name, Level: slot.Level, Visit: slot.Visit.ID(), Digest: slot.Visit.Digest()})
	}
	for _, e := range v.Earlier {
		if !slices.Contains(now, e) {
			return earlier, &Missing{What: fmt.Sprintf("visit %s, which it was compared with", e.Visit)}
		}
	}
	if len(now) != len(v.Earlier) {
		return earlier, &Missing{What: "a verdict that compares with all earlier visits that are"}
	}
	return earlier, nil
}

// machine are the records of a machine. They are kept until another is asked for.
func (s *Sheets) machine(serial string) ([]*record.Record, error) {
	if s.serial == serial && s.held != nil {
		return s.held, nil
	}
	s.serial, s.held = serial, nil
	for _, digest := range s.machines[serial] {
		found, err := s.Records.read(digest)
		if err != nil {
			return nil, err
		}
		rec, err := s.Decoder.Decode(found.Source, 1, found.Data)
		if err != nil {
			return nil, fmt.Errorf("reading record %s again: %w", digest, err)
		}
		s.held = append(s.held, rec)
	}
	return s.held, nil
}
