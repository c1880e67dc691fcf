package compare_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/visitgauge/visitgauge/engine/compare"
	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/engine/turn"
)

const (
	limits       = "limits.yaml"
	steps        = "steps.yaml"
	classOne     = "classes/one.yaml"
	gravityRule  = "condition/battery/full_charge_gravity.rego"
	stepsRule    = "procedure/record/steps_recorded.rego"
	closingRule  = "procedure/closing/conditions_judged.rego"
	gravity      = "condition.battery.full_charge_gravity"
	recorded     = "procedure.record.steps_recorded"
	gravityTests = "examples/condition/battery/full_charge_gravity.yaml"
)

// TestLevels changes one thing at a time and looks for what is said of it: the
// level, a reason for it, and what the rule named became.
func TestLevels(t *testing.T) {
	tests := []struct {
		name      string
		edits     []edit
		level     compare.Level
		because   string // part of a reason of that level; empty for none
		rule      string
		direction string
		kinds     string
	}{
		{
			name:  "nothing",
			level: compare.None,
		},
		{
			name: "comments, layout and order",
			edits: []edit{
				{gravityRule, "limit := exact.nano", "# limit is the least.\nlimit := exact.nano"},
				{gravityRule, "state(value) := \"in\" if exact.nano(value) >= limit\n\nstate(value) := \"out\" if exact.nano(value) < limit\n",
					"state(value) := \"out\" if {\n\texact.nano(value) < limit\n}\n\n\nstate(value) := \"in\" if exact.nano(value) >= limit\n"},
				{limits, "min: 1.260", "min: 1.26   # the same number"},
				{stepsRule, "import data.shared.visit\n", "import data.shared.exact\nimport data.shared.visit\n\nunread := exact.nano(1)\n"},
				{stepsRule, "import data.shared.exact\nimport data.shared.visit\n\nunread := exact.nano(1)\n", "import data.shared.visit\n"},
			},
			level: compare.None,
		},
		{
			name:  "a title",
			edits: []edit{{gravityRule, "# title: Each cell reads", "# title: Every cell reads"}},
			level: compare.Patch, because: "full_charge_gravity is worded anew",
			rule: gravity, direction: turn.None, kinds: "wording",
		},
		{
			name:  "the title of a limit",
			edits: []edit{{limits, "gravity of a full charge", "least gravity of a full charge"}},
			level: compare.Patch, because: "limit battery.full_charge_gravity is worded anew",
		},
		{
			name:  "what a text is filled with",
			edits: []edit{{gravityRule, "/gravity/as_found", "/gravity/as_left"}},
			level: compare.Patch, because: "full_charge_gravity is worded anew",
			rule: gravity, direction: turn.None, kinds: "facts",
		},
		{
			name:  "a limit lowered",
			edits: []edit{{limits, "min: 1.260", "min: 1.255"}},
			level: compare.Minor, because: `cell B1.1 turns from nonconforming, major to conforming in the example "one thousandth under it"`,
			rule: gravity, direction: turn.Looser,
		},
		{
			name:  "a limit raised",
			edits: []edit{{limits, "min: 1.260", "min: 1.262"}},
			level: compare.Major, because: `cell B1.1 turns from conforming to nonconforming, major in the example "exactly on the limit"`,
			rule: gravity, direction: turn.Stricter,
		},
		{
			name:  "more asked by a minor rule",
			edits: []edit{{stepsRule, `s.left == "sound"`, `s.left == "sound"` + "\n\ts.found == \"sound\"\n\ts.power == \"isolated\""}},
			level: compare.Minor, because: "step sign turns from conforming to indeterminate (evidence), minor",
			rule: recorded, direction: turn.Stricter, kinds: "logic",
		},
		{
			name:  "a graver severity",
			edits: []edit{{gravityRule, "severity: major", "severity: critical"}, {gravityRule, "concession: lead", "concession: never"}, {closingRule, `severity == "major"`, `severity == "critical"`}},
			level: compare.Major, because: "is critical now, not major",
			rule: gravity, direction: turn.Stricter, kinds: "concession severity",
		},
		{
			name:  "a milder severity",
			edits: []edit{{gravityRule, "severity: major", "severity: minor"}, {closingRule, `severity == "major"`, `severity == "minor"`}},
			level: compare.Minor, because: "is minor now, not major",
			rule: gravity, direction: turn.Looser, kinds: "severity",
		},
		{
			name:  "a concession that the customer must agree to",
			edits: []edit{{gravityRule, "concession: lead", "concession: lead-and-customer"}},
			level: compare.Major, because: "granted by lead-and-customer now",
			rule: gravity, direction: turn.None, kinds: "concession",
		},
		{
			name:  "somebody else's work",
			edits: []edit{{gravityRule, "who: technician", "who: specialist"}},
			level: compare.Minor, because: "who is specialist now",
			rule: gravity, direction: turn.None, kinds: "who",
		},
		{
			name: "a step made mandatory",
			edits: []edit{
				{steps, "  sign:", "  wipe: {title: \"Wipe\", order: 15, area: close, power: key-off, severity: major, may_skip: []}\n  sign:"},
				{classOne, "steps: [cell-gravity, sign]", "steps: [cell-gravity, wipe, sign]"},
			},
			level: compare.Major, because: "step wipe turns from not asked to indeterminate (evidence), major",
			rule: recorded, direction: turn.Stricter,
		},
		{
			name:  "a step that weighs more",
			edits: []edit{{steps, "power: key-off, severity: minor", "power: key-off, severity: critical"}},
			level: compare.Major, because: "step sign is critical if left defective, not minor",
		},
		{
			name:  "a step that weighs less",
			edits: []edit{{steps, "power: isolated, severity: major", "power: isolated, severity: minor"}},
			level: compare.Minor, because: "step cell-gravity is another",
		},
		{
			name:  "a reason less to leave a step undone",
			edits: []edit{{steps, "may_skip: [not-reached]", "may_skip: []"}},
			level: compare.Major, because: "step cell-gravity may no longer be left undone for not-reached",
		},
		{
			name:  "a reason more to leave a step undone",
			edits: []edit{{steps, "may_skip: []", "may_skip: [no-time]"}},
			level: compare.Minor, because: "step sign is another",
		},
		{
			name:  "a step that needs another power",
			edits: []edit{{steps, "power: key-off", "power: isolated"}},
			level: compare.Major, because: "step sign needs the power isolated, not key-off",
		},
		{
			name:  "a step that any power will do for",
			edits: []edit{{steps, "power: key-off", "power: either"}},
			level: compare.Minor, because: "step sign is another",
		},
		{
			name:  "a step that must come after another",
			edits: []edit{{classOne, "after: sign}", "after: sign}\n    - {before: sign, after: cell-gravity}"}},
			level: compare.Major, because: "class one: precedence has {after: cell-gravity, before: sign} now",
		},
		{
			name:  "a step that may come before another",
			edits: []edit{{classOne, "precedence:\n    - {before: cell-gravity, after: sign}", "precedence: []"}},
			level: compare.Minor, because: "class one is another",
		},
		{
			name:  "another terminal",
			edits: []edit{{classOne, "terminal: bolted", "terminal: stud"}},
			level: compare.Major, because: "class one: battery.terminal is stud now, not bolted",
		},
		{
			name:  "another number of a class that no example shows",
			edits: []edit{{classOne, "capacity: 200", "capacity: 190"}},
			level: compare.Minor, because: "class one is another",
		},
		{
			name:  "a limit decided more strictly",
			edits: []edit{{limits, "decided: direct", "decided: guarded"}},
			level: compare.Major, because: "limit battery.full_charge_gravity is decided guarded, not direct",
		},
		{
			name:  "a limit decided less strictly",
			edits: []edit{{limits, "decided: direct", "decided: rounded"}},
			level: compare.Minor, because: "limit battery.full_charge_gravity is another",
		},
		{
			name:  "a class that is gone",
			edits: []edit{{"classes/two.yaml", "", ""}},
			level: compare.Major, because: "class two is gone",
		},
		{
			name:  "another way to the same answer",
			edits: []edit{{gravityRule, "exact.nano(value) >= limit", "limit <= exact.nano(value)"}},
			level: compare.Minor, because: "full_charge_gravity asks in another way",
			rule: gravity, direction: turn.None, kinds: "logic",
		},
		{
			name:  "a helper that answers otherwise",
			edits: []edit{{"shared/followup.rego", "some f in input.visit.follow_ups\n", "some f in input.visit.follow_ups\n\tf.severity == \"critical\"\n"}},
			level: compare.Minor, because: "helper shared.followup.followed_up is another",
			rule: "procedure.closing.conditions_judged", direction: turn.None,
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			d := compared(t, test.edits...)
			if d.Level != test.level || d.Differs() != (test.level != compare.None) {
				t.Errorf("the change is %s, differs: %t; want %s", d.Level, d.Differs(), test.level)
			}
			given := test.because == ""
			for _, r := range d.Because {
				given = given || r.Level == test.level && strings.Contains(r.What, test.because)
			}
			if !given || test.because == "" && len(d.Because) > 0 {
				t.Errorf("the reasons are %v, want %q among them", d.Because, test.because)
			}
			for _, r := range d.Changed {
				if r.Name != test.rule {
					continue
				}
				if r.Effect.Direction != test.direction || strings.Join(r.Kinds, " ") != test.kinds {
					t.Errorf("%s: %s, %q (%+v); want %s, %q", r.Name, r.Effect.Direction, r.Kinds, r, test.direction, test.kinds)
				}
				if r.Effect.Examples == 0 {
					t.Errorf("%s was tried on no example", r.Name)
				}
				return
			}
			if test.rule != "" {
				t.Errorf("%s is not among the rules that differ: %+v", test.rule, d.Changed)
			}
		})
	}
}

