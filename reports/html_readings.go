package reports

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"github.com/visitgauge/visitgauge/engine/sheet"
	"github.com/visitgauge/visitgauge/engine/verdict"
	"github.com/visitgauge/visitgauge/reports/internal/picture"
)

// A drawing is one of the two kinds of picture.
type drawing interface{ Draw() (string, error) }

// readings draws what was read.
func (p *page) readings(v *verdict.Verdict, s *sheet.Sheet, t trails) error {
	bad := badPointers(v)
	for _, lay := range []func() (drawing, pagePicture, bool){
		func() (drawing, pagePicture, bool) { return gravityPicture(s, bad) },
		func() (drawing, pagePicture, bool) { return levelPicture(s, bad) },
		func() (drawing, pagePicture, bool) { return torquePicture(s, bad) },
		func() (drawing, pagePicture, bool) { return voltagePicture(s, bad) },
		func() (drawing, pagePicture, bool) { return meterPicture(s, t.upTo(s)) },
		func() (drawing, pagePicture, bool) { return trendPicture(s, t.upTo(s)) },
	} {
		d, out, ok := lay()
		if !ok {
			continue
		}
		svg, err := d.Draw()
		if err != nil {
			return err
		}
		out.SVG = template.HTML(svg) // drawn by package picture, which escapes texts
		p.Pictures = append(p.Pictures, out)
	}
	p.NoReadings = unread(s, p.Pictures)
	return nil
}

// unread says of what there is no picture since none of it was read, though the
// visit has to do with it.
func unread(s *sheet.Sheet, drawn []pagePicture) string {
	var out []string
	missing := func(title string) bool {
		return !slices.ContainsFunc(drawn, func(p pagePicture) bool { return strings.HasPrefix(p.Title, title) })
	}
	if len(s.Figures.Cells) > 0 && missing("Gravity") {
		out = append(out, "gravity")
	}
	if len(s.Figures.Cells) > 0 && missing("Level") {
		out = append(out, "level")
	}
	if len(s.Figures.Posts) > 0 && missing("Torque") {
		out = append(out, "torque")
	}
	if len(s.Figures.VoltageBand) > 0 && missing("Voltage") {
		out = append(out, "voltage")
	}
	switch {
	case len(out) > 0:
		return "Not read on this visit: " + strings.Join(out, ", ") + "."
	case len(drawn) == 0:
		return "Nothing was read on this visit that could be drawn."
	}
	return ""
}

// tableOf is the table of a picture of rows, and its words for those who do not
// see it, which say the same.
func tableOf(rows picture.Rows, head ...string) (pageTable, string) {
	t := pageTable{Caption: rows.Title, Head: append(head, "Stands")}
	var said []string
	for _, l := range rows.Lines {
		said = append(said, l.Text)
	}
	for _, r := range rows.Rows {
		text := r.Text
		if r.Wanting != "" {
			text = r.Wanting
		}
		stands := ""
		if r.Bad {
			stands = "does not conform"
		}
		t.Rows = append(t.Rows, []string{r.Name, text, stands})
		if r.Bad {
			text += ", does not conform"
		}
		said = append(said, r.Name+": "+text)
	}
	return t, strings.Join(said, "; ") + "."
}

// fromTo is what was found and what was left, as one text: of a reading that was
// not taken again, only the one.
func fromTo(found, left string) string {
	switch {
	case found == "" || found == left:
		return left
	case left == "":
		return found
	}
	return found + " → " + left
}

