package ruleset

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

const (
	gravityRule = "condition/battery/full_charge_gravity.rego"
	stepsRule   = "procedure/record/steps_recorded.rego"
	closingRule = "procedure/closing/conditions_judged.rego"
)

// A release is broken in one way; the loader must say where and how to mend it.
var broken = []struct {
	name           string
	file, old, new string // an edit; without old, the file is written anew
	at             string // what stands on the line that is blamed; "" where no line is
	says           string // part of the message
	mend           string // part of the mend
	in             string // the file that is blamed, if not the edited one; "-" for the release as a whole
}{
	// The language and its types.
	{"syntax error", gravityRule, "limit := exact", "limit := := exact", "limit := :=", "unexpected assign token", "correct the Rego", ""},
	{"empty rule file", gravityRule, "", "", "", "empty module", "", ""},
	{"misspelt field", gravityRule, "some c in input.visit.battery.cells\n\n", "some c in input.visit.battery.cels\n\n", "input.visit.battery.cels", "input.visit.battery.cels is not there", `did you mean "cells"?`, ""},
	{"misspelt field of an element", gravityRule, "not c.gravity.as_left", "not c.gravity.as_lft", "as_lft", "as_lft", `did you mean "as_left"?`, ""},
	{"misspelt limit", gravityRule, "battery.full_charge_gravity.min", "battery.full_charge_gravty.min", "gravty", "data.limits.battery.full_charge_gravty is not there", `did you mean "full_charge_gravity"?`, ""},
	{"a bound the limit has not", gravityRule, "data.limits.battery.full_charge_gravity.min", "data.limits.battery.full_charge_gravity.mean", ".mean", "mean", "max, min", ""},
	{"misspelt field of a class", gravityRule, "visit.class.battery.cells_each", "visit.class.battery.cels_each", "cels_each", "cels_each", `did you mean "cells_each"?`, ""},
	{"misspelt field of a step", stepsRule, "data.steps[s].severity", "data.steps[s].severty", "severty", "severty", `did you mean "severity"?`, ""},
	{"word that a field never holds", stepsRule, "s.left == \"sound\"", "s.left == \"sond\"", "sond", `no field "left" ever holds "sond"`, `did you mean "sound"?`, ""},
	{"word the other way about", stepsRule, "s.left == \"sound\"", "\"sond\" == s.left", "sond", `no field "left" ever holds "sond"`, `did you mean "sound"?`, ""},
	{"word among others", stepsRule, "s.left == \"sound\"", "s.left in {\"sound\", \"defectiv\"}", "defectiv", `no field "left" ever holds "defectiv"`, `did you mean "defective"?`, ""},
	{"word of a class", gravityRule, "visit.class.battery.type == \"flooded\"", "visit.class.battery.type == \"wet\"", "wet", `no field "type" ever holds "wet"`, "flooded, sealed", ""},
	{"text against a number", stepsRule, "s.left == \"sound\"", "s.left == \"sound\"\n\tinput.visit.id > 3", "visit.id > 3", `3 is a number, and no field "id" holds numbers`, "text with text", ""},
	{"number against text", gravityRule, "visit.class.battery.type == \"flooded\"", "visit.class.battery.cells_each > \"2\"", "cells_each", `"2" is text, and no field "cells_each" holds text`, "numbers with numbers", ""},
	{"unknown helper", gravityRule, ":= exact.nano", ":= exact.nanos", "nanos", "no function data.shared.exact.nanos", "spelling", ""},
	{"http.send", stepsRule, "s.left == \"sound\"", "http.send({\"method\": \"get\", \"url\": s.left}).status_code == 200", "http.send", "http.send is not allowed", "computes from input and data alone", ""},
	{"time.now_ns", stepsRule, "s.left == \"sound\"", "time.now_ns() > 0", "now_ns", "time.now_ns is not allowed", "clock", ""},
	{"rand.intn", stepsRule, "s.left == \"sound\"", "rand.intn(s.left, 2) == 1", "rand.intn", "rand.intn is not allowed", "random", ""},
	{"opa.runtime", stepsRule, "s.left == \"sound\"", "opa.runtime().env.HOME", "opa.runtime", "opa.runtime is not allowed", "machine", ""},
	{"unused variable", stepsRule, "s.left == \"sound\"", "s.left == \"sound\"\n\tx := 1", "x := 1", "assigned var x unused", "", ""},
	{"with", stepsRule, "s.left == \"sound\"", "s.left == \"sound\" with input as {}", "with input", "with is not allowed", "argument", ""},

	// Metadata.
	{"no metadata", stepsRule, "# METADATA\n", "#\n", "package ", "no metadata", "title, description", ""},
	{"undocumented rule", gravityRule, "# description: A cell that stays below it is not full, or is worn out.\n", "", "# METADATA", "no description", "why it matters", ""},
	{"no title", gravityRule, "# title: Each cell reads the gravity of a full charge\n", "", "# METADATA", "no title", "one line", ""},
	{"no source", stepsRule, "#   basis: common practice\n", "", "# METADATA", "no source", "related_resources", ""},
	{"source and basis", gravityRule, "#   severity: major", "#   basis: common practice\n#   severity: major", "basis: common", "sources and a basis", "keep one", ""},
	{"another basis", stepsRule, "basis: common practice", "basis: hearsay", "basis:", `"hearsay"`, CommonPractice, ""},
	{"no severity", gravityRule, "#   severity: major\n", "", "# METADATA", "no severity", "add severity", ""},
	{"unknown severity", gravityRule, "severity: major", "severity: grave", "severity:", `"grave"`, "critical, major, minor", ""},
	{"no says", stepsRule, "#   says: \"{subject} was left defective\"\n", "", "# METADATA", "no says", "add says", ""},
	{"no needs", gravityRule, "#   needs: a reading of {subject}\n", "", "# METADATA", "no needs", "add needs", ""},
	{"no remedy", gravityRule, "#   remedy: charge again, then measure again\n", "", "# METADATA", "no remedy", "add remedy", ""},
	{"nobody to do it", gravityRule, "#   who: technician\n", "", "# METADATA", "no who", "add who", ""},
	{"unknown who", gravityRule, "who: technician", "who: somebody", "who:", `"somebody"`, "technician, specialist", ""},
	{"no concession", gravityRule, "#   concession: lead\n", "", "# METADATA", "no concession", "add concession", ""},
	{"concession to a critical rule", gravityRule, "severity: major", "severity: critical", "concession:", "admits no concession", "never", ""},
	{"no since", gravityRule, "#   since: visit/1\n", "", "# METADATA", "no since", "add since", ""},
	{"since of no schema", gravityRule, "since: visit/1", "since: always", "since:", `"always"`, "visit/1", ""},
	{"misspelt custom member", gravityRule, "#   needs: a", "#   needs_sate: x\n#   needs: a", "needs_sate:", "no custom.needs_sate", `did you mean "needs_state"?`, ""},
	{"cautions that are no list", gravityRule, "cautions:\n#     - acid burns", "cautions: acid burns", "cautions:", "no list of texts", "dash", ""},
	{"text that is a number", gravityRule, "needs: a reading of {subject}", "needs: 5", "needs: 5", "custom.needs is no text", "quotes", ""},
	{"schema left out", gravityRule, "#   - data.limits: schema.limits\n", "", "# METADATA", "data.limits has the schema schema.limits", "data.classes: schema.classes", ""},
	{"schema left out of a helper", "shared/exact.rego", "#   - data.units: schema.units\n", "", "# METADATA", "data.units has the schema schema.units", "", ""},
	{"schema of its own", gravityRule, "#   - input: schema.input", "#   - input: {type: object}", "# METADATA", "a schema of its own", "schema.input", ""},
	{"schemas on one rule alone", gravityRule, "limit := exact", "# METADATA\n# schemas:\n#   - input: schema.input\nlimit := exact", "# METADATA", "apart from the package's metadata", "there alone", ""},
	{"open brace", gravityRule, "reading of {subject}", "reading of {subject", "needs:", "without a closing one", "{name}", ""},
	{"close brace", gravityRule, "reading of {subject}", "reading of subject}", "needs:", "without an opening one", "{name}", ""},
	{"placeholder with a blank", gravityRule, "reading of {subject}", "reading of {the subject}", "needs:", "no placeholder", "{name}", ""},
	{"placeholder of no fact", gravityRule, "reads {gravity}", "reads {gravty}", "says:", `no fact "gravty"`, "did you mean {gravity}?", ""},
	{"fact of no limit", gravityRule, `"limit": "battery.full_charge_gravity"`, `"limit": "battery.full_charge"`, `battery.full_charge"`, "battery.full_charge, bound min", "dotted path", ""},
	{"fact of no bound", gravityRule, `"bound": "min"`, `"bound": "least"`, `"least"`, "bound least", "min or max", ""},

	// The contract, and names that OPA leaves undefined.
	{"package of another name", gravityRule, "package condition.battery.full_charge_gravity", "package condition.battery.gravity", "package ", "the file's path says condition.battery.full_charge_gravity", "the same", ""},
	{"two packages of one name", stepsRule, "package procedure.record.steps_recorded", "package condition.battery.full_charge_gravity", "package ", "already that of " + gravityRule, "one file and one package", ""},
	{"no conforming", stepsRule, "conforming contains concat", "sound contains concat", "package ", "no conforming", "conforming contains", ""},
	{"subjects that are no set", stepsRule, "spared contains \"the machine was not available\"", "spared := \"the machine was not available\"", "spared :=", "spared is not written as the contract has it", "spared contains", ""},
	{"facts without a subject", gravityRule, "facts[s] contains {\"name\": \"limit\", \"limit\": \"battery.full_charge_gravity\", \"bound\": \"min\"} if some s in subjects", "facts contains {\"name\": \"limit\"}", "facts contains", "facts is not written", "facts[subject]", ""},
	{"misspelt optional part", gravityRule, "facts[s] contains", "too_clos contains s if some s in spared\n\nfacts[s] contains", "too_clos", "too_clos is used by nothing", `did you mean "too_close"?`, ""},
	{"misspelt set of another rule", closingRule, "count(data.condition[area][name].nonconforming - followup", "data.condition[area][name].nonconforming\n\tcount(data.condition.battery.full_charge_gravity.nonconformng - followup", "nonconformng", "nonconformng", `did you mean "nonconforming"?`, ""},
	{"misspelt area of another rule", closingRule, "count(data.condition[area][name].nonconforming -", "data.condition[area][name].nonconforming\n\tcount(data.condition.batery.full_charge_gravity.nonconforming -", "batery", "data.condition.batery is neither a rule nor data", "spelling", ""},
	{"misspelt set of any rule", closingRule, "data.condition[area][name].nonconforming", "data.condition[area][name].nonconformng", "nonconformng", "nonconformng", `did you mean "nonconforming"?`, ""},
	{"part that the rule has not", closingRule, "count(data.condition[area][name].nonconforming -", "data.condition[area][name].nonconforming\n\tcount(data.condition.battery.full_charge_gravity.too_close -", "too_close", "does not define too_close", "a part that it defines", ""},
	{"rules taken whole", closingRule, "asked := data.condition[area][name].subjects", "asked := data.condition[area][name]", "asked :=", "more of other rules", "<part>", ""},
	{"any part of any rule", closingRule, "asked := data.condition[area][name].subjects", "some part\n\tasked := data.condition[area][name][part]", "asked :=", "no part of a contract", "subjects", ""},
	{"data that is not there", stepsRule, "some s, _ in data.steps", "some s, _ in data.stages", "stages", "data.stages is neither a rule nor data", "", ""},
	{"data as a whole", stepsRule, "s.left == \"sound\"", "data[s.left]", "conforming contains", "may be recursive", "", ""},
	{"package in the place of a rule", gravityRule, "limit := exact.nano(data.limits.battery.full_charge_gravity.min)", "limit := count(data.shared.visit)", "data.shared.visit", "data.shared.visit is a package", "one rule", ""},
	{"misspelt field of the catalogue", closingRule, ".severity ==", ".severty ==", "severty", "severty", `did you mean "severity"?`, ""},
	{"catalogue taken whole", closingRule, "data.catalogue.rules[name].severity", "data.catalogue.rules[name]", "data.catalogue", "does not read one field", "severity", ""},
	{"field of an argument", gravityRule, "state(value) := \"in\" if exact.nano(value) >= limit", "state(value) := \"in\" if exact.nano(value.value) >= limit", "value.value", `"value" is read from a function's argument`, "body of a rule", ""},
	{"field of what an argument holds", gravityRule, "state(value) := \"in\" if exact.nano(value) >= limit", "state(value) := \"in\" if {\n\tsome r in value\n\tx := r\n\texact.nano(x.value) >= limit\n}", "x.value", `"value" is read from a function's argument`, "body of a rule", ""},
	{"object.get with a written key", stepsRule, "s.left == \"sound\"", "object.get(s, \"lef\", \"sound\") == \"sound\"", "object.get", `the key "lef"`, "directly", ""},
	{"object.get with a written path", gravityRule, "exact.nano(data.limits.battery.full_charge_gravity.min)", "exact.nano(object.get(data.limits, [\"battery\", \"gravity\"], 0))", "object.get", `the key ["battery", "gravity"]`, "directly", ""},
	{"spared by a set of another kind", stepsRule, "spared contains \"the machine was not available\" if input.visit.ended_as == \"not-available\"", "spared := {\"x\"}", "spared :=", "spared is not written as the contract has it", "spared contains", ""},
	{"subjects from the record", stepsRule, "some s in row.steps", "some s in row.steps\n\tsome done in input.visit.steps\n\tdone.step == s", "subjects contains", "subjects depends on input.visit.steps", "may not decide", ""},
	{"subjects from the record through a helper", gravityRule, "visit.class.battery.type == \"flooded\"", "count(gravity) > 0", "subjects contains", "subjects depends on input.visit.battery.cells", "may not decide", ""},
	{"subjects from what another rule found", closingRule, "data.catalogue.rules[name].severity == \"major\"", "data.catalogue.rules[name].severity == \"major\"\n\tcount(data.condition.battery.full_charge_gravity.nonconforming) > 0", "subjects contains", "subjects depends on input.visit.battery.cells", "may not decide", ""},
	{"subjects from what any rule found", closingRule, "data.catalogue.rules[name].severity == \"major\"", "data.catalogue.rules[name].severity == \"major\"\n\tsome a, n\n\tcount(data.condition[a][n].nonconforming) > 0", "subjects contains", "subjects depends on input.visit.battery.cells", "may not decide", ""},
	{"spared by the record", stepsRule, "spared contains \"the machine was not available\" if input.visit.ended_as == \"not-available\"", "spared contains \"nothing done\" if count(input.visit.steps) == 0", "spared contains", "spared depends on input.visit.steps", "may not decide", ""},
	{"not under conforming", stepsRule, "s.left == \"sound\"", "not s.left == \"defective\"", "not s.left", "absence may count as proof", "x == false", ""},
	{"not under conforming in a helper", "shared/exact.rego", "nano(v) := round(v * 1000000000)", "nano(v) := round(v * 1000000000) if not v == 0", "not v", "absence may count as proof", "x == false", ""},
	{"not in what conforming rests on", gravityRule, "state(value) := \"in\" if exact.nano(value) >= limit", "state(value) := \"in\" if not exact.nano(value) < limit", "not exact", "absence may count as proof", "", ""},
	{"not as left, and one more", gravityRule, "not c.gravity.as_left", "not c.gravity.as_left\n\tnot c.gravity.not_obtained", "not c.", "absence may count as proof", "", ""},
	{"default under conforming", gravityRule, "limit := exact.nano", "default limit := 0\n\nlimit := exact.nano", "default limit", "the default of limit", "every case", ""},
	{"nothing the engine reads", "shared/visit.rego", "completion :=", "completed :=", "", "data.shared.visit.completion", "", "-"},

	// Data files.
	{"misspelt member", "limits.yaml", "decided: direct", "decidd: direct", "decidd", `no member "decidd"`, `did you mean "decided"?`, ""},
	{"unknown word", "limits.yaml", "decided: direct", "decided: somehow", "somehow", "/limits/battery/full_charge_gravity/decided: value must be one of", "wanted here: ", ""},
	{"limit as text", "limits.yaml", "min: 1.260", `min: "1.260"`, `"1.260"`, "/limits/battery/full_charge_gravity/min: expected number", "take the quotes away: 1.260", ""},
	{"limit as words", "limits.yaml", "min: 1.260", `min: much`, "much", "/limits/battery/full_charge_gravity/min: expected number", "wanted here: Least value allowed", ""},
	{"whole number in quotes", "classes/one.yaml", "every_hours: 250", `every_hours: "250"`, "250", "/one/service/0/every_hours: expected integer", "take the quotes away: 250", ""},
	{"part of a number in quotes, where a whole one is wanted", "classes/one.yaml", "every_hours: 250", `every_hours: "2.5"`, "2.5", "/one/service/0/every_hours: expected integer", "wanted here: Power-on hours", ""},
	{"text without quotes", "limits.yaml", `source: "0.004 per 10 °F"`, "source: 2020", "2020", "/limits/battery/temperature_coefficient/source: expected string", `put quotes around it: "2020"`, ""},
	{"no source", "limits.yaml", "      mark: common practice\n      source: \"common practice\"\n", "      mark: common practice\n", "full_charge_gravity:", `/limits/battery/full_charge_gravity: the member "source" is missing`, "add source; wanted there: Text the number is from, or what the practice is.", ""},
	{"no place", "limits.yaml", "      place: 0.0001\n", "", "temperature_coefficient:", `/limits/battery/temperature_coefficient: the member "place" is missing`, "add place; wanted there: Place the limit is stated to", ""},
	{"no bound", "limits.yaml", "      min: 0.0004\n      max: 0.0004\n", "", "temperature_coefficient:", "/limits/battery/temperature_coefficient: there is neither of the members min, max", "add one of them: min (Least value allowed, inclusive), max (Largest value allowed, inclusive)", ""},
	{"no source for an instrument", "limits.yaml", "      least_kind: checked\n      mark: common practice\n      source: \"common practice\"\n", "      least_kind: checked\n      mark: common practice\n", "gravity:", `/limits/instruments/gravity: the member "source" is missing`, "add source; wanted there: ", ""},
	{"no terminals", "classes/one.yaml", "    terminal: bolted\n", "", "battery:", `/one/battery: the member "terminal" is missing`, "add terminal; wanted there: Form of the terminals.", ""},
	{"min above max", "limits.yaml", "max: 1.300", "max: 1.250", "min: 1.260", "min 1.260 is above max 1.250", "swap them", ""},
	{"unknown unit", "limits.yaml", "unit: sg", "unit: sgg", "sgg", `no unit "sgg"`, `did you mean "sg"?`, ""},
	{"unit in capitals", "limits.yaml", "unit: sg\n", "unit: SG\n", "SG", `no unit "SG"`, `did you mean "sg"?`, ""},
	{"unit of another quantity", "limits.yaml", "unit: sg\n      place: 0.001", "quantity: gravity\n      unit: degF\n      place: 0.001", "unit: degF", "the unit degF is of temperature, but what is limited is gravity", "the units of gravity are sg", ""},
	{"unknown quantity", "limits.yaml", "unit: sg\n      place: 0.001", "quantity: gravty\n      unit: sg\n      place: 0.001", "gravty", `no unit of "gravty"`, `did you mean "gravity"?`, ""},
	{"temperature coefficient too small", "limits.yaml", "min: 0.0004", "min: 0.00027", "0.00027", "0.000486 per °C, outside 0.0005 to 0.0009", "per °F", ""},
	{"temperature coefficient too large", "limits.yaml", "max: 0.0004", "max: 0.00051", "0.00051", "0.000918 per °C, outside 0.0005 to 0.0009", "per °F", ""},
	{"temperature coefficient per °C", "limits.yaml", "max: 0.0004", "max: 0.00072", "0.00072", "outside 0.0005 to 0.0009", "per °F", ""},
	{"no base unit", "units.yaml", "num: 1, den: 1, add: 0, symbol: \"\"", "num: 2, den: 1, add: 0, symbol: \"\"", "sg:", "gravity has no base unit", "add 0", ""},
	{"zero point of its own", "units.yaml", "sg:   {quantity: gravity, num: 1, den: 1, add: 0", "sg2: {quantity: gravity, num: 1, den: 1, add: 3, symbol: \"\", ucum: \"1\", name: x, source: x}\n  sg:   {quantity: gravity, num: 1, den: 1, add: 0", "sg2", "no zero of its own", "add: 0", ""},
	{"duplicate key", "limits.yaml", "min: 1.260", "min: 1.260\n      min: 1.250", "min: 1.250", `the key "min" stands here a second time, the first is on line 6`, "keep one", ""},
	{"anchor", "limits.yaml", "min: 1.260", "min: &least 1.260", "&least", "the anchor &least", "write the value out", ""},
	{"alias", "limits.yaml", "max: 1.300", "max: *least", "", "unknown anchor", "", ""},
	{"alias of an anchor", "limits.yaml", "min: 1.260\n      max: 1.300", "min: &least 1.260\n      max: *least", "*least", "the alias *least", "write the value out", ""},
	{"merge key", "limits.yaml", "min: 1.260", "<<: {min: 1.260}", "<<", "the merge key <<", "write the members out", ""},
	{"tag", "limits.yaml", "min: 1.260", "min: !!float 1.260", "!!float", "the tag !!float", "leave the tag out", ""},
	{"exponent", "limits.yaml", "min: 1.260", "min: 126e-2", "126e-2", "with an exponent", "0.001 rather than 1e-3", ""},
	{"octal number", "limits.yaml", "min: 1.260", "min: 0o17", "0o17", "not in plain decimal notation", "", ""},
	{"number with a plus", "limits.yaml", "min: 1.260", "min: +1.260", "+1.260", "not in plain decimal notation", "", ""},
	{"not a number", "limits.yaml", "min: 1.260", "min: .nan", ".nan", "not in plain decimal notation", "", ""},
	{"too many digits", "limits.yaml", "min: 1.260", "min: 1.2600000000000001", "1.2600000000000001", "more than 15 significant digits", "", ""},
	{"word that is a boolean to some", "steps.yaml", "[not-reached]", "[no]", "[no]", `"no" without quotes`, "quotes", ""},
	{"second document", "steps.yaml", "  sign:", "---\n  sign:", "---", "a second YAML document", "one document", ""},
	{"two top keys", "steps.yaml", "steps:", "extra: 1\nsteps:", "extra", `one key at the top must be "steps"`, "under steps:", ""},
	{"class under another name", "classes/one.yaml", "one:", "three:", "three", `one key at the top must be "one"`, "under one:", ""},
	{"byte order mark", "steps.yaml", "steps:", "\ufeffsteps:", "steps:", "byte order mark", "UTF-8", ""},
	{"not UTF-8", "steps.yaml", "Sign", "Sign\xff", "Sign", "not valid UTF-8", "UTF-8", ""},
	{"tab in YAML", "steps.yaml", "  sign:", "\tsign:", "sign:", "", "correct the YAML", ""},
	{"empty data file", "steps.yaml", "", "# nothing\n", "", "the file is empty", "top key", ""},
	{"file without a place", "condition/battery/notes.txt", "", "x", "", "no place in a release", "<concern>/<area>/<name>.rego", ""},
	{"tests under no concern", "opinion/battery/x_test.rego", "", "package opinion.battery.x_test\n", "", "no place in a release", "<name>_test.rego beside a rule", ""},
	{"what cannot be noticed, without a reason", UnnoticedFile, "", "unnoticed:\n  - {rule: a.b.c, text: x > 0, change: left out}\n", "rule: a.b.c", "because", "", ""},
	{"rule under no concern", "opinion/battery/x.rego", "", "package opinion.battery.x\n", "", "no place in a release", "", ""},
	{"old catalogue", CatalogueFile, "", "{\"catalogue\": {\"rules\": {}}}\n", "catalogue", "the catalogue does not say", "run visitgauge rules catalogue", ""},
	{"examples of no rule", "examples/condition/battery/nothing.yaml", "", "nothing:\n  - {name: x, base: w, expect: {cell B1.1: conforming}}\n", "base: w", `no base visit "w"`, "", ""},
	{"examples of no rule, the file", "examples/condition/battery/nothing.yaml", "", "nothing: []\n", "", "a rule that is not there", "after its rule", ""},
	{"base visit that is no record", "examples/base/one.json", "", "{\"one\": {\"schema\": \"visit/1\"}}", "visit/1", `the member "machine" is missing`, "add machine; wanted there: ", ""},
	{"base visit that is no JSON", "examples/base/one.json", "", "{\"one\": {\n  \"schema\" \"visit/1\"}}", "visit/1", "invalid character", "correct the JSON", ""},
	{"base visit with a member twice", "examples/base/one.json", "", "{\"one\": {\n  \"id\": 1,\n  \"id\": 2}}", "2}}", `the member "id" stands here a second time`, "keep one", ""},
	{"base visit that breaks off", "examples/base/one.json", "", "{\"one\": {\n", "one", "breaks off", "", ""},
}