// TestAddedAndDropped compares with a release that has a rule more, both ways.
func TestAddedAndDropped(t *testing.T) {
	const name = "procedure.record.signed"
	source := string(small(t)[stepsRule].Data)
	for _, severity := range []string{"minor", "major"} {
		rule := strings.NewReplacer("severity: minor", "severity: "+severity, "package procedure.record.steps_recorded", "package "+name,
			`severity[concat(" ", ["step", s])] := data.steps[s].severity if some s, _ in data.steps`, "").Replace(source)
		files := edited(t, edit{"procedure/record/signed.rego", "", rule})
		old, now := side(t, "1.0.0", small(t)), side(t, "1.1.0", files)
		d, err := compare.Compare(t.Context(), old, now, compare.Options{Decoder: decoder(t)})
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]compare.Level{"minor": compare.Minor, "major": compare.Major}[severity]
		if len(d.Added) != 1 || d.Added[0].Name != name || d.Level != want {
			t.Errorf("a new %s rule: added %v, %s, want %s", severity, d.Added, d.Level, want)
		}
		back, err := compare.Compare(t.Context(), now, old, compare.Options{Decoder: decoder(t)})
		if err != nil {
			t.Fatal(err)
		}
		if len(back.Dropped) != 1 || back.Dropped[0].Name != name || back.Level != compare.Minor {
			t.Errorf("a %s rule dropped: %v, %s, want minor", severity, back.Dropped, back.Level)
		}
	}
}

