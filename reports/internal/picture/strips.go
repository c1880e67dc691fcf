package picture

import (
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Strips is a picture of several quantities over the days of visits, one strip
// above the other, all on one axis of days.
type Strips struct {
	Words
	Strips []Strip
}

// Strip is one quantity.
type Strip struct {
	// Name stands above it, with the latest reading.
	Name   string
	Points []Point
	Lines  []Line
	// Least is how high the strip is at the least, in its own unit.
	Least float64
	// Tall gives it room for the texts of its points.
	Tall bool
}

// Point is one reading.
type Point struct {
	Day   time.Time
	Value float64
	// Text stands at the point; empty for none.
	Text string
	// Broken says what was replaced since the point before; the line is broken
	// there. Empty if nothing was.
	Broken string
	Bad    bool
}

const (
	lowStrip  vg.Length = 44
	tallStrip vg.Length = 108
	between   vg.Length = 8
)

func (s Strip) height() vg.Length {
	if s.Tall {
		return tallStrip
	}
	return lowStrip
}

// head is the room above a strip, for its name and for what its breaks say.
func (s Strip) head() vg.Length {
	h := letter + 6
	for _, p := range s.Points {
		if p.Broken != "" {
			h += letter + 3
		}
	}
	return h
}

// days is from the first to the last day of all points.
func (s Strips) days() (first, last time.Time) {
	for _, strip := range s.Strips {
		for _, p := range strip.Points {
			if first.IsZero() || p.Day.Before(first) {
				first = p.Day
			}
			if p.Day.After(last) {
				last = p.Day
			}
		}
	}
	return first, last
}

// Draw draws the picture.
func (s Strips) Draw() (string, error) {
	const bottom = letter + 10
	height := vg.Length(bottom)
	for _, strip := range s.Strips {
		height += strip.head() + strip.height() + between
	}
	first, last := s.days()
	c := vgsvg.New(width, height)
	canvas := draw.New(c)
	y := height
	for _, strip := range s.Strips {
		y -= strip.head()
		p := plot.New()
		p.BackgroundColor = nil
		p.HideAxes()
		var v span
		for _, point := range strip.Points {
			v.take(point.Value)
		}
		for _, l := range strip.Lines {
			v.take(l.Value)
		}
		p.Y.Min, p.Y.Max = v.spread(strip.Least)
		if strip.Tall { // room for the texts above the points
			p.Y.Max += (p.Y.Max - p.Y.Min) * 0.2
		}
		p.X.Min, p.X.Max = float64(first.Unix()), float64(last.Unix())
		if first.Equal(last) {
			p.X.Max++
		}
		p.Add(strip)
		area := draw.Crop(canvas, 14, -22, 0, 0)
		area.Min.Y, area.Max.Y = y-strip.height(), y
		p.Draw(area)
		y -= strip.height() + between
	}
	// One axis for all: the days of the first and the last visit.
	sty := style(quiet, false, 0, 0)
	canvas.StrokeLine2(line(quiet, 1), 8, bottom-2, width-8, bottom-2)
	canvas.FillText(sty, vg.Point{X: 8, Y: 4}, first.Format(time.DateOnly))
	sty.XAlign = draw.XRight
	canvas.FillText(sty, vg.Point{X: width - 8, Y: 4}, last.Format(time.DateOnly))
	return written(c, height, s.Words)
}

// Plot draws the strip onto its area, the words above it.
func (s Strip) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	area := c.Rectangle
	full := vg.Rectangle{Min: vg.Point{X: 8, Y: area.Min.Y}, Max: vg.Point{X: width - 8, Y: area.Max.Y}}
	for _, l := range s.Lines {
		beyond := full
		beyond.Max.Y = y(l.Value)
		if l.Side == Below {
			hatched(&c, beyond)
		}
		c.StrokeLine2(line(limit, 1.8), full.Min.X, y(l.Value), full.Max.X, y(l.Value))
	}
	c.StrokeLine2(line(grid, 1), full.Min.X, full.Min.Y, full.Max.X, full.Min.Y)
	level := full.Max.Y + 4
	for i, point := range s.Points {
		at := vg.Point{X: x(float64(point.Day.Unix())), Y: y(point.Value)}
		if i == 0 {
			continue
		}
		before := s.Points[i-1]
		from := vg.Point{X: x(float64(before.Day.Unix())), Y: y(before.Value)}
		if point.Broken == "" {
			c.StrokeLines(line(mark, 1.8), []vg.Point{from, at})
			continue
		}
		half := (from.X + at.X) / 2
		c.StrokeLine2(line(ink, 1.2, 2, 3), half, full.Min.Y, half, level+letter)
		c.FillText(style(ink, false, 0, 0), vg.Point{X: beside(half, point.Broken), Y: level}, point.Broken)
		level += letter + 3
	}
	c.FillText(style(ink, true, 0, 0), vg.Point{X: 8, Y: level}, s.Name)
	for _, l := range s.Lines { // where no reading can stand in its way
		c.FillText(style(ink, false, float64(draw.XRight), 0), vg.Point{X: full.Max.X, Y: level}, "line: "+l.Text)
	}
	s.points(&c, x, y)
}

// points draws the readings and writes their texts beside them, above or below,
// where there is room.
func (s Strip) points(c *draw.Canvas, x, y func(float64) vg.Length) {
	for i, point := range s.Points {
		at := vg.Point{X: x(float64(point.Day.Unix())), Y: y(point.Value)}
		radius := vg.Length(3.6)
		if i == len(s.Points)-1 {
			radius = 5
		}
		disc(c, mark, at, radius)
		if point.Bad {
			ring(c, ink, at, radius+3.5, 1.6)
		}
		if point.Text == "" {
			continue
		}
		w := wide(point.Bad, point.Text)
		left := min(max(at.X-w/2, 8), width-8-w)
		base := at.Y + 8
		if base+letter > c.Max.Y+2 {
			base = at.Y - 8 - letter
		}
		words(c, ink, point.Bad, vg.Point{X: left, Y: base}, point.Text)
	}
}

// beside is where a text begins that stands beside an upright line.
func beside(at vg.Length, words string) vg.Length {
	w := wide(false, words)
	if at+4+w <= width-2 {
		return at + 4
	}
	return max(2, at-4-w)
}