func TestBrokenReleases(t *testing.T) {
	for _, b := range broken {
		t.Run(b.name, func(t *testing.T) {
			release := small(t)
			if b.old == "" {
				write(release, b.file, b.new)
				if b.file == CatalogueFile {
					release[CatalogueFile] = &fstest.MapFile{Data: []byte(b.new)}
				}
			} else {
				edit(t, release, b.file, b.old, b.new)
			}
			set, err := Load(t.Context(), release, Options{})
			if err == nil {
				t.Fatal("the release was loaded")
			}
			if set != nil {
				t.Error("a set came with the error")
			}
			var problems Problems
			if !errors.As(err, &problems) {
				t.Fatalf("the error is no list of problems: %v", err)
			}
			in := b.file
			if b.in == "-" {
				in = ""
			}
			for _, p := range problems {
				if p.File == in && blames(release, p, b.at) && strings.Contains(p.Message, b.says) && strings.Contains(p.Mend, b.mend) {
					return
				}
			}
			t.Errorf("wanted %q at the line of %q, mend %q; got\n%v", b.says, b.at, b.mend, err)
		})
	}
}

// blames reports whether a problem is placed on a line that holds the text.
func blames(release fstest.MapFS, p Problem, text string) bool {
	if text == "" {
		return p.Line == 0
	}
	lines := strings.Split(string(release[p.File].Data), "\n")
	return p.Line > 0 && p.Line <= len(lines) && strings.Contains(lines[p.Line-1], text)
}