func gravityPicture(s *sheet.Sheet, bad map[string]bool) (drawing, pagePicture, bool) {
	f := s.Figures
	if len(f.Cells) == 0 || len(f.FullCharge) != 1 {
		return nil, pagePicture{}, false
	}
	reference := short(f.FullCharge[0].Reference)
	rows := picture.Rows{
		Words: picture.Words{ID: "gravity", Title: "Gravity of each cell at " + reference},
		Axis:  "specific gravity at " + reference, Least: 0.02,
		Lines: []picture.Line{{
			Value: number(f.FullCharge[0].Least.Value), Side: picture.Below, Text: "full charge: at least " + f.FullCharge[0].Least.Text,
		}},
	}
	for _, m := range f.Means {
		if m.When == "left" {
			rows.Lines = append(rows.Lines, picture.Line{Value: number(m.Mean.Value), Text: "mean of " + m.Of + ": " + m.Mean.Text})
		}
	}
	var off []string
	read := false
	for _, c := range f.Cells {
		row := picture.Row{Name: c.Cell, Group: c.Block}
		found, left := "", ""
		again := len(c.GravityLeft) == 1 && (len(c.GravityFound) == 0 || c.GravityFound[0].Reading.Pointer != c.GravityLeft[0].Reading.Pointer)
		add := func(g sheet.Gravity, shape picture.Shape) string {
			dot := picture.Dot{Value: number(g.Corrected.Value), Shape: shape}
			for _, u := range g.Uncertainty {
				dot.Error = number(u.Value)
				if !slices.Contains(off, "±"+u.Text) {
					off = append(off, "±"+u.Text)
				}
			}
			row.Dots = append(row.Dots, dot)
			row.Bad = row.Bad || bad[g.Reading.Pointer]
			if !g.Judged {
				return g.Corrected.Text + " (" + short(g.Temperature) + ")"
			}
			return g.Corrected.Text
		}
		if len(c.GravityFound) == 1 {
			found = add(c.GravityFound[0], picture.Ring)
		}
		if again {
			left = add(c.GravityLeft[0], picture.Disc)
		}
		row.Text = fromTo(found, left)
		if len(row.Dots) == 0 {
			row.Wanting = notRead(cellOf(s, c.Cell), func(c sheet.Cell) sheet.Measure { return c.Gravity })
		}
		read = read || len(row.Dots) > 0
		rows.Rows = append(rows.Rows, row)
	}
	if !read {
		return nil, pagePicture{}, false
	}
	caption := "Corrected from the electrolyte's temperature. Ring: as found. Disc: read again as left. Hatched: under a full charge."
	if len(off) > 0 {
		caption += " Bars: uncertainty of the hydrometer, " + strings.Join(off, ", ") + "."
	}
	return pictured(rows, caption, "Cell", "Gravity at "+reference)
}

// pictured ends a picture of rows.
func pictured(rows picture.Rows, caption string, head ...string) (drawing, pagePicture, bool) {
	out := pagePicture{Title: rows.Title, Caption: caption}
	if slices.ContainsFunc(rows.Rows, func(r picture.Row) bool { return r.Bad }) {
		out.Caption += " An exclamation mark: does not conform."
	}
	out.Table, rows.Said = tableOf(rows, head...)
	return rows, out, true
}

func cellOf(s *sheet.Sheet, cell string) *sheet.Cell {
	if s.Visit.Battery == nil {
		return nil
	}
	for i, c := range s.Visit.Battery.Cells {
		if c.Cell == cell {
			return &s.Visit.Battery.Cells[i]
		}
	}
	return nil
}

// notRead says why there is no usable reading of a cell.
func notRead(c *sheet.Cell, of func(sheet.Cell) sheet.Measure) string {
	if c == nil {
		return "not recorded"
	}
	return notHad(of(*c))
}

func notHad(m sheet.Measure) string {
	switch {
	case m.NotObtained != nil:
		return "not read: " + spoken(m.NotObtained.Reason)
	case m.AsLeft != nil:
		return m.AsLeft.Value.String() + ", not usable"
	case m.AsFound != nil:
		return m.AsFound.Value.String() + ", not usable"
	}
	return "not read"
}

func levelPicture(s *sheet.Sheet, bad map[string]bool) (drawing, pagePicture, bool) {
	f := s.Figures
	if len(f.Cells) == 0 || len(f.LevelBand) != 1 {
		return nil, pagePicture{}, false
	}
	unit := symbol(f.LevelBand[0].Least)
	rows := picture.Rows{
		Words: picture.Words{ID: "level", Title: "Level of each cell above its plates"},
		Axis:  "above the plates, " + unit, Least: 1.6 * number(f.LevelBand[0].Least.Value),
		Lines: []picture.Line{{Value: number(f.LevelBand[0].Least.Value), Side: picture.Below, Text: "at least " + short(f.LevelBand[0].Least)}},
	}
	read := false
	for _, c := range f.Cells {
		row := picture.Row{Name: c.Cell, Group: c.Block}
		found, left := "", ""
		add := func(l sheet.Level, shape picture.Shape) string {
			row.Dots = append(row.Dots, picture.Dot{Value: number(l.Level.Value), Shape: shape})
			row.Bad = row.Bad || bad[l.Reading.Pointer]
			if symbol(l.Reading) == unit {
				return l.Reading.Value
			}
			return short(l.Reading)
		}
		if len(c.LevelFound) == 1 {
			found = add(c.LevelFound[0], picture.Ring)
		}
		if len(c.LevelLeft) == 1 && (len(c.LevelFound) == 0 || c.LevelFound[0].Reading.Pointer != c.LevelLeft[0].Reading.Pointer) {
			left = add(c.LevelLeft[0], picture.Disc)
		}
		row.Text = fromTo(found, left)
		recorded := cellOf(s, c.Cell)
		if len(row.Dots) == 0 {
			row.Wanting = notRead(recorded, func(c sheet.Cell) sheet.Measure { return c.Level })
		}
		if recorded != nil && recorded.OverMarkLeft {
			row.Text, row.Bad = row.Text+" over mark", true
		}
		read = read || len(row.Dots) > 0
		rows.Rows = append(rows.Rows, row)
	}
	if !read {
		return nil, pagePicture{}, false
	}
	return pictured(rows, "Ring: as found. Disc: as left. Hatched: too low. How high is enough is a mark in the cell, which is looked at.", "Cell", "Level, "+unit)
}