// TestUnits converts a unit otherwise, which no example shows.
func TestUnits(t *testing.T) {
	kelvin := func(num string) edit {
		row := `K: {quantity: temperature, num: ` + num + `, den: 5, add: 0, symbol: "K", ucum: "K", name: kelvin, source: invented}`
		return edit{"units.yaml", "  degF:", "  " + row + "\n  degF:"}
	}
	d, err := compare.Compare(t.Context(), side(t, "1.0.0", edited(t, kelvin("9"))), side(t, "1.1.0", edited(t, kelvin("8"))), compare.Options{Decoder: decoder(t)})
	if err != nil {
		t.Fatal(err)
	}
	if want := (compare.Reason{Level: compare.Major, What: "unit K: num is 8 now, not 9"}); d.Level != compare.Major || !slices.Contains(d.Because, want) {
		t.Errorf("the change is %s, because %v", d.Level, d.Because)
	}
}

// TestLimits reads what is said of a limit that was moved.
func TestLimits(t *testing.T) {
	d := compared(t, edit{limits, "min: 1.260", "min: 1.255"}, edit{gravityTests, "to: 1.259", "to: 1.254"})
	if len(d.Limits) != 1 {
		t.Fatalf("limits %+v", d.Limits)
	}
	l := d.Limits[0]
	if l.Name != "battery.full_charge_gravity" || l.Change != compare.Changed || l.Unit != "sg" ||
		len(l.Fields) != 1 || l.Fields[0] != (compare.Field{Field: "min", Old: "1.260", New: "1.255"}) {
		t.Errorf("got %+v", l)
	}
	if len(l.Rules) != 2 || l.Rules[0] != gravity || l.Rules[1] != "procedure.closing.conditions_judged" {
		t.Errorf("read by %q", l.Rules)
	}
	// The step before the limit is another example in each release, and both count.
	if d.Examples != (compare.ExampleCount{Changed: 1}) {
		t.Errorf("examples: %+v", d.Examples)
	}
	for _, r := range d.Changed {
		if r.Name == gravity && (r.Effect.Examples != 6 || r.Effect.Outcomes != 18) {
			t.Errorf("tried on %d examples, %d outcomes; want 6 and 18", r.Effect.Examples, r.Effect.Outcomes)
		}
	}
	if d.Tried.Same != 1 || d.Tried.Rules != 2 {
		t.Errorf("tried %+v; the rule on steps reads no limit", d.Tried)
	}
}

