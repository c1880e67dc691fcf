package picture

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func circle(at vg.Point, radius vg.Length) vg.Path {
	var p vg.Path
	p.Move(vg.Point{X: at.X + radius, Y: at.Y})
	p.Arc(at, radius, 0, 2*math.Pi)
	p.Close()
	return p
}

func disc(c *draw.Canvas, fill color.Color, at vg.Point, radius vg.Length) {
	c.SetColor(fill)
	c.Fill(circle(at, radius))
}

func ring(c *draw.Canvas, stroke color.Color, at vg.Point, radius, thick vg.Length) {
	c.SetLineStyle(line(stroke, thick))
	c.Stroke(circle(at, radius))
}