func torquePicture(s *sheet.Sheet, bad map[string]bool) (drawing, pagePicture, bool) {
	f := s.Figures
	if len(f.TorqueBand) != 1 || len(f.TorqueBand[0].Most) != 1 || s.Visit.Battery == nil {
		return nil, pagePicture{}, false
	}
	least, most := f.TorqueBand[0].Least, f.TorqueBand[0].Most[0]
	unit := symbol(least)
	rows := picture.Rows{
		Words: picture.Words{ID: "torque", Title: "Torque of each terminal"},
		Axis:  "torque, " + unit, Least: 0.2 * number(most.Value),
		Lines: []picture.Line{
			{Value: number(least.Value), Side: picture.Below, Text: "at least " + short(least)},
			{Value: number(most.Value), Side: picture.Above, Text: "at most " + short(most)},
		},
	}
	read, set := false, false
	for _, post := range f.Posts {
		row := picture.Row{Name: post.Post, Group: strings.TrimRight(post.Post, "+-")}
		texts := []string{"", ""}
		for i, list := range [][]sheet.Torque{post.TorqueFound, post.TorqueLeft} {
			for _, t := range list {
				texts[i] = short(t.Reading)
				if symbol(t.Reading) == unit {
					texts[i] = t.Reading.Value
				}
				shape := picture.Ring
				if i == 1 {
					shape = picture.Disc
				}
				if t.Method != "read" {
					texts[i], shape, set = t.Result+" "+texts[i], picture.AtLeast, true
				}
				if !t.Usable {
					texts[i] += " (not usable)"
				}
				if t.Result != "moved" { // what moved was less than that, nobody knows how much
					row.Dots = append(row.Dots, picture.Dot{Value: number(t.Torque.Value), Shape: shape})
				}
				row.Bad = row.Bad || bad[t.Reading.Pointer]
				read = true
			}
		}
		row.Text = fromTo(texts[0], texts[1])
		if row.Text == "" {
			row.Wanting = "not recorded"
			for _, p := range s.Visit.Battery.Posts {
				if p.Post == post.Post {
					row.Wanting = notHad(p.Torque)
				}
			}
		}
		rows.Rows = append(rows.Rows, row)
	}
	if !read {
		return nil, pagePicture{}, false
	}
	caption := "Ring: as found. Disc: as left. Hatched: too loose or too tight."
	if set {
		caption += " Arrowhead: held at this setting, so it is that or more."
	}
	return pictured(rows, caption, "Terminal", "Torque, "+unit)
}

func voltagePicture(s *sheet.Sheet, bad map[string]bool) (drawing, pagePicture, bool) {
	f := s.Figures
	if len(f.VoltageBand) != 1 || len(f.Voltages) == 0 {
		return nil, pagePicture{}, false
	}
	band := f.VoltageBand[0]
	rows := picture.Rows{
		Words: picture.Words{ID: "voltage", Title: "Voltage of each block at rest"},
		Axis:  "voltage, V", Least: 0.4,
		Lines: []picture.Line{
			{Value: number(band.Least.Value), Side: picture.Below, Text: "at rest at least " + band.Least.Text},
			{Value: number(band.Most.Value), Side: picture.Above, Text: "at rest at most " + band.Most.Text},
		},
	}
	var off []string
	for _, v := range f.Voltages {
		dot := picture.Dot{Value: number(v.Voltage.Value), Shape: picture.Ring}
		if v.Stage == "as_left" {
			dot.Shape = picture.Disc
		}
		for _, u := range v.Uncertainty {
			dot.Error = number(u.Value)
			if !slices.Contains(off, "±"+u.Text) {
				off = append(off, "±"+u.Text)
			}
		}
		rows.Rows = append(rows.Rows, picture.Row{Name: v.Block, Group: v.Block, Dots: []picture.Dot{dot}, Text: v.Reading.Text, Bad: bad[v.Reading.Pointer]})
	}
	caption := "Ring: as found. Disc: as left. Hatched: outside the class's band for a sealed block at rest."
	if len(off) > 0 {
		caption += " Bars: uncertainty of the voltmeter, " + strings.Join(off, ", ") + "."
	}
	for _, r := range f.Rest {
		enough := "long enough"
		if !r.Enough {
			enough = "too short for a voltage to mean anything"
		}
		caption += fmt.Sprintf(" It had rested %s; %s is wanted: %s.", r.Hours.Text, r.Least.Text, enough)
	}
	return pictured(rows, caption, "Block", "Voltage")
}
