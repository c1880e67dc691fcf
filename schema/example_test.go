package schema_test

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/visitgauge/visitgauge/schema"
)

func ExampleCompile() {
	visit, err := schema.Compile("visit")
	if err != nil {
		fmt.Println(err)
		return
	}
	err = visit.Validate(map[string]any{"schema": "visit/1", "id": "V-0412"})
	fmt.Println(err != nil)
	// Output: true
}

func ExampleRead() {
	_, err := schema.Read("vist")
	before, _, _ := strings.Cut(err.Error(), "\n")
	fmt.Println(before)
	// Output: reading schema "vist": no such schema
}

func ExampleBundle() {
	bundle, err := schema.Bundle("input")
	if err != nil {
		fmt.Println(err)
		return
	}
	var doc struct {
		ID string `json:"$id"`
	}
	fmt.Println(json.Unmarshal(bundle, &doc), doc.ID == schema.ID("input"))
	fmt.Println(strings.Contains(string(bundle), "visit.v1.json#"))
	// Output:
	// <nil> true
	// false
}

func ExampleParseDateTime() {
	started, err := schema.ParseDateTime("2026-05-04T08:10:00+02:00")
	fmt.Println(started.UTC(), err)
	_, err = schema.ParseDateTime("2026-05-04T08:10:00")
	fmt.Println(err)
	// Output:
	// 2026-05-04 06:10:00 +0000 UTC <nil>
	// has no offset from UTC
}

func ExampleParseDate() {
	_, err := schema.ParseDate("2026-02-29")
	fmt.Println(err)
	// Output: is not a day of the calendar
}