// TestVisits judges visits by both, the second with the first before it, and one
// file that is no record.
func TestVisits(t *testing.T) {
	var one struct {
		One json.RawMessage `json:"one"`
	}
	if err := json.Unmarshal(small(t)["examples/base/one.json"].Data, &one); err != nil {
		t.Fatal(err)
	}
	visit := func(id, gravity string) record.Item {
		text := strings.Replace(string(one.One), `"id": "V-1"`, `"id": "`+id+`"`, 1)
		return record.Item{Source: id, FirstLine: 1, Data: []byte(strings.Replace(text, "1.265", gravity, 1))}
	}
	items := func(yield func(record.Item) bool) {
		for _, item := range []record.Item{visit("V-1", "1.265"), {Source: "x", FirstLine: 1, Data: []byte("{}")}, visit("V-2", "1.260")} {
			if !yield(item) {
				return
			}
		}
	}
	d, err := compare.Compare(t.Context(), side(t, "1.0.0", small(t)), side(t, "2.0.0", edited(t, edit{limits, "min: 1.260", "min: 1.262"})),
		compare.Options{Decoder: decoder(t), Visits: items})
	if err != nil {
		t.Fatal(err)
	}
	v := d.Visits
	if v.Judged != 2 || v.Refused != 1 || len(v.Changed) != 1 {
		t.Fatalf("got %+v", v)
	}
	want := compare.VisitChange{Visit: "V-2", Machine: "M-1", OldAcceptance: "accepted", NewAcceptance: "accepted", OldServiceability: "serviceable", NewServiceability: "undetermined"}
	if v.Changed[0] != want {
		t.Errorf("got %+v, want %+v", v.Changed[0], want)
	}
	if len(v.Turned) != 2 || v.Turned[0].Rule != gravity || v.Turned[0].Count != 1 || v.Turned[0].First != "V-2: cell B1.1" {
		t.Errorf("turned %+v", v.Turned)
	}
	if d.Level != compare.Major {
		t.Errorf("the change is %s", d.Level)
	}
}

func TestSteps(t *testing.T) {
	for _, test := range []struct {
		from, to string
		step     compare.Level
	}{
		{"1.0.0", "1.0.1", compare.Patch}, {"1.9.0", "1.10.0", compare.Minor}, {"1.2.3", "2.0.0", compare.Major}, {"1.0.0", "1.0.0", compare.None},
	} {
		if got := compare.Step(test.from, test.to); got != test.step {
			t.Errorf("from %s to %s is %s, want %s", test.from, test.to, got, test.step)
		}
	}
	for l, next := range map[compare.Level]string{compare.None: "1.2.4", compare.Patch: "1.2.4", compare.Minor: "1.3.0", compare.Major: "2.0.0"} {
		if got := compare.Next("1.2.3", l); got != next {
			t.Errorf("next for %s: %s, want %s", l, got, next)
		}
		if !compare.Step("1.2.3", next).Covers(l) {
			t.Errorf("%s does not cover %s", next, l)
		}
	}
	if compare.Minor.Covers(compare.Major) || !compare.Major.Covers(compare.Patch) {
		t.Error("levels are not in order")
	}
}
