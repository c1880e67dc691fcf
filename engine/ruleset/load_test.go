package ruleset

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	opaloader "github.com/open-policy-agent/opa/v1/loader"
	"github.com/open-policy-agent/opa/v1/rego"
	"golang.org/x/mod/sumdb/dirhash"
)

func loadSmall(t *testing.T, opt Options) *Set {
	t.Helper()
	set, err := Load(t.Context(), small(t), opt)
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func TestSmallReleaseLoads(t *testing.T) {
	set := loadSmall(t, Options{})
	if set.Version() != FolderVersion {
		t.Errorf("a folder without a version calls itself %q", set.Version())
	}
	var names []string
	for _, r := range set.Rules() {
		names = append(names, r.Name)
	}
	want := "condition.battery.full_charge_gravity procedure.closing.conditions_judged procedure.record.steps_recorded"
	if got := strings.Join(names, " "); got != want {
		t.Errorf("rules are %s, want %s", got, want)
	}
	r, ok := set.Rule("condition.battery.full_charge_gravity")
	if !ok {
		t.Fatal("the rule is not found by its name")
	}
	if r.Concern != Condition || r.Area != "battery" || r.Severity != "major" || len(r.Sources) != 2 || r.Sources[1].Ref != "TM 0-000, table 2" {
		t.Errorf("the rule's metadata was read as %+v", r)
	}
	for part, want := range map[string]bool{Subjects: true, Facts: true, TooClose: false, Severity: false} {
		if r.Defines(part) != want {
			t.Errorf("Defines(%s) is %v", part, !want)
		}
	}
	if r, _ := set.Rule("procedure.record.steps_recorded"); !r.Defines(Severity) {
		t.Error("a rule that grades its subjects is not known to")
	}
	if _, ok := set.Rule("condition.battery.nothing"); ok {
		t.Error("a rule was found that is not there")
	}
}

// A part whose subject is written out in the head is a part like any other.
func TestPartOfOneSubject(t *testing.T) {
	release := small(t)
	const file = "procedure/closing/conditions_judged.rego"
	rule := string(release[file].Data)
	write(release, file, rule+"\nfacts.visit contains {\"name\": \"of\", \"text\": \"one subject\"}\n")
	set, err := Load(t.Context(), release, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r, _ := set.Rule("procedure.closing.conditions_judged"); !r.Defines(Facts) {
		t.Error("facts.visit contains … is not known as facts")
	}
}

// Both are written in good faith, and lose nothing.
func TestWaysOfWriting(t *testing.T) {
	release := small(t)
	edit(t, release, stepsRule, "spared contains \"the machine was not available\" if input.visit.ended_as == \"not-available\"", "spared := set()")
	edit(t, release, gravityRule, "some s in subjects\n", "some s in subjects\n\ntoo_close contains s if {\n\tsome s in subjects\n\tcount(object.get(gravity, \"cell B9.9\", set())) > 0\n}\n")
	if _, err := Load(t.Context(), release, Options{}); err != nil {
		t.Error(err)
	}
}

// Numbers are printed as they are written in the file.
func TestLimitKeepsItsText(t *testing.T) {
	set := loadSmall(t, Options{})
	text, unit, ok := set.Limit("battery.full_charge_gravity", "min")
	if text != "1.260" || unit != "sg" || !ok {
		t.Errorf("got %q, %q, %v", text, unit, ok)
	}
	for _, path := range []string{"battery.full_charge", "battery", "", "instruments.gravity"} {
		if _, _, ok := set.Limit(path, "min"); ok {
			t.Errorf("there is a limit %q", path)
		}
	}
	if _, _, ok := set.Limit("battery.full_charge_gravity", "place_"); ok {
		t.Error("there is a bound that was not written")
	}
	u, ok := set.Unit("degF")
	if !ok || u.Quantity != "temperature" || u.Symbol != "°F" || u.Num != "1" || u.Add != "0" {
		t.Errorf("got %+v, %v", u, ok)
	}
	if _, ok := set.Unit("stone"); ok {
		t.Error("there is a unit that was not written")
	}
}

// The digest is that of golang.org/x/mod/sumdb/dirhash over the same folder.
func TestDigestIsDirhash(t *testing.T) {
	for _, dir := range []string{"testdata/small", "../../policies/1.0.0"} {
		want, err := dirhash.HashDir(dir, "", dirhash.Hash1)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Digest(os.DirFS(dir))
		if err != nil {
			t.Fatal(err)
		}
		if got != want {
			t.Errorf("%s: got %s, want %s", dir, got, want)
		}
	}
	if _, err := Digest(os.DirFS(t.TempDir())); err == nil {
		t.Error("an empty folder has a digest")
	}
}

// What rules read here is what they read under stock OPA: its own loader is
// the oracle.
func TestDataIsWhatStockOPAReads(t *testing.T) {
	for _, dir := range []string{"testdata/small", "../../policies/1.0.0"} {
		set, err := Load(t.Context(), os.DirFS(dir), Options{})
		if err != nil {
			t.Fatal(err)
		}
		stock, err := opaloader.NewFileLoader().All([]string{dir})
		if err != nil {
			t.Fatal(err)
		}
		for _, section := range []string{"limits", "units", "steps", "classes"} {
			if !sameValue(set.Data()[section], stock.Documents[section]) {
				t.Errorf("%s: data.%s differs from what stock OPA reads", dir, section)
			}
		}
		if _, ok := stock.Documents["catalogue"]; ok && !sameValue(set.Data()["catalogue"], stock.Documents["catalogue"]) {
			t.Errorf("%s: data.catalogue differs from what stock OPA reads", dir)
		}
	}
}

// sameValue compares JSON values, numbers by what they are worth.
func sameValue(a, b any) bool {
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for k, v := range a {
			if other, ok := b[k]; !ok || !sameValue(v, other) {
				return false
			}
		}
		return true
	case []any:
		b, ok := b.([]any)
		if !ok || len(a) != len(b) {
			return false
		}
		for i := range a {
			if !sameValue(a[i], b[i]) {
				return false
			}
		}
		return true
	case json.Number:
		other, ok := b.(json.Number)
		x, okX := new(big.Rat).SetString(a.String())
		y, okY := new(big.Rat).SetString(other.String())
		return ok && okX && okY && x.Cmp(y) == 0
	}
	return a == b
}

// A release vouched for by its digest answers as the one that was checked.
func TestVouchedRelease(t *testing.T) {
	checked := loadSmall(t, Options{})
	vouched := loadSmall(t, Options{Version: "1.0.0", Vouched: checked.Digest()})
	if vouched.Version() != "1.0.0" || vouched.Digest() != checked.Digest() {
		t.Errorf("got version %s, digest %s", vouched.Version(), vouched.Digest())
	}
	if !sameValue(vouched.Data(), checked.Data()) {
		t.Error("the data differ")
	}
	want, err := json.Marshal(checked.Rules())
	if err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(vouched.Rules())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("rules are\n%s\nwant\n%s", got, want)
	}
	for i, r := range vouched.Rules() {
		for _, part := range contractNames() {
			if r.Defines(part) != checked.Rules()[i].Defines(part) {
				t.Errorf("%s: Defines(%s) differs", r.Name, part)
			}
		}
	}
	input := map[string]any{"visit": map[string]any{
		"machine": map[string]any{"class": "one"}, "kind": "service", "service_level": "full", "ended_as": "completed",
		"steps": []any{map[string]any{"step": "sign", "left": "sound"}}, "follow_ups": []any{},
		"battery": map[string]any{"cells": []any{map[string]any{"cell": "B1.1", "gravity": map[string]any{"as_found": map[string]any{"value": json.Number("1.260")}}}}},
	}}
	for _, query := range []string{"data.condition", "data.procedure", "data.shared.visit.completion"} {
		a, b := ask(t, checked, query, input), ask(t, vouched, query, input)
		if a != b {
			t.Errorf("%s: checked says %s, vouched %s", query, a, b)
		}
		if !strings.Contains(a, "cell B1.1") && query == "data.condition" {
			t.Errorf("%s says %s", query, a)
		}
	}
}