func TestSymbolicLinkIsRefused(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, small(t)); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "steps.yaml")
	if err := os.Rename(file, file+".md"); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("steps.yaml.md", file); err != nil {
		t.Skip("links cannot be made here: ", err)
	}
	_, err := Load(t.Context(), os.DirFS(dir), Options{})
	if err == nil || !strings.Contains(err.Error(), "steps.yaml: is no regular file but a symbolic link") {
		t.Errorf("got %v", err)
	}
	if _, err := Digest(os.DirFS(dir)); err == nil {
		t.Error("the folder with a link has a digest")
	}
}

// A file that may be executed stands out; where the disk lets all files be
// executed, none does.
func TestExecutableFileIsRefused(t *testing.T) {
	release := small(t)
	steps := *release["steps.yaml"]
	steps.Mode = 0o755
	release["steps.yaml"] = &steps
	_, err := Load(t.Context(), release, Options{})
	if err == nil || !strings.Contains(err.Error(), "steps.yaml: may be executed") {
		t.Errorf("got %v", err)
	}
	if _, err := Digest(release); err == nil {
		t.Error("the folder with a program has a digest")
	}
	for name, f := range small(t) {
		f.Mode = 0o777
		release[name] = f
	}
	if _, err := Load(t.Context(), release, Options{}); err != nil {
		t.Errorf("on a disk without modes: %v", err)
	}
}

// All that is wrong is told at once.
func TestProblemsAreToldTogether(t *testing.T) {
	release := small(t)
	edit(t, release, "limits.yaml", "max: 1.300", "max: 1.250")
	edit(t, release, "steps.yaml", "severity: major", "severity: grave")
	edit(t, release, gravityRule, "#   who: technician\n", "")
	edit(t, release, stepsRule, "conforming contains concat", "sound contains concat")
	_, err := Load(t.Context(), release, Options{})
	var problems Problems
	if !errors.As(err, &problems) {
		t.Fatalf("got %v", err)
	}
	files := map[string]bool{}
	for _, p := range problems {
		files[p.File] = true
	}
	for _, want := range []string{"limits.yaml", "steps.yaml", gravityRule, stepsRule} {
		if !files[want] {
			t.Errorf("nothing is said of %s in\n%v", want, err)
		}
	}
}
