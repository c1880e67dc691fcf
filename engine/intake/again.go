package intake

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/archive"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/stream"
)

// Again tells of a visit that was judged again, or should have been.
type Again struct {
	Visit string
	// Why says what changed.
	Why string
	// Was and Is are the entries of the two verdicts. They are the same one where
	// the verdict came out as it was.
	Was, Is archive.Entry
	// Not says why it could not be judged again; empty where it was.
	Not string
}

// keeper keeps an archive in keeping with itself.
type keeper struct {
	archive *archive.Archive
	decoder *record.Decoder
	rules   *stream.Rules
	// news are the visits that were added, by the machine whose visits they change,
	// each with what was done to it.
	news map[string]map[string]string
}

// note takes down what an addition may change.
func (k *keeper) note(ctx context.Context, added archive.Added) error {
	if added.Already {
		// An earlier run may have ended before the rest was judged again.
		k.touch(added.Entry.Serial)
		return nil
	}
	what := "was handed in"
	if added.Entry.Kind == archive.Correction {
		what = "was corrected"
		v, err := k.archive.Visit(ctx, added.Entry.Visit)
		if err != nil {
			return err
		}
		for _, e := range v.Entries {
			if e.Record == added.Entry.Corrects && e.Serial != "" {
				k.touch(e.Serial)[added.Entry.Visit] = what
			}
		}
	}
	k.touch(added.Entry.Serial)[added.Entry.Visit] = what
	return nil
}

func (k *keeper) touch(serial string) map[string]string {
	if k.news == nil {
		k.news = map[string]map[string]string{}
	}
	if k.news[serial] == nil {
		k.news[serial] = map[string]string{}
	}
	return k.news[serial]
}

// again judges again what must be, machine by machine, and tells of it.
func (k *keeper) again(ctx context.Context, tell func(Again) error) error {
	whole := context.WithoutCancel(ctx) // a visit that was begun is finished
	for _, serial := range slices.Sorted(maps.Keys(k.news)) {
		visits, err := k.archive.Machine(whole, serial)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(visits, judgedByComparison) {
			continue
		}
		m, err := archive.LoadMachine(whole, k.archive, k.decoder, serial)
		if err != nil {
			return err
		}
		for _, v := range m.Visits {
			if ctx.Err() != nil {
				return stream.ErrInterrupted
			}
			a, ok, err := k.visit(whole, m, v)
			if err != nil {
				return err
			}
			if !ok {
				continue
			}
			if err := tell(a); err != nil {
				return err
			}
		}
	}
	return nil
}

// judgedByComparison tells whether it is known what a visit was compared with when it was
// judged.
func judgedByComparison(v archive.Visit) bool {
	judged, ok := v.Verdict()
	return ok && judged.Compared != ""
}

// visit judges one visit again if what it is compared with has changed.
func (k *keeper) visit(ctx context.Context, m *archive.Machine, v archive.Visit) (a Again, ok bool, err error) {
	rec := m.Record(v.ID)
	if rec == nil || !judgedByComparison(v) {
		return a, false, nil
	}
	was, _ := v.Verdict()
	earlier, redacted := m.Earlier(rec)
	compared, err := archive.Compared(earlier)
	if err != nil || compared == was.Compared {
		return a, false, err
	}
	a = Again{Visit: v.ID, Why: k.why(m, v), Was: was, Is: was}
	if len(redacted) > 0 {
		// What was taken away for a reason must not change what was judged with it.
		a.Not = fmt.Sprintf("visit %s, which came before it, was redacted", strings.Join(redacted, ", "))
		return a, true, nil
	}
	j, err := k.rules.Recorded(ctx, *was.Release)
	if err != nil {
		a.Not = err.Error()
		return a, true, nil
	}
	concessions, err := Concessions(ctx, k.archive, was)
	if err != nil {
		return a, false, err
	}
	found, err := j.Judge(ctx, judge.Case{Record: rec, Earlier: earlier, Received: v.Standing().Received, Concessions: concessions})
	if err != nil {
		return a, false, err
	}
	kept, err := written(found, concessions)
	if err != nil {
		return a, false, err
	}
	added, err := k.archive.AddVerdict(ctx, archive.Judgement{Verdict: found, Concessions: kept, Compared: compared, Why: a.Why})
	a.Is = added.Entry
	return a, true, err
}

// why says what changed for a visit, as far as it was in this run.
func (k *keeper) why(m *archive.Machine, v archive.Visit) string {
	var said []string
	news := k.news[v.Standing().Serial]
	for _, id := range slices.Sorted(maps.Keys(news)) {
		if id == v.ID {
			continue
		}
		if r := m.Record(id); r != nil && r.Ended().After(m.Record(v.ID).Started()) {
			continue
		}
		said = append(said, fmt.Sprintf("visit %s %s", id, news[id]))
	}
	if len(said) == 0 {
		return "what it is compared with has changed since it was judged"
	}
	return strings.Join(said, ", ") + " after it was judged"
}

// Concessions reads those that the verdict of an entry was reached with.
func Concessions(ctx context.Context, from archive.Source, of archive.Entry) ([]judge.Concession, error) {
	var out []judge.Concession
	for _, digest := range of.Concessions {
		data, err := from.Bytes(ctx, digest)
		if err != nil {
			return nil, err
		}
		var c judge.Concession
		if err := json.Unmarshal(data, &c); err != nil {
			return nil, fmt.Errorf("reading concession %s of visit %q: %w", digest, of.Visit, err)
		}
		out = append(out, c)
	}
	return out, nil
}
