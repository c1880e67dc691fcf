package picture

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// steps is an axis marked at round numbers: about n of them.
func steps(n int) plot.TickerFunc {
	return func(low, high float64) []plot.Tick {
		step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(n))))
		for _, more := range []float64{2, 2.5, 2} { // 1, 2, 5, 10
			if (high-low)/step <= float64(n)+0.5 {
				break
			}
			step *= more
		}
		decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
		var out []plot.Tick
		for k := math.Ceil(low/step - 1e-9); k*step <= high+step*1e-9; k++ {
			out = append(out, plot.Tick{Value: k * step, Label: strconv.FormatFloat(k*step, 'f', decimals, 64)})
		}
		return out
	}
}

// axis gives an axis the look that all have.
func axis(a *plot.Axis) {
	a.LineStyle = line(quiet, 1)
	a.Tick.LineStyle = line(quiet, 1)
	a.Tick.Length = 4
	a.Padding = 0
	a.Tick.Label = style(quiet, false, float64(draw.XCenter), float64(draw.YTop))
	a.Label.TextStyle = style(quiet, false, float64(draw.XCenter), float64(draw.YBottom))
	a.Label.Padding = 2
}

// span is from the least to the greatest of some numbers, with room on both
// sides.
type span struct {
	low, high float64
	any       bool
}

func (s *span) take(v ...float64) {
	for _, v := range v {
		if !s.any {
			s.low, s.high, s.any = v, v, true
		}
		s.low, s.high = min(s.low, v), max(s.high, v)
	}
}

// spread is the span with room, at least least wide.
func (s span) spread(least float64) (low, high float64) {
	room := (s.high - s.low) * 0.06
	if short := least - (s.high - s.low); short > 0 {
		room = max(room, short/2)
	}
	return s.low - room, s.high + room
}

// hatched fills a rectangle with slanting lines: beyond a limit.
func hatched(c *draw.Canvas, r vg.Rectangle) {
	const apart = 7
	w, h := r.Max.X-r.Min.X, r.Max.Y-r.Min.Y
	if w <= 0 || h <= 0 {
		return
	}
	sty := line(hatch, 0.8)
	for d := vg.Length(apart); d < w+h; d += apart {
		from := vg.Point{X: r.Min.X + max(0, d-h), Y: r.Min.Y + min(d, h)}
		to := vg.Point{X: r.Min.X + min(d, w), Y: r.Min.Y + max(0, d-w)}
		c.StrokeLines(sty, []vg.Point{from, to})
	}
}
