package picture

import (
	"cmp"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Rows is a picture with a row for each of several things alike, such as the
// cells of a pack, from the top down.
type Rows struct {
	Words
	// Axis names the quantity with its unit.
	Axis string
	Rows []Row
	// Lines stand at numbers to compare with; those beyond a limit are hatched
	// on that side.
	Lines []Line
	// Least is how wide the axis is at the least, so that a difference of no
	// weight does not look like one.
	Least float64
}

// Row is one thing.
type Row struct {
	Name string
	// Group is what it belongs to; a gap is left between groups.
	Group string
	Dots  []Dot
	// Text stands at the end of the row: the readings as people write them.
	Text string
	// Wanting says why there is no reading; empty if there is one.
	Wanting string
	// Bad marks a row in which something does not conform.
	Bad bool
}

// Dot is one reading.
type Dot struct {
	Value float64
	// Error is how far it may be off to either side; zero if not known.
	Error float64
	Shape Shape
}

// Shape is the shape of a dot.
type Shape int

// The shapes: a ring as found, a disc as left, and an arrowhead for what is known
// only to be that much or more.
const (
	Ring Shape = iota
	Disc
	AtLeast
)

// Line is a number to compare with.
type Line struct {
	Value float64
	Text  string
	Side  Side
}

// Side says on which side of a line is what is not allowed.
type Side int

// The sides. A line with none, a mean say, is dashed.
const (
	Neither Side = iota
	Below
	Above
)

const (
	rowHeight vg.Length = 17.5
	gap       vg.Length = 5
)

// Draw draws the picture.
func (r Rows) Draw() (string, error) {
	top := vg.Length(len(r.Lines))*(letter+3) + 4
	var names, texts []string
	for _, row := range r.Rows {
		names = append(names, row.Name)
		texts = append(texts, row.said())
	}
	left, right := wide(true, names...)+8, wide(true, texts...)+8
	const bottom = 2*letter + 12
	body := vg.Length(len(r.Rows))*rowHeight + vg.Length(r.groups()-1)*gap
	height := top + body + bottom

	p := plot.New()
	p.BackgroundColor = nil
	p.HideY()
	axis(&p.X)
	p.X.Label.Text = r.Axis
	var s span
	for _, l := range r.Lines {
		s.take(l.Value)
	}
	for _, row := range r.Rows {
		for _, d := range row.Dots {
			s.take(d.Value-d.Error, d.Value+d.Error)
		}
	}
	p.X.Min, p.X.Max = s.spread(r.Least)
	p.X.Tick.Marker = steps(4)
	p.Y.Min, p.Y.Max = 0, 1
	p.Add(r)

	c := vgsvg.New(width, height)
	p.Draw(draw.Crop(draw.New(c), left, -right, 0, -top))
	return written(c, height, r.Words)
}

func (r Row) said() string {
	if r.Bad {
		return "! " + r.Text
	}
	return r.Text
}

func (r Rows) groups() int {
	n := 0
	for i, row := range r.Rows {
		if i == 0 || row.Group != r.Rows[i-1].Group {
			n++
		}
	}
	return n
}

// Plot draws the rows onto the area of the axes; names, texts and what lines are
// called stand outside of it.
func (r Rows) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	area := c.Rectangle
	r.beyond(&c, x)
	y := area.Max.Y
	for i, row := range r.Rows {
		if i > 0 && row.Group != r.Rows[i-1].Group {
			y -= gap
		}
		y -= rowHeight
		row.draw(&c, x, y+rowHeight/2)
	}
	r.lines(&c, x)
}

// beyond hatches what lies beyond the limits.
func (r Rows) beyond(c *draw.Canvas, x func(float64) vg.Length) {
	for _, l := range r.Lines {
		area := c.Rectangle
		switch l.Side {
		case Below:
			area.Max.X = x(l.Value)
		case Above:
			area.Min.X = x(l.Value)
		default:
			continue
		}
		hatched(c, area)
	}
}

// lines draws the lines and writes what they are above, each on a level of its
// own, so that two that lie close are still told apart.
func (r Rows) lines(c *draw.Canvas, x func(float64) vg.Length) {
	area := c.Rectangle
	sorted := slices.Clone(r.Lines)
	slices.SortStableFunc(sorted, func(a, b Line) int { return cmp.Compare(a.Value, b.Value) })
	for i, l := range sorted {
		at := x(l.Value)
		level := area.Max.Y + 4 + vg.Length(i)*(letter+3)
		sty := line(limit, 1.8)
		if l.Side == Neither {
			sty = line(ink, 1.4, 5, 4)
		}
		c.StrokeLine2(sty, at, area.Min.Y, at, level+letter)
	}
	for i, l := range sorted {
		words(c, ink, false, vg.Point{X: beside(x(l.Value), l.Text), Y: area.Max.Y + 4 + vg.Length(i)*(letter+3)}, l.Text)
	}
}

func (row Row) draw(c *draw.Canvas, x func(float64) vg.Length, y vg.Length) {
	area := c.Rectangle
	middle := float64(draw.YCenter)
	c.StrokeLine2(line(grid, 1), area.Min.X, y, area.Max.X, y)
	c.FillText(style(ink, row.Bad, float64(draw.XRight), middle), vg.Point{X: area.Min.X - 5, Y: y}, row.Name)
	c.FillText(style(ink, row.Bad, float64(draw.XRight), middle), vg.Point{X: width - 2, Y: y}, row.said())
	if row.Wanting != "" {
		words(c, quiet, false, vg.Point{X: area.Min.X + 5, Y: y - letter/2 + 2}, row.Wanting)
	}
	for i, d := range row.Dots {
		if i > 0 {
			c.StrokeLine2(line(mark, 1.2), x(row.Dots[i-1].Value), y, x(d.Value), y)
		}
	}
	for _, d := range row.Dots {
		d.draw(c, x, y)
	}
}

func (d Dot) draw(c *draw.Canvas, x func(float64) vg.Length, y vg.Length) {
	at := vg.Point{X: x(d.Value), Y: y}
	if d.Error > 0 {
		low, high := x(d.Value-d.Error), x(d.Value+d.Error)
		sty := line(mark, 1.2)
		c.StrokeLine2(sty, low, y, high, y)
		c.StrokeLine2(sty, low, y-3, low, y+3)
		c.StrokeLine2(sty, high, y-3, high, y+3)
	}
	switch d.Shape {
	case Ring:
		disc(c, paper, at, 4.6)
		ring(c, mark, at, 4.6, 2)
	case Disc:
		disc(c, mark, at, 5.2)
	case AtLeast:
		c.FillPolygon(mark, []vg.Point{{X: at.X - 4, Y: y - 5.5}, {X: at.X + 7, Y: y}, {X: at.X - 4, Y: y + 5.5}})
	}
}
