package record_test

import (
	"fmt"
	"os"
	"strings"

	"github.com/visitgauge/visitgauge/engine/record"
	"github.com/visitgauge/visitgauge/schema"
)

func ExampleDecoder_Decode() {
	visit, err := schema.Compile("visit")
	if err != nil {
		fmt.Println(err)
		return
	}
	data, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	d := record.NewDecoder(visit, record.Limits{})
	r, err := d.Decode("visit.json", 1, data)
	if err != nil {
		fmt.Println(err)
		return
	}
	gravity, _ := r.Text("/battery/cells/0/gravity/as_found/value")
	fmt.Println(r.ID(), r.LocalDay(), gravity)
	// Output: V-0001 2026-05-04 1.270
}

// Everything that is wrong is told at once, each with what would mend it.
func ExampleProblems() {
	visit, err := schema.Compile("visit")
	if err != nil {
		fmt.Println(err)
		return
	}
	data, err := os.ReadFile("testdata/visit.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	wrong := strings.NewReplacer(`"kind": "service"`, `"kind": "servise"`, `"first_visit": true`, `"first_visit": "yes"`).Replace(string(data))
	_, err = record.NewDecoder(visit, record.Limits{}).Decode("visits/0412.json", 1, []byte(wrong))
	fmt.Println(err)
	// Output:
	// reading visits/0412.json: line 4, column 11: /kind: "servise" is not a value that "kind" takes
	//   did you mean "service"? It takes "service", "re-inspection", "repair" or "handover"
	// reading visits/0412.json: line 7, column 18: /first_visit: "yes" is a text, and "first_visit" takes true or false
	//   write true or false, without quotes
}

// A bad record in a stream does not stop the others.
func ExampleReader_All() {
	stream := strings.NewReader("{\"id\": \"V-1\"}\n\n{\"id\": \"V-2\"}\n")
	for item := range record.NewReader([]string{"-", "no-such-file.json"}, stream, record.Limits{}).All() {
		if item.Err != nil {
			fmt.Println(item.Err)
			continue
		}
		fmt.Printf("%s, line %d: %s\n", item.Source, item.FirstLine, item.Data)
	}
	// Output:
	// standard input, line 1: {"id": "V-1"}
	// standard input, line 3: {"id": "V-2"}
	// reading no-such-file.json: it cannot be read: no such file or directory
	//   look for a slip in the path
}
