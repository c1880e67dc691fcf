package picture

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"time"
)

const hostile = `"><script>x</script>&`

func rows() Rows {
	return Rows{
		Words: Words{ID: "p", Title: "Title " + hostile, Said: "Said " + hostile},
		Axis:  "axis " + hostile, Least: 0.02,
		Lines: []Line{{Value: 1.26, Text: "limit " + hostile, Side: Below}, {Value: 1.3, Text: "top", Side: Above}, {Value: 1.265, Text: "mean"}},
		Rows: []Row{
			{Name: "B1.1", Group: "B1", Dots: []Dot{{Value: 1.2684, Error: 0.002}, {Value: 1.27, Shape: Disc}}, Text: "1.2684 → 1.2700"},
			{Name: hostile, Group: "B1", Wanting: "not read " + hostile},
			{Name: "B2.1", Group: "B2", Dots: []Dot{{Value: 1.2, Shape: AtLeast}}, Text: hostile, Bad: true},
		},
	}
}

func strips(points ...Point) Strips {
	return Strips{
		Words:  Words{ID: "s", Title: "Title", Said: "Said"},
		Strips: []Strip{{Name: "name " + hostile, Points: points, Lines: []Line{{Value: 1.26, Text: "at least", Side: Below}}, Tall: true, Least: 0.02}},
	}
}

// TestDrawn draws pictures that are well formed, the same every time, in which no
// text is anything but text, and all colours are the page's.
func TestDrawn(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2026, 1, n, 8, 0, 0, 0, time.UTC) }
	tests := []struct {
		name string
		draw func() (string, error)
		want []string
	}{
		{"rows", rows().Draw, []string{"! &#34;&gt;", "not read &#34;", "B1.1", "mean", `id="p-d"`}},
		{"one number only", Rows{Words: Words{ID: "q", Title: "T", Said: "S"}, Rows: []Row{{Name: "a", Dots: []Dot{{Value: 95}}, Text: "95"}}, Least: 1}.Draw, []string{"95"}},
		{"strips", strips(
			Point{Day: day(1), Value: 1.27, Text: "first " + hostile},
			Point{Day: day(9), Value: 1.22, Broken: "B3 replaced " + hostile, Bad: true, Text: "low"},
			Point{Day: day(20), Value: 1.27}).Draw,
			[]string{"B3 replaced &#34;", "first &#34;", "2026-01-01", "2026-01-20", "line: at least"}},
		{"strips of one day", strips(Point{Day: day(1), Value: 1.27}, Point{Day: day(1), Value: 1.27}).Draw, []string{"2026-01-01"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.draw()
			if err != nil {
				t.Fatal(err)
			}
			again, err := tt.draw()
			if err != nil || again != got {
				t.Errorf("drawn twice it differs: %v", err)
			}
			for _, want := range append(tt.want, `role="img"`, "<title", "<desc") {
				if !strings.Contains(got, want) {
					t.Errorf("%q is not in it", want)
				}
			}
			for _, never := range []string{"<script", "NaN", "Inf", "#0", "rgb(", "width=\"", "<?xml", "<!--"} {
				if strings.Contains(got, never) {
					t.Errorf("%q is in it", never)
				}
			}
			dec := xml.NewDecoder(strings.NewReader(got))
			for {
				if _, err := dec.Token(); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					t.Fatalf("not well formed: %v", err)
				}
			}
		})
	}
}

// TestSteps marks an axis at round numbers, some but not many, with as many places
// as they need.
func TestSteps(t *testing.T) {
	for _, span := range [][2]float64{{1.25, 1.28}, {1.2, 1.3}, {85, 105}, {0, 0.4}, {12.4, 13.4}, {110, 190}, {-3, 7}, {0.001, 0.0042}} {
		marks := steps(4)(span[0], span[1])
		if len(marks) < 2 || len(marks) > 7 {
			t.Errorf("%v: %d marks", span, len(marks))
		}
		for i, m := range marks {
			if m.Value < span[0]-1e-9 || m.Value > span[1]+1e-9 || len(m.Label) > 6 || i > 0 && m.Label == marks[i-1].Label {
				t.Errorf("%v: mark %v %q", span, m.Value, m.Label)
			}
		}
	}
}
