package probe

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/visitgauge/visitgauge/engine/history"
	"github.com/visitgauge/visitgauge/engine/judge"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/ruleset"
	"github.com/visitgauge/visitgauge/schema"
)

const (
	gravityRule = "condition.battery.full_charge_gravity"
	torqueRule  = "condition.battery.post_torque"
	voltageRule = "condition.battery.block_voltage"
)

// release and native are loaded once: they are read only, and take seconds.
var (
	release = sync.OnceValues(func() (*ruleset.Set, error) { return load(false) })
	native  = sync.OnceValues(func() (*ruleset.Set, error) { return load(true) })
)

func load(native bool) (*ruleset.Set, error) {
	return ruleset.Load(context.Background(), os.DirFS("../../policies/1.0.0"), ruleset.Options{Native: native})
}

// newProbe probes the visit V-0111 of the demo by the first release.
func newProbe(t *testing.T, rules ...string) *Probe {
	t.Helper()
	set, err := release()
	if err != nil {
		t.Fatal(err)
	}
	visit, err := schema.Compile("visit")
	if err != nil {
		t.Fatal(err)
	}
	decoder := record.NewDecoder(visit, record.Limits{})
	data, err := os.ReadFile("../../testdata/demo/V-0111.json")
	if err != nil {
		t.Fatal(err)
	}
	rec, err := decoder.Decode("V-0111.json", 1, data)
	if err != nil {
		t.Fatal(err)
	}
	answering, err := native()
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(t.Context(), set, decoder, judge.Case{Record: rec}, Options{Rules: rules, Workers: 2, Native: answering})
	if err != nil {
		t.Fatal(err)
	}
	if p.plan == nil {
		t.Error("the rules were not planned")
	}
	return p
}

// probed probes one number by its pointer.
func probed(t *testing.T, p *Probe, pointer string) *Number {
	t.Helper()
	all := leaves(p.of.Record)
	i := slices.IndexFunc(all, func(l leaf) bool { return l.pointer() == pointer })
	if i < 0 {
		t.Fatalf("the record has no %s", pointer)
	}
	n, err := p.number(t.Context(), all[i], all)
	if err != nil {
		t.Fatal(err)
	}
	if n == nil {
		t.Fatalf("%s is not probed", pointer)
	}
	return n
}

func told(n *Number) string {
	var lines []string
	for _, t := range n.Turns {
		lines = append(lines, fmt.Sprintf("%s: %s %s %s; %s", strings.Join(t.Subjects, ", "), t.To, t.Side, t.At, t.With))
	}
	return strings.Join(lines, "\n")
}

// The values are worked out by hand. A full charge reads 1.260 at 80 °F, and 0.0004 is
// taken off for each degree under it (0.004 per 10 °F, TM 5-1185, table IV): read at
// 76 °F it takes 1.2616. The hydrometer of the visit reads from 1.100 to 1.300.
func TestGravityAtItsTemperature(t *testing.T) {
	p := newProbe(t, gravityRule)
	n := probed(t, p, "/battery/cells/6/gravity/as_found/value")
	want := strings.Join([]string{
		"cell B3.1: nonconforming (major) below 1.2616; temperature 76 °F",
		"cell B3.1: indeterminate (evidence) below 1.1000; temperature 76 °F",
		"cell B3.1: indeterminate (evidence) above 1.3000; temperature 76 °F",
	}, "\n")
	if told(n) != want {
		t.Errorf("got\n%s\nwant\n%s", told(n), want)
	}
	if n.Place != "cell B3.1 gravity as found" || n.Value != "1.270" || n.Unit != "sg" || n.Step != "0.0001" {
		t.Errorf("got %+v", n)
	}
}

// A bolted terminal takes 90 to 100 in·lbf, rounded half to even to a whole number (the
// rounding method of ASTM E29): 89.5 becomes 90, 100.5 becomes 100. Both ends of the
// band are found, and what the wrench's range makes of values beyond.
func TestTorqueIsABand(t *testing.T) {
	p := newProbe(t, torqueRule)
	n := probed(t, p, "/battery/posts/0/torque/as_found/value")
	var sides []string
	for _, turn := range n.Turns {
		if strings.HasPrefix(turn.From, "conforming") && strings.HasPrefix(turn.To, "nonconforming") {
			sides = append(sides, turn.Side+" "+turn.At)
		}
	}
	if n.Unit != "in.lbf" {
		t.Fatalf("the torque is in %s", n.Unit)
	}
	method, _ := p.of.Record.Text("/battery/posts/0/torque/as_found/method")
	want := []string{"below 89.5", "above 100.5"}
	if method != "read" {
		want = want[1:] // a joint that held at a low value may be tighter
	}
	if !slices.Equal(sides, want) {
		t.Errorf("by %s it turns %v, want %v; all: \n%s", method, sides, want, told(n))
	}
}

