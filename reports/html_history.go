package reports

import (
	"strings"
	"time"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/reports/internal/lines"
	"github.com/visitgauge/visitgauge/reports/internal/picture"
)

// meterPicture draws the hour meters over the machine's visits.
func meterPicture(s *sheet.Sheet, trail []trailPoint) (drawing, pagePicture, bool) {
	strips := picture.Strips{Words: picture.Words{ID: "meters", Title: "Hour meters over the visits"}}
	table := pageTable{Caption: strips.Title, Head: []string{"Visit"}}
	rows := make([][]string, len(trail))
	for i, p := range trail {
		rows[i] = []string{p.visit + ", " + p.started.Format(time.DateOnly)}
	}
	var said []string
	most := 0
	for _, m := range s.Figures.Meters {
		strip := picture.Strip{Name: m.Meter, Least: 1}
		broken := false
		for i, p := range trail {
			broken = broken || p.replaced[m.Meter]
			q, ok := p.meters[m.Meter]
			rows[i] = append(rows[i], "not read")
			if !ok {
				continue
			}
			point := picture.Point{Day: p.started, Value: number(q.Value)}
			rows[i][len(rows[i])-1] = q.Text
			if broken && len(strip.Points) > 0 {
				point.Broken = "meter replaced"
				rows[i][len(rows[i])-1] += ", replaced since"
			}
			broken = false
			strip.Points = append(strip.Points, point)
		}
		table.Head = append(table.Head, m.Meter)
		if len(strip.Points) == 0 {
			continue
		}
		most = max(most, len(strip.Points))
		for _, q := range m.Now {
			strip.Name += " " + q.Text
		}
		for _, q := range m.Since {
			strip.Name += ", " + q.Text + " since last time"
		}
		strips.Strips = append(strips.Strips, strip)
		said = append(said, strip.Name)
	}
	if most < 2 {
		return nil, pagePicture{}, false
	}
	table.Rows = rows
	strips.Said = lines.Count(len(trail), "visit", "visits") + " from " + trail[0].started.Format(time.DateOnly) + "; " + strings.Join(said, "; ") + "."
	return strips, pagePicture{
		Title:   strips.Title,
		Caption: "A dot a visit, each meter on its own scale. The line breaks where a meter was replaced; the hours of both are added.",
		Table:   table,
	}, true
}

// trendPicture draws the gravity of the weakest cell over the machine's visits,
// and the electrolyte's temperature beside it.
func trendPicture(s *sheet.Sheet, trail []trailPoint) (drawing, pagePicture, bool) {
	if len(s.Figures.FullCharge) != 1 {
		return nil, pagePicture{}, false
	}
	full := s.Figures.FullCharge[0]
	strips := picture.Strips{Words: picture.Words{ID: "trend", Title: "Weakest cell over the visits"}}
	gravity := picture.Strip{
		Name: "lowest gravity at " + short(full.Reference), Least: 0.02, Tall: true,
		Lines: []picture.Line{{Value: number(full.Least.Value), Side: picture.Below, Text: "at least " + full.Least.Text}},
	}
	unit := symbol(full.Reference)
	warmth := picture.Strip{Name: "electrolyte temperature, " + unit, Least: 10}
	table := pageTable{Caption: strips.Title, Head: []string{"Visit", "Weakest cell", "Gravity at " + short(full.Reference), "Electrolyte", "Since the visit before"}}
	var said []string
	var before *trailPoint
	for i := range trail {
		p := &trail[i]
		if p.cell == "" {
			continue
		}
		g := picture.Point{Day: p.started, Value: number(p.gravity.Value)}
		w := picture.Point{Day: p.started, Value: number(p.temperature.Value), Text: p.temperature.Value}
		if symbol(p.temperature) != unit {
			w.Text = short(p.temperature)
			if value, ok := onAxis(w.Text, unit); ok {
				w.Value = number(value)
			}
		}
		cell := p.cell
		if p.others > 0 {
			cell += " and " + lines.Count(p.others, "other", "others")
		}
		note := ""
		if before != nil {
			if blocks := changed(before.serials, p.serials); blocks != "" {
				g.Broken = blocks + " replaced"
				note = g.Broken
			}
		}
		gravity.Points, warmth.Points = append(gravity.Points, g), append(warmth.Points, w)
		table.Rows = append(table.Rows, []string{p.visit + ", " + p.started.Format(time.DateOnly), cell, p.gravity.Text, p.temperature.Text, note})
		text := p.started.Format(time.DateOnly) + ": " + p.gravity.Text + ", cell " + cell + ", " + p.temperature.Text
		if note != "" {
			text = note + "; " + text
		}
		said = append(said, text)
		before = p
	}
	if len(gravity.Points) < 2 {
		return nil, pagePicture{}, false
	}
	label(gravity.Points, trail)
	thin(warmth.Points)
	strips.Strips = []picture.Strip{gravity, warmth}
	strips.Said = strings.Join(said, "; ") + "."
	return strips, pagePicture{
		Title:   strips.Title,
		Caption: "As left. The line breaks where a block was replaced. Hatched: under a full charge.",
		Table:   table,
	}, true
}

// changed lists the blocks whose serial differs between two visits that have it.
func changed(before, now map[string]string) string {
	var out []string
	for block, serial := range now {
		if was, ok := before[block]; ok && was != serial {
			out = append(out, block)
		}
	}
	return listed(out)
}

// label writes values at the first, the lowest and the latest point: all would
// run into each other.
func label(points []picture.Point, trail []trailPoint) {
	lowest := 0
	for i, p := range points {
		if p.Value < points[lowest].Value {
			lowest = i
		}
	}
	texts := map[time.Time]string{}
	for _, p := range trail {
		texts[p.started] = p.gravity.Text + " " + p.cell
	}
	for _, i := range []int{0, lowest, len(points) - 1} {
		points[i].Text = texts[points[i].Day]
	}
}

// few points have room for their texts; of more, the first and the last.
const fewPoints = 8

func thin(points []picture.Point) {
	if len(points) <= fewPoints {
		return
	}
	for i := 1; i < len(points)-1; i++ {
		points[i].Text = ""
	}
}

// onAxis is the number of a temperature on an axis of another unit.
func onAxis(temperature, unit string) (value string, ok bool) {
	for _, system := range []Units{UnitsUS, UnitsSI} {
		if value, symbol, ok := system.Number(temperature, false); ok && symbol == unit {
			return value, true
		}
	}
	return "", false
}