func ask(t *testing.T, set *Set, query string, input any) string {
	t.Helper()
	results, err := rego.New(append(set.Rego(), rego.Query(query), rego.Input(input))...).Eval(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(results)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// One byte is enough.
func TestAlteredReleaseIsRefused(t *testing.T) {
	digest := loadSmall(t, Options{}).Digest()
	for name := range small(t) {
		release := small(t)
		altered := bytes.Clone(release[name].Data)
		altered[len(altered)/2] ^= 1
		release[name].Data = altered
		set, err := Load(t.Context(), release, Options{Version: "1.0.0", Vouched: digest})
		var problems Problems
		if set != nil || !errors.As(err, &problems) {
			t.Fatalf("%s altered: got %v, %v", name, set, err)
		}
		now, err := Digest(release)
		if err != nil {
			t.Fatal(err)
		}
		message := problems.Error()
		for _, part := range []string{"release 1.0.0 was altered", now, digest, "put the files back"} {
			if !strings.Contains(message, part) {
				t.Errorf("%s altered: %q is not in %s", name, part, message)
			}
		}
	}
}

func TestVouchedReleaseNeedsItsCatalogue(t *testing.T) {
	for name, content := range map[string]string{
		"none":           "",
		"of other rules": `{"catalogue": {"rules": {"condition.battery.other": {"name": "condition.battery.other"}}}}`,
		"no JSON":        `{"catalogue": `,
	} {
		release := small(t)
		delete(release, CatalogueFile)
		if content != "" {
			write(release, "x.md", "")
			release[CatalogueFile] = release["x.md"]
			release[CatalogueFile].Data = []byte(content)
			delete(release, "x.md")
		}
		digest, err := Digest(release)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Load(t.Context(), release, Options{Vouched: digest}); err == nil || !strings.Contains(err.Error(), catalogueMend) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

// The catalogue of the small release is kept, so that a change of its form is
// seen; and making it anew from the rules changes nothing.
func TestCatalogueIsUpToDate(t *testing.T) {
	want, err := os.ReadFile(filepath.Join("testdata", "small", CatalogueFile))
	if err != nil {
		t.Fatal(err)
	}
	release := small(t)
	delete(release, CatalogueFile)
	got, err := BuildCatalogue(t.Context(), release)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("testdata/small/%s is old; it should be\n%s", CatalogueFile, got)
	}
	release[CatalogueFile] = small(t)[CatalogueFile]
	release[CatalogueFile].Data = []byte("old")
	if again, err := BuildCatalogue(t.Context(), release); err != nil || !bytes.Equal(again, want) {
		t.Errorf("an old catalogue stands in the way of a new one: %v", err)
	}
}

// Tests for OPA's tester belong to a release as examples do: hashed with it, and
// neither rules nor helpers.
func TestTestsAreNoRules(t *testing.T) {
	release := small(t)
	before, err := Digest(release)
	if err != nil {
		t.Fatal(err)
	}
	write(release, "shared/exact_test.rego", "package shared.exact_test\n\ntest_nano if data.shared.exact.nano(1) == 1000000000\n")
	write(release, "condition/battery/full_charge_gravity_test.rego", "package anything\n\ntest_x if time.now_ns() > 0\n")
	set, err := Load(t.Context(), release, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if set.Digest() == before {
		t.Error("tests are not in the digest")
	}
	if len(set.Rules()) != 3 {
		t.Errorf("the rules are %v", set.Rules())
	}
	for file := range set.Compiler().Modules {
		if IsTest(file) {
			t.Errorf("%s was compiled with the rules", file)
		}
	}
	for file, want := range map[string]bool{"shared/exact_test.rego": true, "shared/exact.rego": false, "a_test.rego": false, "examples/a_test.rego": false} {
		if IsTest(file) != want {
			t.Errorf("IsTest(%s) is %v", file, !want)
		}
	}
}
