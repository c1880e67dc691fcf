// Package picture draws readings as SVG for a page: [Rows], one row a cell or
// post, and [Strips], one strip a quantity over the days of several visits.
//
// A picture is drawn to be read at arm's length and in black and white: shapes
// and words beside them carry the meaning, colours are those of the page (CSS
// custom properties) and none stands alone. It decides nothing: what does not
// conform is marked by whoever hands in the readings. The same readings give the
// same bytes.
package picture

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"regexp"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// width of a picture in its own units. On the narrowest screen it is shown at
// that many pixels, so that a letter is as high as letter says.
const (
	width  vg.Length = 328
	letter vg.Length = 12.5
)

// The colours stand for CSS custom properties of the page, which differ by
// scheme and in print; none of them is ever shown as it is here.
var (
	ink   = color.RGBA{R: 1, A: 255} // words, what must be seen
	quiet = color.RGBA{R: 2, A: 255} // axes, what was not read
	limit = color.RGBA{R: 3, A: 255} // limits
	hatch = color.RGBA{R: 7, A: 255} // what lies beyond them
	mark  = color.RGBA{R: 4, A: 255} // readings
	paper = color.RGBA{R: 5, A: 255} // the ground
	grid  = color.RGBA{R: 6, A: 255} // lines to follow with the eye
)

var properties = strings.NewReplacer(
	"#010000", "var(--ink)", "#020000", "var(--quiet)", "#030000", "var(--limit)",
	"#040000", "var(--mark)", "#050000", "var(--paper)", "#060000", "var(--grid)", "#070000", "var(--hatch)",
	"font-family:Liberation Sans;font-variant:normal;", "",
	"font-weight:normal;font-style:normal;", "", "font-style:normal;", "",
)

// Words are what a picture is called and what it says, for those who do not see
// it. ID is unique in its page and begins with a letter.
type Words struct {
	ID, Title, Said string
}

// style is text as pictures have it.
func style(c color.Color, bold bool, x, y float64) text.Style {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: letter}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return text.Style{Color: c, Font: f, XAlign: text.XAlignment(x), YAlign: text.YAlignment(y), Handler: plot.DefaultTextHandler}
}

func line(c color.Color, w vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: w, Dashes: dashes}
}

// words writes a text that begins at a point, on a ground of its own, so that it
// can be read where lines and hatching lie under it.
func words(c *draw.Canvas, col color.Color, bold bool, at vg.Point, said string) {
	w := wide(bold, said)
	c.FillPolygon(paper, []vg.Point{
		{X: at.X - 2, Y: at.Y - 3}, {X: at.X + w + 2, Y: at.Y - 3}, {X: at.X + w + 2, Y: at.Y + letter - 1}, {X: at.X - 2, Y: at.Y + letter - 1},
	})
	c.FillText(style(col, bold, 0, 0), at, said)
}

// wide is how wide the widest of the texts is.
func wide(bold bool, texts ...string) vg.Length {
	var w vg.Length
	sty := style(ink, bold, 0, 0)
	for _, t := range texts {
		w = max(w, sty.Width(t))
	}
	return w
}

// beginning is what the library writes before the first group: an XML head, which
// has no place in a page, and a size, which the page gives.
var beginning = regexp.MustCompile(`(?s)^.*?<svg[^>]*>`)

// spaces are line ends within a tag.
var spaces = regexp.MustCompile(`\s*\n\s*`)

// written ends a drawing: its beginning is replaced, words are put before it, and
// its colours become those of the page.
func written(c *vgsvg.Canvas, height vg.Length, w Words) (string, error) {
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return "", fmt.Errorf("drawing %q: %w", w.Title, err)
	}
	drawn := beginning.ReplaceAllString(b.String(), "")
	drawn = properties.Replace(spaces.ReplaceAllString(drawn, " "))
	head := fmt.Sprintf(`<svg class="picture" viewBox="0 0 %g %g" role="img" aria-labelledby="%[3]s-t" aria-describedby="%[3]s-d">`+
		`<title id="%[3]s-t">%[4]s</title><desc id="%[3]s-d">%[5]s</desc>`,
		float64(width), float64(height), html.EscapeString(w.ID), html.EscapeString(w.Title), html.EscapeString(w.Said))
	return head + strings.TrimSpace(drawn), nil
}