// TestTurnsAreTrue decodes the record with the value at each turn and with the next
// one, and has the rule judge both alone.
func TestTurnsAreTrue(t *testing.T) {
	p := newProbe(t, gravityRule, torqueRule, voltageRule)
	all := leaves(p.of.Record)
	checked := 0
	for _, at := range []string{
		"/battery/cells/3/gravity/as_found/value", "/battery/blocks/1/temperature/as_found/value",
		"/battery/posts/3/torque/as_found/value", "/battery/off_charge_and_load/value", "/battery/last_watered/charges_since",
	} {
		n := probed(t, p, at)
		l := all[slices.IndexFunc(all, func(l leaf) bool { return l.pointer() == at })]
		g, err := p.gridOf(l, all)
		if err != nil {
			t.Fatal(err)
		}
		for _, turn := range n.Turns {
			multiple, ok := g.multiple(turn.At)
			if !ok {
				t.Fatalf("%s is off the grid", turn.At)
			}
			beyond := multiple + 1
			if turn.Side == "below" {
				beyond = multiple - 1
			}
			for value, want := range map[int64]string{multiple: turn.From, beyond: turn.To} {
				rec, err := p.altered(l, json.Number(g.text(value)), false)
				if err != nil || rec == nil {
					t.Fatalf("%s: %s is refused: %v", at, g.text(value), err)
				}
				single, err := judge.NewSingle(t.Context(), p.set, turn.Rule)
				if err != nil {
					t.Fatal(err)
				}
				answer, err := single.Judge(t.Context(), judge.Case{Record: rec}, nil)
				if err != nil {
					t.Fatal(err)
				}
				got := answers{}
				for _, o := range answer.Outcomes {
					got[o.Subject] = word(o)
				}
				for _, subject := range turn.Subjects {
					checked++
					if got.of(subject) != want {
						t.Errorf("%s = %s: %s is %s, want %s", at, g.text(value), subject, got.of(subject), want)
					}
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("only %d turns were looked at", checked)
	}
}

// TestAnsweredInAnyWay: where the outcomes of a few rules turn is the same whether a plan
// with native functions answers, a plan without, or OPA's evaluator.
func TestAnsweredInAnyWay(t *testing.T) {
	p := newProbe(t, torqueRule, voltageRule)
	var found [3][]Number
	for i := range found {
		if i > 0 {
			p.partial = map[string]func() (*judge.Partial, error){}
			p.plan = nil
		}
		if i == 1 {
			var err error
			if p.plan, err = judge.NewPlanned(t.Context(), p.set, p.opt.Rules); err != nil {
				t.Fatal(err)
			}
		}
		var err error
		if found[i], err = p.Numbers(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	if len(found[0]) == 0 {
		t.Fatal("no number was probed")
	}
	for i := 1; i < len(found); i++ {
		if !reflect.DeepEqual(found[i], found[0]) {
			t.Errorf("way %d:\n%+v\nand by a plan with native functions:\n%+v", i, found[i], found[0])
		}
	}
}

func TestWholeNumbersStayWhole(t *testing.T) {
	p := newProbe(t, gravityRule)
	n := probed(t, p, "/battery/last_watered/charges_since")
	if n.Step != "1" {
		t.Errorf("a count is searched in steps of %s", n.Step)
	}
	if !strings.Contains(told(n), "below 1;") {
		t.Errorf("no charge since watering does not turn anything:\n%s", told(n))
	}
}

// TestFields looks at fields of each kind.
func TestFields(t *testing.T) {
	p := newProbe(t)
	p.opt.Earlier = func(*record.Record) history.Earlier { return history.Earlier{} }
	all := leaves(p.of.Record)
	for pointer, want := range map[string][2]Effect{
		"/battery/cells/6/gravity/as_found/value": {Refused, Changes},
		"/battery/cells/6/gravity/as_found/unit":  {Refused, Refused}, // gravity has one unit
		"/battery/charge/end_shown_by":            {Refused, Changes},
		"/instruments/0/certificate":              {Refused, Nothing},
		"/battery/gravity_at":                     {Changes, Changes},
		"/note":                                   {Nothing, Nothing},
		"/site/id":                                {Refused, Nothing},
		"/started":                                {Refused, Changes},
	} {
		i := slices.IndexFunc(all, func(l leaf) bool { return l.pointer() == pointer })
		if i < 0 {
			t.Errorf("the record has no %s", pointer)
			continue
		}
		f, err := p.field(t.Context(), all[i])
		if err != nil {
			t.Fatal(err)
		}
		if f.Removed != want[0] || f.Changed != want[1] {
			t.Errorf("%s: taken out it %s, changed it %s (%v); want %v", pointer, f.Removed, f.Changed, f.Rules, want)
		}
		if (want[0] == Changes || want[1] == Changes) != (len(f.Rules) > 0) {
			t.Errorf("%s: the rules are %v", pointer, f.Rules)
		}
	}
}

// TestWhatNoRuleReadsChangesNothing holds what is known of the rules from their text to
// what they answer: all of them are asked about the record without each field that none
// is known to read, and with others in its place.
func TestWhatNoRuleReadsChangesNothing(t *testing.T) {
	p := newProbe(t)
	tried := 0
	seen := map[string]bool{}
	for _, l := range leaves(p.of.Record) {
		if len(p.readers(l)) > 0 || slices.Contains(chooses, l.pointer()) || seen[l.path.String()] {
			continue
		}
		seen[l.path.String()] = true
		var records []*record.Record
		without, err := p.altered(l, nil, true)
		if err != nil {
			t.Fatal(err)
		}
		if without != nil {
			records = append(records, without)
		}
		for _, value := range p.others(l) {
			rec, err := p.altered(l, value, false)
			if err != nil {
				t.Fatal(err)
			}
			if rec != nil && len(records) < 2 { // each asks the whole release
				records = append(records, rec)
			}
		}
		for _, rec := range records {
			doc, err := judge.NewDocument(judge.Case{Record: rec})
			if err != nil {
				t.Fatal(err)
			}
			got, err := p.ask(t.Context(), p.opt.Rules, doc)
			if err != nil {
				t.Fatal(err)
			}
			tried++
			for rule, a := range got {
				if !a.equal(p.before[rule]) {
					t.Errorf("%s is read by no rule, yet %s answers otherwise", l.pointer(), rule)
				}
			}
		}
	}
	if tried < 20 {
		t.Errorf("only %d records were tried", tried)
	}
}

func TestUnknownRule(t *testing.T) {
	set, err := ruleset.Load(t.Context(), os.DirFS("../ruleset/testdata/small"), ruleset.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := judge.NewPartial(t.Context(), set, nil, []string{"condition.battery.nothing"}); err == nil || !strings.Contains(err.Error(), "no rule") {
		t.Errorf("got %v", err)
	}
}

// TestAround: a third of the distance is what a band must have at least to be met.
func TestAround(t *testing.T) {
	g := grid{decimals: 1, low: 0, high: 2000}
	tried := g.around(600, true, []int64{950, 3000, -5})
	for _, want := range []int64{0, 2000, 600, 950} {
		if !slices.Contains(tried, want) {
			t.Errorf("%d is not tried", want)
		}
	}
	if tried[0] != 0 || tried[len(tried)-1] != 2000 || !slices.IsSorted(tried) {
		t.Errorf("what is tried is out of order or of bounds: %v", tried)
	}
	for distance := int64(10); distance < 900; distance++ {
		low, high := 600+distance, 600+distance+distance/2
		if !slices.ContainsFunc(tried, func(n int64) bool { return low <= n && n <= high }) {
			t.Errorf("a band from %d to %d is not met", low, high)
		}
	}
}

func TestGridText(t *testing.T) {
	g := grid{decimals: 4}
	for text, n := range map[string]int64{"1.2572": 12572, "-0.0030": -30, "0.0001": 1, "12.0000": 120000} {
		if got, ok := g.multiple(text); !ok || got != n || g.text(n) != text {
			t.Errorf("%s is %d, written %s", text, got, g.text(n))
		}
	}
	for _, text := range []string{"1.25721", "99999999999"} {
		if n, ok := g.multiple(text); ok {
			t.Errorf("%s is taken for %d", text, n)
		}
	}
	if got := (grid{}).text(-7); got != "-7" {
		t.Errorf("a whole number is written %s", got)
	}
}
